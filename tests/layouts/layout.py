"""From what an export says to the lines of its sheets: where each thing stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from .cells import Cell, Text
from .clocks import split_clock
from .draft import Draft, Group
from .lines import Blank, Line, Paper, Sentence, Sheet, Table
from .names import Names
from .statistics_shown import put_beside
from .style import Style
from .tables import Tables
from .wide import fits, pivoted
from .words import word

WEIGHTS = {"flat": 4, "records": 1, "transposed": 1}  # others 3
STATISTICS_SHARE = 0.3


def lay_out(draft: Draft, style: Style, dice: Random) -> Paper:
    """Return the sheets of a draft, and where the file lies."""
    if style.split_clock:
        split_clock(draft, dice)
    names = Names(draft.flavour, draft.language, dice)
    shape = _shape(draft, style, dice)
    traits = [shape]
    sheets = Layout(draft, style, dice, names, traits).sheets(shape)
    return Paper(sheets, names.file, names.folder, traits + draft.traits)


def _shape(draft: Draft, style: Style, dice: Random) -> str:
    """Choose among the shapes that this draft can take."""
    many = len(draft.groups) > 1
    rows = len(draft.rows())
    possible = {
        "flat": True,
        "blocks": many,
        "sheets": many and style.medium == "book",
        "records": rows <= 12,
        "transposed": 2 <= rows <= 10,
        "wide": any(fits(draft, pivot) for pivot in draft.pivots),
    }
    shapes = [shape for shape in draft.shapes if possible[shape]]
    return dice.choice([shape for shape in shapes for _ in range(WEIGHTS.get(shape, 3))])


@dataclass
class Layout:
    """Lays one draft out in one style; names and traits are filled in on the way."""

    draft: Draft
    style: Style
    dice: Random
    names: Names
    traits: list[str]

    def __post_init__(self) -> None:
        """Make what makes the tables."""
        self._tables = Tables(self.draft, self.style, self.dice, self.traits)

    def sheets(self, shape: str) -> list[Sheet]:
        """Return the sheets of one shape."""
        if shape == "sheets":
            return self._one_each()
        lines = {
            "flat": self._flat,
            "blocks": self._blocks,
            "records": self._records,
            "transposed": self._transposed,
            "wide": self._wide,
        }[shape]()
        return [Sheet(self.names.sheet, lines)]

    # --- shapes

    def _flat(self) -> list[Line]:
        """One table of all groups."""
        columns, entries, heading = self._placed()
        return self._page(heading, entries, self._tables.table(self.draft.groups, columns))

    def _blocks(self) -> list[Line]:
        """A common head, then each group with its table under what is its own."""
        groups, id_key = self.draft.groups, self.draft.id_key
        common = [
            key for key in groups[0].constants if self._is_common(key) and self.dice.random() < 0.7
        ]
        own = [key for key in groups[0].constants if key not in common]
        in_heading = id_key in own and self.dice.random() < 0.5
        self.traits.append("id heading" if in_heading else "id entry")
        lines = self._page("", common, None)
        for group in groups:
            lines.append(Blank())
            if in_heading:
                title = self.draft.fields[id_key].title
                lines.append(Sentence(self.names.heading(title, self._id_of(group))))
            lines += [
                self._tables.entry(key, group.constants[key])
                for key in own
                if not (in_heading and key == id_key)
            ]
            lines.append(self._tables.table([group], self._row_keys()))
        return lines

    def _one_each(self) -> list[Sheet]:
        """One sheet of a workbook for each group, which may be called by its id."""
        groups = self.draft.groups
        ids = {self._id_of(group) for group in groups}
        by_name = len(ids) == len(groups) and self.dice.random() < 0.5
        self.traits.append("id sheet" if by_name else "id entry")
        stem = self.dice.choice(("Run", "Sheet", "Data"))
        found = []
        for n, group in enumerate(groups, 1):
            lines: list[Line] = [*self._said_above()]
            lines += [
                self._tables.entry(key, cell)
                for key, cell in group.constants.items()
                if not (by_name and key == self.draft.id_key)
            ]
            lines += [Blank(), self._tables.table([group], self._row_keys())]
            found.append(Sheet(self._id_of(group) if by_name else f"{stem} {n}", lines))
        return found

    def _records(self) -> list[Line]:
        """Key and value on each line, an empty line between records."""
        lines: list[Line] = []
        if self.dice.random() < 0.5:
            lines += [Sentence(self.names.title), Blank()]
        lines += [Sentence(text) for text in self.draft.sentences]
        for row in self.draft.rows():
            lines += [self._tables.entry(key, row[key]) for key in self.draft.fields if key in row]
            lines.append(Blank())
        return lines

    def _transposed(self) -> list[Line]:
        """The titles in the first column, a column for each row."""
        columns, entries, heading = self._placed()
        table = self._tables.table(self.draft.groups, columns, plain=True)
        turned: list[list[Cell]] = []
        for n in range(len(columns)):
            titles: list[Cell] = [Text(head[n]) for head in table.head]
            turned.append(titles + [row[n] for row in table.rows])
        return self._page(heading, entries, Table([], turned, [False] * len(turned[0])))

    def _wide(self) -> list[Line]:
        """One key laid out sideways."""
        pivot = self.dice.choice([one for one in self.draft.pivots if fits(self.draft, one)])
        self.traits.append(f"by {pivot.by}")
        draft, over = pivoted(self.draft, pivot)
        other = Layout(draft, self.style, self.dice, self.names, self.traits)
        columns, entries, heading = other._placed()
        table = other._tables.table(draft.groups, columns, plain=True)
        if pivot.statistics and self.dice.random() < STATISTICS_SHARE:
            places = [n for n, key in enumerate(columns) if "@" in key]
            put_beside(table, places, self.style.language, self.dice)
        lines = other._page(heading, entries, table)
        if over:
            lines.insert(len(lines) - 1, Sentence(over))
        return lines

    # --- where things stand

    def _placed(self) -> tuple[list[str], list[str], str]:
        """Return the keys of the columns, those of the entries, and the words of the heading."""
        heading = self.names.title if self.dice.random() < 0.4 else ""
        columns, entries = [], []
        for key in self.draft.fields:
            where = self._where(key)
            if where == "column":
                columns.append(key)
            elif where == "entry":
                entries.append(key)
            else:
                heading = self._put(where, key, heading)
            if key == self.draft.id_key:
                self.traits.append(f"id {where}")
        if not self.dice.randrange(3):
            columns = self._shuffled(columns)
        return columns, entries, heading

    def _where(self, key: str) -> str:
        if not self._is_common(key):
            return "column"
        return self.dice.choice(self.draft.fields[key].places)

    def _shuffled(self, columns: list[str]) -> list[str]:
        """Change the order of the columns; what is laid sideways stays side by side."""
        sideways = [key for key in columns if "@" in key]
        parts = [[key] for key in columns if "@" not in key] + ([sideways] if sideways else [])
        self.dice.shuffle(parts)
        return [key for part in parts for key in part]

    def _put(self, where: str, key: str, heading: str) -> str:
        """Put an id into the heading or a name, and return the heading."""
        identity = self._id_of(self.draft.groups[0])
        if where == "heading":
            return self.names.heading(self.draft.fields[key].title, identity)
        if where == "folder":
            self.names.put_in_folder_of(identity)
        elif where == "sheet" and self.style.medium == "book":
            self.names.sheet = identity
        else:
            self.names.name_after(identity)
        return heading

    def _is_common(self, key: str) -> bool:
        """Say whether this is one and the same for all groups."""
        groups = self.draft.groups
        return all(key in group.constants for group in groups) and (
            len({group.constants[key] for group in groups}) == 1
        )

    def _row_keys(self) -> list[str]:
        return [key for key in self.draft.fields if key in self.draft.groups[0].rows[0]]

    def _id_of(self, group: Group) -> str:
        cell = group.constants[self.draft.id_key]
        assert isinstance(cell, Text)
        return cell.text

    def _page(self, heading: str, entries: Sequence[str], table: Table | None) -> list[Line]:
        """Return the preamble of a page and its table."""
        lines: list[Line] = [Sentence(heading)] if heading else []
        if self.dice.random() < 0.25:
            lines.append(Sentence(word(self.dice, "text.free", self.style.language)))
        constants = self.draft.groups[0].constants
        lines += [self._tables.entry(key, constants[key]) for key in entries]
        if self.dice.random() < 0.3:
            lines += self.draft.distractors
        lines += self._said_above()
        if table is None:
            return lines
        if lines and self.dice.random() < 0.7:
            lines.append(Blank())
        return [*lines, table]

    def _said_above(self) -> list[Sentence]:
        """Return the sentences that belong to a table, such as that of its units."""
        said = self._tables.unit_sentence()
        return [Sentence(text) for text in (*self.draft.sentences, said) if text]
