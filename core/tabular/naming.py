"""What an answer names must stand in the file: one that names nothing is refused, with what there is."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fnmatch import fnmatch

from tiecoat.dialect.export import Export
from tiecoat.tabular.column_places import ColumnPlace, bare_title, without_place
from tiecoat.tabular.file import File
from tiecoat.tabular.forms import Form, Looks
from tiecoat.tabular.told_lines import begins_with, lines_of_export, name_told, passed_over

_BETWEEN = re.compile(r"[\t;,|=]|:\s|\s{2,}|\.{2,}")
_SHOWN = 12


class Named:
    """Tells what answers may name of a file.

    Parameters
    ----------
    export, file
        The export, and as it is seen with what was taught so far.
    places
        The columns of its first table.
    """

    def __init__(self, export: Export, file: File, places: Sequence[ColumnPlace]) -> None:
        self._file, self._places = file, places
        parts = list(lines_of_export(export))
        self._lines = [text for lines, _ in parts for _, text in lines]
        self._sheets = [sheet for _, sheet in parts if sheet is not None]
        self._name, self._folder = export.name, export.folder

    def tell_no_title(self, title: str) -> None:
        """Raise ValueError if neither a column nor an entry nor any cell of the file is called so."""
        wanted = bare_title(without_place(title))
        if wanted in {bare_title(each) for each in (*self._titles(), *self._cells())}:
            return
        if any(begins_with(line, [without_place(title)]) for line in self._lines):
            return
        known = dict.fromkeys(each for each in self._titles() if each.strip())
        raise ValueError(
            f"the file has no {title!r}; there are {_listed(list(known)) or 'no titles'}"
        )

    def _titles(self) -> Iterator[str]:
        yield from (place.title for place in self._places)
        for table in self._file.tables:
            yield from (column.title for column in table.seen.columns)
            yield from (told.title.raw for told in table.entries)
        yield from (told.title.raw for told in self._file.stray)

    def _cells(self) -> Iterator[str]:
        for sight in self._file.sights:
            for row in sight.grid.rows:
                yield from (str(cell) for cell in row if cell != "")
        for line in self._lines:
            yield from (cell for cell in _BETWEEN.split(line) if cell.strip())

    def tell_no_row(self, word: str) -> None:
        """Raise ValueError if no row begins with a word, or has it as a cell."""
        rows = (row for sight in self._file.sights for row in sight.grid.rows)
        passed = any(passed_over(row, [word]) for row in rows)
        if not passed and not any(begins_with(line, [word]) for line in self._lines):
            begun = dict.fromkeys(line.split()[0] for line in self._lines if line.strip())
            raise ValueError(f"no row begins with {word!r}; rows begin with {_listed(list(begun))}")

    def tell_no_sheet(self, name: str) -> None:
        """Raise ValueError if no sheet is called so."""
        if not any(fnmatch(each.casefold(), name.casefold()) for each in self._sheets):
            raise ValueError(f"no sheet {name!r}; there are {_listed(self._sheets) or 'none'}")

    def tell_no_name(self, form: Form, looks: Looks, *, of_file: bool) -> None:
        """Raise ValueError if no sheet, or not the file, is called as a form says."""
        called = name_told(form.text, self._name, self._folder)
        names = [called] if of_file else self._sheets
        pattern = form.pattern(looks)
        if not any(pattern.fullmatch(name.strip()) for name in names):
            raise ValueError(
                f"no name has the form {form.text!r}; there are {_listed(names) or 'none'}"
            )

    def tell_no_text(self, word: str, *, parted: bool) -> None:
        """Raise ValueError if a word stands nowhere in the file, or is never the whole of a cell.

        Parameters
        ----------
        parted
            Whether cells or lines are parted by a form: then a part is a cell of its own.
        """
        wanted = " ".join(word.casefold().split())
        if not any(wanted in " ".join(line.casefold().split()) for line in self._lines):
            raise ValueError(f"the file has no {word!r}")
        cells = {cell.strip() for cell in self._cells()}
        within = sorted(cell for cell in cells if wanted in " ".join(cell.casefold().split()))
        if parted or not within or any(wanted == " ".join(c.casefold().split()) for c in within):
            return
        raise ValueError(
            f"{word!r} is only a part of {_listed(within[:3])}: say what the whole cell means, or"
            " part it by a form with braces"
        )

    def tell_no_line(self, form: Form, looks: Looks) -> None:
        """Raise ValueError if no line has a form."""
        pattern = form.pattern(looks)
        if not any(pattern.fullmatch(line.strip()) for line in self._lines):
            like = [line.strip() for line in self._lines if any(map(str.isdigit, line))]
            raise ValueError(
                f"no line has the form {form.text!r}; lines are such as {_listed(like[:3])}"
            )


def _listed(texts: Sequence[str]) -> str:
    more = f" and {len(texts) - _SHOWN} more" if len(texts) > _SHOWN else ""
    return ", ".join(map(repr, texts[:_SHOWN])) + more
