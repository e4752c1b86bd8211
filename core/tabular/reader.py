"""The one reader of tables: finds for which kind a table is, and reads it by the kind's own words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from functools import cached_property
from typing import Any

from tiecoat.contract import words as shared
from tiecoat.plugin import Claim, Export, Kind, Measurement
from tiecoat.reasons import Reason
from tiecoat.tabular.around import tell_around
from tiecoat.tabular.assemble import measurements
from tiecoat.tabular.attempts import BY_LOOK, Attempt
from tiecoat.tabular.cell_looks import valuelike
from tiecoat.tabular.code_pages import KnownWords, with_page_told
from tiecoat.tabular.columns_again import ColumnsGiven, columns_given
from tiecoat.tabular.file import File
from tiecoat.tabular.id_looks import IdLooks, in_texts
from tiecoat.tabular.joining import joined
from tiecoat.tabular.known_layouts import KnownLayouts, TableRead
from tiecoat.tabular.known_table import KnownTable, known_table
from tiecoat.tabular.languages import Languages
from tiecoat.tabular.lexicon import Lexicon, lexicon_of
from tiecoat.tabular.match import attempt, look_of
from tiecoat.tabular.no_reading import take_back_results
from tiecoat.tabular.outline import KnownLayout, Outline, outline_of
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.rowless import preamble_of, rowless
from tiecoat.tabular.seen import Line, Seen
from tiecoat.tabular.teaching import NOTHING, Teaching
from tiecoat.tabular.title_parts import Title, is_unit_title, parted
from tiecoat.tabular.told_entries import FileTable
from tiecoat.tabular.told_lines import ToldLayout, knows, looks_of
from tiecoat.tabular.words import WordIndex

NAME = "any_table"
_SURE, _HINT = 0.55, 0.3
_LONGEST_WORD = 60
_LONGEST_LINE = 50_000  # characters; longer ones nobody wrote as a table
_LEAST = 1.5  # of a score: two titles that are words of the kind
_SAME = 1e-6
_APART = 0.25  # by which the best kind of a table must lead
_NO_WORD = re.compile(r"(?=.*[.,;:])[-+\d.,;:\seE]+")  # numbers, or a row of them
_DATA_FROM = (
    3  # rows and columns of numbers that a table must have to be told where nobody reads it
)

_SEVERAL: WordIndex[str] = WordIndex()
_SEVERAL.add(listed(shared.SEVERAL), "several")


class AnyTable:
    """Reads tables of every kind that has words, whatever layout the export has.

    Parameters
    ----------
    kinds
        All kinds, by name; those without words are passed over.
    words
        What the lab calls their columns, sources and keys: kind -> name -> words.
    taught
        What was said of the layout that it reads.
    """

    name, version = NAME, "1"
    last_resort = True

    def __init__(
        self,
        kinds: Mapping[str, Kind],
        words: Mapping[str, Mapping[str, Sequence[str]]] = {},
        taught: Teaching = NOTHING,
    ) -> None:
        self._words = words
        self._taught = taught
        self._taught_kind: str | None = None
        self._kinds = [kind for kind in kinds.values() if has_words(kind)]
        self._layouts = KnownLayouts()
        self.kind = self._kinds[0].name if self._kinds else next(iter(kinds))

    @cached_property
    def lexicons(self) -> list[Lexicon]:
        """The words of each kind, made when the first file is looked at."""
        own = self._words
        return [
            Lexicon(kind, own[kind.name]) if own.get(kind.name) else lexicon_of(kind)
            for kind in self._kinds
        ]

    @cached_property
    def _summaries(self) -> WordIndex[str]:
        index: WordIndex[str] = WordIndex()
        words = (shared.STATISTICS, shared.SUMMARIES, shared.SPECIFIED)
        index.add([word for text in words for word in listed(text)], "summary")
        return index

    def _known(self, text: str) -> bool:
        return self._taught.names(text) or _known_to(self.lexicons, text)

    def _allows(self, title: str, text: str) -> bool:
        """Tell whether a text is a closed word of what a title names, for some kind."""
        if len(text) >= _LONGEST_WORD or not self._known(title):
            return False
        return any(each.allows(title, text) for each in self.lexicons)

    def _closed(self, text: str) -> bool:
        """Tell whether a text is a closed word by which some kind tells determinations apart."""
        return any(
            each.is_closed(name) and each.closed[name].knows(Title(text, text))
            for each in self.lexicons
            for name in each.kind.identity
            if name in each.closed
        )

    def _summary(self, text: str) -> bool:
        if self._taught.names(text):
            return False
        return len(text) < _LONGEST_WORD and self._summaries.knows(parted(text))

    @cached_property
    def _languages(self) -> Languages:
        return Languages(self._kinds)

    def _language(self, titles: Iterable[str], sentences: Iterable[str]) -> str:
        return self._languages.spoken(titles, sentences)

    @cached_property
    def _words_known(self) -> KnownWords:
        return KnownWords(self._kinds)

    def _decode(self, export: Export) -> None:
        """Have a text read in the code page in which it is made of words of the trade."""
        if "page" not in export.kept:
            export.kept["page"] = page = self._words_known.likeliest(export.in_pages())
            if page is not None:
                export.take_page(page)

    def look(self, export: Export) -> File:
        """Return the file as it is seen; looked at once by each reader, which has words of its own."""
        if self._seen_as not in export.kept:
            self._decode(export)
            export.kept[self._seen_as] = self._seen(export)
        file: File = export.kept[self._seen_as]
        return file

    @property
    def _seen_as(self) -> str:
        return f"file of {self.name}"

    def _seen(
        self,
        export: Export,
        layout: KnownLayout | None = None,
        table: KnownTable | None = None,
    ) -> File:
        return File(
            export,
            self._known,
            self._summary,
            self._allows,
            layout,
            table=table,
            language=self._language,
            closed=self._closed,
            told=self._told_layout(export),
        )

    def _told_layout(self, export: Export) -> ToldLayout | None:
        if self._taught is NOTHING:
            return None
        wanted = self._taught_kind
        lexicons = (one for one in self.lexicons if wanted in (None, one.kind.name))
        lexicon = next((one for one in lexicons if knows(one, self._taught)), None)
        return ToldLayout(self._taught, looks_of(lexicon, ids_of(export))) if lexicon else None

    def with_taught(self, taught: Teaching, kind: str | None) -> AnyTable:
        """Return the reader as it sees a file of whose layout something was said."""
        other = copy(self)
        other._taught, other._taught_kind = taught, kind
        return other

    def _outline(self, export: Export) -> Outline | None:
        """Return the outline of a text; a workbook has none."""
        if "outline" not in export.kept:
            self._decode(export)
            lines = None if export.is_workbook else export._text_lines()
            export.kept["outline"] = outline_of(lines, _ids_within(export)) if lines else None
        outline: Outline | None = export.kept["outline"]
        return outline

    def recognise(self, export: Export) -> Claim | None:
        """Claim what shows, in words of the trade, what some kind is made of."""
        if export.is_picture or not self._kinds:
            return None
        self._decode(export)
        if not export.is_workbook and _has_long_lines(export.text()):
            return Claim(0.0, f"a line of more than {_LONGEST_LINE:,} characters")
        best = self._best(export)
        if (empty := self._rowless(export, best)) is not None:
            return Claim(_SURE, f"{empty[2]}: titles without rows")
        if not best:
            return Claim(0.0, "no table with titles that are words of a kind")
        found = best[0]
        words = [given.role.name for given in found.given.values() if given.place is not None]
        why = f"{found.kind_name}: {', '.join(words[:5])}"
        return Claim(_SURE, why) if found.shown and found.score >= _LEAST - 1 else Claim(_HINT, why)

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return the measurements of every table, each of the kind that it is of."""
        found = self._best(export)
        if (empty := self._rowless(export, found)) is not None:
            row, sheet, _ = empty
            export.fault(
                Reason.EMPTY_TABLE,
                row,
                None,
                "no rows below this header",
                "results below it",
                sheet=sheet,
            )
            return
        read = joined((m for each in found for m in measurements(each)), self._kinds)
        page = export.code_page
        other = page != export.habits.code_page
        yield from (with_page_told(m, page) if other else m for m in read)
        tell_around(found)
        self._tell_unread(export, found)
        self._tell_broken(export, self.look(export))

    def _rowless(
        self, export: Export, found: Sequence[Attempt]
    ) -> tuple[int, str | None, str] | None:
        """Return where titles stand that no row follows, if no table of the file can be read."""
        if any(not each.lacking for each in found):
            return None
        last = rowless(export, self.lexicons)
        rows = {(t.seen.sheet, row) for t in self.look(export).tables for row in t.seen.rows}
        return last if last and (last[1], last[0]) not in rows else None

    def attempts(self, export: Export, table: FileTable) -> list[Attempt]:
        """Return the table as each kind reads it, the best first."""
        return _tried(export, self.look(export), table, self.lexicons)

    def _best(self, export: Export) -> list[Attempt]:
        """Return each table that is of some kind, as that kind reads it."""
        if "best" not in export.kept:
            found = self._as_known(export) or self._as_before(export) or self._searched(export)
            export.kept["best"] = found
        return list(export.kept["best"])

    def _as_known(self, export: Export) -> list[Attempt]:
        """Return the one table of a text of which everything but its numbers was read before."""
        if export.is_workbook or self._taught is not NOTHING:
            return []
        self._decode(export)
        known = self._layouts.table_in(export._text_lines(), _ids_within(export))
        if known is None:
            return []
        file = self._seen(export, table=known.table)
        return self._whole(export, file, (known.kind,), known.given)

    def _as_before(self, export: Export) -> list[Attempt]:
        """Return the tables as those of the same outline were read; none if that is not all of them."""
        layout = self._layouts.get(self._outline(export))
        if layout is None:
            return []
        return self._whole(export, self._seen(export, layout), layout.kinds)

    def _whole(
        self,
        export: Export,
        file: File,
        kinds: Sequence[str],
        given: ColumnsGiven | None = None,
    ) -> list[Attempt]:
        """Return the tables of a file as some kinds read them; none if one is not read whole."""
        lexicons = [one for one in self.lexicons if one.kind.name in kinds]
        found = [_tried(export, file, table, lexicons, given)[0] for table in file.tables]
        if not found or not all(map(_is_whole, found)):
            return []
        export.kept[self._seen_as] = file
        return found

    def _searched(self, export: Export) -> list[Attempt]:
        kept: list[Attempt] = []
        whole: dict[tuple[str, ...], str] = {}  # kinds of tables that lack nothing, by their titles
        for table in self.look(export).tables:
            titles = tuple(title.raw for title in table.titles)
            tried = _of_kind_first(self.attempts(export, table), whole.get(titles))
            if tried and tried[0].shown and not tried[0].lacking:
                whole.setdefault(titles, tried[0].kind_name)
            if tried and tried[0].shown and tried[0].score >= _LEAST - 1:
                kept.append(tried[0])
                rival = next((each for each in tried[1:] if each.shown), None)
                tried[0].rival = (
                    rival.kind_name if rival and tried[0].score - rival.score < _APART else None
                )
                tried[0].equal = _equal(tried)
                tried[0].preamble = preamble_of(tried[0], tried[1:])
                take_back_results(tried[0], self.lexicons)
        file, outline = self.look(export), self._outline(export)
        kept = _of_one_sort(kept)
        if outline and file.tables and len(kept) == len(file.tables) and all(map(_is_whole, kept)):
            kinds = tuple(dict.fromkeys(each.kind_name for each in kept))
            layout = KnownLayout(file.sights[0].grid.delimiter, file.upright, kinds)
            self._layouts.keep(outline, layout, _table_read(export, file, kept[0]))
        return kept

    def _tell_unread(self, export: Export, found: Sequence[Attempt]) -> None:
        """Hold a file of which a table with numbers, or rows without titles, were read by nobody."""
        file = self.look(export)
        read = {id(each.table) for each in found}
        for table in file.tables:
            if id(table) in read:
                continue
            numeric = sum(
                1
                for c in table.seen.columns
                if sum(_number(cell) for cell in c.cells) >= _DATA_FROM
            )
            like_row = all(valuelike(title.raw) for title in table.titles)
            like_read = any(_like_titled(table, each.table) for each in found)
            many = numeric >= 1 and len(table.seen.rows) >= _DATA_FROM
            if found and self._sums_up(export, table, found):
                continue
            if table.seen.rows and (like_row or like_read or many or table.seen.short):
                titles = ", ".join(title.raw for title in table.titles[:8])
                export.fault(
                    Reason.UNREAD_ROWS,
                    table.seen.rows[0],
                    None,
                    f"{len(table.seen.rows)} rows like results, under the titles {titles}",
                    "titles that are words of a kind",
                    sheet=table.seen.sheet,
                )
        self._tell_cut(export, file)
        for sight in file.sights:
            for row in sight.orphans[:3]:
                export.fault(
                    Reason.UNREAD_ROWS,
                    row,
                    None,
                    "a row like results",
                    "titles above it, or no such row",
                    sheet=sight.grid.sheet,
                )

    def _sums_up(self, export: Export, table: FileTable, found: Sequence[Attempt]) -> bool:
        """Tell whether a table has nothing but summaries of what was read: batch, n, mean, lowest."""
        columns = [(t.name, c.cells) for t, c in zip(table.titles, table.seen.columns, strict=True)]
        ids = {str(c) for _, cells in columns for c in cells if _is_id(export, str(c))}
        titles = [
            name for name, cells in columns if any(_number(c) and str(c) not in ids for c in cells)
        ]
        if table.seen.short or not titles:
            return False
        seen = [each.table.seen for each in found]
        read = {str(c).casefold() for one in seen for column in one.columns for c in column.cells}
        read |= {(one.sheet or "").casefold() for one in seen}
        return all(any(one.casefold() in text for text in read) for one in ids) and all(
            self._summary(each) or _SEVERAL.knows(Title(each, each)) for each in titles
        )

    def _tell_broken(self, export: Export, file: File) -> None:
        """Hold a text with a quotation mark that is never closed: what stands behind it is lost."""
        for broken in (sight.grid.broken for sight in file.sights if sight.grid.broken):
            whole = "a quotation mark at the end of each quoted cell"
            export.fault(Reason.UNEVEN_ROW, broken[0], None, broken[1], whole)

    def _tell_cut(self, export: Export, file: File) -> None:
        """Hold a text whose last line ends within a row: no line end, and less in it than before."""
        last = 0 if export.is_workbook else export.open_row
        if not last:
            return
        for sight in file.sights:
            tables = [table for table in sight.tables if table.rows]
            before = max((row for table in tables for row in table.rows if row < last), default=0)
            loose = [line for line in sight.below if line.row == last]
            partial = any(_less_filled(table, last) for table in tables)
            near = before == last - 1 or (before and any(_is_id(export, one.text) for one in loose))
            if partial or (loose and near and not self._known(loose[0].text)):
                if loose and (
                    len(loose[0].cells) > 2 or ":" in loose[0].text or self._ends(loose[0])
                ):
                    continue
                export.fault(
                    Reason.CUT_OFF,
                    last,
                    None,
                    "a last row that is shorter than those before",
                    "a whole row, and a line end behind it",
                    sheet=sight.grid.sheet,
                )

    def _ends(self, line: Line) -> bool:
        index: WordIndex[str] = WordIndex()
        index.add(listed(shared.ENDS), "end")
        return bool(index.all_spoken_of(line.text)) or self._summary(line.text)


def _is_id(export: Export, text: str) -> bool:
    ids = ids_of(export)
    return any(look.fullmatch(text.strip()) is not None for look in (ids.panel, ids.batch))


def _less_filled(table: Seen, row: int) -> bool:
    """Tell whether a last row lacks a cell that every other row of its table has."""
    if not table.rows or table.rows[-1] != row or len(table.rows) < _DATA_FROM:
        return False
    return any(
        column.cells[-1] == "" and all(cell != "" for cell in column.cells[:-1])
        for column in table.columns
    )


def _table_read(export: Export, file: File, found: Attempt) -> TableRead | None:
    """Return how the one table of a text was read, if it is one of nothing but numbers."""
    if not file.upright or len(file.tables) != 1 or found.taught is not NOTHING:
        return None
    table = known_table(file.sights[0], _ids_within(export))
    return TableRead(table, found.kind_name, columns_given(found)) if table else None


def _tried(
    export: Export,
    file: File,
    table: FileTable,
    lexicons: Sequence[Lexicon],
    before: ColumnsGiven | None = None,
) -> list[Attempt]:
    """Return a table as the kinds of some words read it, the best first; of two the one that lacks less."""
    ids = ids_of(export)
    look = look_of(file, table, ids)
    tried = [attempt(file, table, lexicon, ids, look=look, before=before) for lexicon in lexicons]
    tried.sort(key=lambda each: (-each.shown, -round(each.score, 6), len(each.lacking)))
    return _whole_first(tried)


def _of_kind_first(tried: list[Attempt], kind: str | None) -> list[Attempt]:
    """Put the kind of a table with the same titles first, if it lacks nothing where the best does."""
    own = next((each for each in tried if each.kind_name == kind), None)
    if own is None or not tried[0].lacking or own.lacking or not own.shown:
        return tried
    return [own, *(each for each in tried if each is not own)]


def _whole_first(tried: list[Attempt]) -> list[Attempt]:
    """Put a kind that lacks nothing before one that reads a table hardly better and lacks a column.

    Or before one of paint, where the file names a panel that the kind is of.
    """
    if not tried or not tried[0].lacking:
        return tried
    of_paint = tried[0].lexicon.kind.per == "batch"
    near = (
        each
        for each in tried[1:]
        if tried[0].score - each.score < _APART or (of_paint and _is_of_panel(each))
    )
    own = next((each for each in near if each.shown and not each.lacking), None)
    return tried if own is None else [own, *(each for each in tried if each is not own)]


def _is_of_panel(found: Attempt) -> bool:
    """Tell whether a table is read as a kind of panels without anything open, by the look of their ids."""
    kind, panel = found.lexicon.kind, found.given.get("panel")
    named = panel is not None and panel.level == BY_LOOK and kind.per == "panel"
    return named and found.score >= _LEAST and not found.untaken and not kind.replaces


def has_words(kind: Kind) -> bool:
    """Tell whether a kind says how its columns are called."""
    columns = kind.model.to_schema().columns.values()
    return any((column.metadata or {}).get("words") for column in columns)


def _has_long_lines(text: str) -> bool:
    return len(text) > _LONGEST_LINE and max(map(len, text.splitlines())) > _LONGEST_LINE


def ids_of(export: Export) -> IdLooks:
    """Return how ids look in the lab."""
    habits = export.habits
    return IdLooks(
        re.compile(habits.panel_ids, re.IGNORECASE), re.compile(habits.batch_ids, re.IGNORECASE)
    )


def _ids_within(export: Export) -> list[re.Pattern[str]]:
    ids = ids_of(export)
    return [in_texts(ids.panel), in_texts(ids.batch)]


_KNOWN: dict[tuple[int, str], bool] = {}


def _known_to(lexicons: Sequence[Lexicon], text: str) -> bool:
    if _NO_WORD.fullmatch(text):
        return is_unit_title(text)
    key = (id(lexicons[0]) if lexicons else 0, text)
    if key not in _KNOWN:
        if len(_KNOWN) > 20_000:
            _KNOWN.clear()
        _KNOWN[key] = is_unit_title(text) or (
            len(text) <= 120 and any(lexicon.knows(text) for lexicon in lexicons)
        )
    return _KNOWN[key]


def _is_whole(found: Attempt) -> bool:
    """Tell whether a table is read as a kind without anything open."""
    return (
        found.shown
        and found.score >= _LEAST
        and not (found.lacking or found.rivals or found.rival or found.preamble)
        and not (found.untaken or found.aside)
    )


def _equal(tried: Sequence[Attempt]) -> str | None:
    """Return another kind that reads a table exactly as well, where nothing speaks of either."""
    best = tried[0]
    return next(
        (
            each.kind_name
            for each in tried[1:]
            if each.shown
            and not (each.lacking or each.untaken or each.headed or best.headed)
            and abs(best.score - each.score) < _SAME
        ),
        None,
    )


def _like_titled(table: FileTable, read: FileTable) -> bool:
    """Tell whether two tables share half of their titles: then one is the other, damaged."""
    shared = {title.name for title in table.titles} & {title.name for title in read.titles}
    return 2 * len(shared) >= min(len(table.titles), len(read.titles)) > 1


def _number(cell: Any) -> bool:
    return cell != "" and valuelike(cell)


def _of_one_sort(found: list[Attempt]) -> list[Attempt]:
    """Of tables of several kinds keep all that lack nothing; else those of the best kind."""
    names = {each.kind_name for each in found}
    if len(names) < 2 or not any(each.lacking for each in found):
        return found
    whole = [each for each in found if not each.lacking]
    if whole:
        return whole
    best = max(found, key=lambda each: each.score).kind_name
    return [each for each in found if each.kind_name == best]
