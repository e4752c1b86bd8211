"""From what an export says to the lines of its sheets: where each thing stands."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from random import Random

from .cells import Cell, Moment, Number, Text
from .draft import Draft, Field, Group, Pivot
from .lines import Blank, Entry, Line, Paper, Sentence, Sheet, Table
from .style import Style
from .words import word, words_for

MERGED_SHARE = 0.15
AMID_SHARE = 0.08
FOOTER_SHARE = 0.2
STEMS = ("export", "data", "run", "series", "result", "Messung", "mesure", "pomiar")


@dataclass
class Layout:
    """Lays one draft out in one style."""

    draft: Draft
    style: Style
    dice: Random

    def paper(self) -> Paper:
        """Return the sheets, and where the file lies."""
        self.traits: list[str] = []
        self._name, self._folder = (
            self._plain_name(),
            self.dice.choice(("", "", self.draft.flavour)),
        )
        if self.style.split_clock:
            self._split_clocks()
        shape = self._shape()
        self.traits.insert(0, shape)
        sheets = getattr(self, f"_{shape}")()
        return Paper(sheets, self._name, self._folder, self.traits + self.draft.traits)

    # --- shapes

    def _flat(self) -> list[Sheet]:
        """One table of all groups."""
        columns, entries, heading = self._place(self.draft.groups)
        table = self._table(self.draft.groups, columns)
        return [Sheet(self._sheet_name, self._page(heading, entries, [table]))]

    def _blocks(self) -> list[Sheet]:
        """One table a group below another, each under its own entries."""
        return [Sheet(self._sheet_name, self._one_by_one())]

    def _one_by_one(self) -> list[Line]:
        """Return a common head, then each group under what is its own."""
        groups = self.draft.groups
        common = [key for key in groups[0].constants if self._is_common(key, groups)]
        common = [key for key in common if self.dice.random() < 0.7]
        columns = [key for key in self.draft.fields if key in groups[0].rows[0]]
        way = self.dice.choice(("heading", "entry")) if self.draft.id_key not in common else "entry"
        own = [key for key in groups[0].constants if key not in common]
        lines: list[Line] = list(self._page("", common, []))
        for group in groups:
            lines.append(Blank())
            lines += self._own_lines(group, own, way)
            lines.append(self._table([group], columns))
        self.traits.append(f"id {way}")
        return lines

    def _own_lines(self, group: Group, own: Sequence[str], way: str) -> list[Line]:
        lines: list[Line] = []
        for key in own:
            cell = group.constants[key]
            if key == self.draft.id_key and way == "heading":
                assert isinstance(cell, Text)
                lines.insert(0, Sentence(self._heading(self.draft.fields[key].title, cell.text)))
            else:
                lines.append(self._entry(key, cell))
        return lines

    def _sheets(self) -> list[Sheet]:
        """One sheet of a workbook for each group."""
        found = []
        groups = self.draft.groups
        by_name = self.dice.random() < 0.5 and not self._is_common(self.draft.id_key, groups)
        by_name = by_name and len({self._id_of(group) for group in groups}) == len(groups)
        columns = [key for key in self.draft.fields if key in groups[0].rows[0]]
        for n, group in enumerate(groups, 1):
            above = [Sentence(text) for text in self.draft.sentences]
            own = [key for key in group.constants if not (by_name and key == self.draft.id_key)]
            entries = [self._entry(key, group.constants[key]) for key in own]
            lines = [*above, *entries, Blank(), self._table([group], columns)]
            name = self._id_of(group) if by_name else f"{self._interval_word} {n}"
            found.append(Sheet(name, lines))
        self.traits.append("id sheet" if by_name else "id entry")
        return found

    def _records(self) -> list[Sheet]:
        """Key and value on each line, an empty line between records."""
        lines: list[Line] = []
        if self.dice.random() < 0.5:
            lines += [Sentence(self._title), Blank()]
        lines += [Sentence(text) for text in self.draft.sentences]
        for row in self.draft.rows():
            lines += [self._entry(key, row[key]) for key in self.draft.fields if key in row]
            lines.append(Blank())
        return [Sheet(self._sheet_name, lines)]

    def _transposed(self) -> list[Sheet]:
        """The titles in the first column, a column for each row."""
        columns, entries, heading = self._place(self.draft.groups)
        table = self._table(self.draft.groups, columns, plain=True)
        units = len(table.head) > 1
        turned: list[list[Cell]] = []
        for n, title in enumerate(table.head[0]):
            first: list[Cell] = [Text(title)] + ([Text(table.head[1][n])] if units else [])
            turned.append(first + [row[n] for row in table.rows])
        widths = len(turned[0])
        below = Table([], turned, [False] * widths)
        return [Sheet(self._sheet_name, self._page(heading, entries, [below]))]

    def _wide(self) -> list[Sheet]:
        """One key laid out sideways."""
        fitting = [pivot for pivot in self.draft.pivots if self._fits(pivot)]
        pivot = self.dice.choice(fitting)
        self.traits.append(f"by {pivot.by}")
        wide, over = self._pivoted(pivot)
        other = Layout(wide, self.style, self.dice)
        other.traits, other._name, other._folder = self.traits, self._name, self._folder
        columns, entries, heading = other._place(wide.groups)
        entries = [key for key in entries if key != pivot.by]
        table = other._table(wide.groups, columns, plain=True)
        if pivot.statistics and self.dice.random() < 0.3:
            self._add_statistics(table, columns)
        lines = other._page(heading, entries, [table])
        if over:
            lines.insert(len(lines) - 1, Sentence(over))
        self._name, self._folder = other._name, other._folder
        return [Sheet(other._sheet_name, lines)]

    def _fits(self, pivot: Pivot) -> bool:
        """Say whether every row of the wide table would be full."""
        rows = self.draft.rows()
        if any(pivot.by not in row for row in rows):
            return False
        values = {row[pivot.by] for row in rows}
        rest = {self._rest(row, pivot) for row in rows}
        return 1 < len(values) <= 12 and len(values) * len(rest) == len(rows)

    @staticmethod
    def _rest(row: dict[str, Cell], pivot: Pivot) -> tuple[tuple[str, Cell], ...]:
        return tuple((k, v) for k, v in row.items() if k != pivot.by and k not in pivot.values)

    def _pivoted(self, pivot: Pivot) -> tuple[Draft, str]:
        """Return the draft with the key laid sideways, and what has to stand above the table."""
        draft = self.draft
        order = list(dict.fromkeys(row[pivot.by] for row in draft.rows()))
        fields = {
            key: field
            for key, field in draft.fields.items()
            if key != pivot.by and key not in pivot.values
        }
        over = ""
        for n, cell in enumerate(order):
            for key in pivot.values:
                field = draft.fields[key]
                title = pivot.label(cell, field)
                fields[f"{key}@{n}"] = replace(
                    field, title=title, unit="" if pivot.over else field.unit
                )
                if pivot.over:
                    over = f"{field.title} ({field.unit})" if field.unit else field.title
        groups: dict[tuple[tuple[str, Cell], ...], Group] = {}
        for group in draft.groups:
            for row in group.rows:
                whole = {**group.constants, **row}
                rest = self._rest(whole, pivot)
                constants = {k: v for k, v in rest if k in group.constants}
                mine = groups.setdefault(
                    rest, Group(constants, [{k: v for k, v in rest if k not in constants}])
                )
                n = order.index(whole[pivot.by])
                mine.rows[0].update({f"{key}@{n}": whole[key] for key in pivot.values})
        merged = self._merged(list(groups.values()))
        wide = replace(draft, fields=fields, groups=merged, statistics_of=())
        if pivot.by == draft.id_key:
            wide.id_key = ""
        return wide, over

    @staticmethod
    def _merged(groups: list[Group]) -> list[Group]:
        """Put the rows of groups with the same constants together."""
        found: list[Group] = []
        for group in groups:
            if found and found[-1].constants == group.constants:
                found[-1].rows += group.rows
            else:
                found.append(group)
        return found

    def _add_statistics(self, table: Table, columns: Sequence[str]) -> None:
        """Put the mean, perhaps the deviation, of the sideways values at the end of each row."""
        places = [n for n, key in enumerate(columns) if "@" in key]
        kinds = ["mean", "deviation"][: self.dice.choice((1, 2))] if len(places) > 2 else ["mean"]
        for kind in kinds:
            title = word(self.dice, f"statistics.{kind}", self.style.language)
            for n, head in enumerate(table.head):
                head.append(title if n == 0 else "")
            table.percents.append(False)
        for row in table.rows:
            numbers = [cell for n, cell in enumerate(row) if n in places]
            row += self._statistics_of(
                [cell for cell in numbers if isinstance(cell, Number)], kinds
            )

    @staticmethod
    def _statistics_of(numbers: Sequence[Number], kinds: Sequence[str]) -> list[Cell]:
        values = [number.value for number in numbers]
        way = {"mean": statistics.mean, "deviation": statistics.stdev, "least": min, "most": max}
        decimals = max(len(number.text.partition(".")[2]) for number in numbers) + 1
        return [Number(f"{way[kind](values):.{decimals}f}", numbers[0].unit) for kind in kinds]

    # --- where things stand

    def _shape(self) -> str:
        """Choose among the shapes that this draft can take."""
        many = len(self.draft.groups) > 1
        rows = len(self.draft.rows())
        possible = []
        for shape in self.draft.shapes:
            fits = {
                "flat": True,
                "blocks": many,
                "sheets": many and self.style.medium == "book",
                "records": rows <= 12,
                "transposed": 2 <= rows <= 10,
                "wide": any(self._fits(pivot) for pivot in self.draft.pivots),
            }[shape]
            if fits:
                possible += [shape] * {"flat": 4, "records": 1, "transposed": 1}.get(shape, 3)
        return self.dice.choice(possible)

    def _place(self, groups: Sequence[Group]) -> tuple[list[str], list[str], str]:
        """Return the keys of the columns, those of the entries, and the words of the heading."""
        heading = self._title if self.dice.random() < 0.4 else ""
        entries = []
        columns = []
        for key, field in self.draft.fields.items():
            if any(key in row for row in groups[0].rows):
                columns.append(key)
            elif not self._is_common(key, groups):
                columns.append(key)
                if key == self.draft.id_key:
                    self.traits.append("id column")
            else:
                where = self.dice.choice(field.places)
                if where == "column":
                    columns.append(key)
                elif where == "entry":
                    entries.append(key)
                else:
                    heading = self._put(where, key, groups[0], heading)
                if key == self.draft.id_key:
                    self.traits.append(f"id {where}")
        if not self.dice.randrange(3):
            columns = self._shuffled(columns)
        return columns, entries, heading

    def _shuffled(self, columns: list[str]) -> list[str]:
        """Change the order of the columns; what is laid sideways stays side by side."""
        sideways = [key for key in columns if "@" in key]
        parts = [[key] for key in columns if "@" not in key] + ([sideways] if sideways else [])
        self.dice.shuffle(parts)
        return [key for part in parts for key in part]

    def _put(self, where: str, key: str, group: Group, heading: str) -> str:
        """Put an id into the heading or a name, and return the heading."""
        cell = group.constants[key]
        assert isinstance(cell, Text)
        if where == "heading":
            return self._heading(self.draft.fields[key].title, cell.text)
        if where == "folder":
            self._folder = self.dice.choice((cell.text, f"2024/{cell.text}"))
        elif where == "sheet" and self.style.medium == "book":
            self._sheet_named = cell.text
        else:
            self._name = self._name_with(cell.text)
        return heading

    @staticmethod
    def _is_common(key: str, groups: Sequence[Group]) -> bool:
        return all(key in group.constants for group in groups) and (
            len({group.constants[key] for group in groups}) == 1
        )

    def _page(self, heading: str, entries: Sequence[str], tables: Sequence[Table]) -> list[Line]:
        """Return the preamble of a page and its tables."""
        lines: list[Line] = [Sentence(heading)] if heading else []
        if self.dice.random() < 0.25:
            lines.append(Sentence(word(self.dice, "text.free", self.style.language)))
        lines += [self._entry(key, self.draft.groups[0].constants[key]) for key in entries]
        if self.dice.random() < 0.3:
            lines += [Entry(title, Text(text)) for title, text in self.draft.distractors]
        lines += [Sentence(text) for text in self.draft.sentences]
        if self.style.unit_place == "sentence" and (said := self._unit_sentence()):
            lines.append(Sentence(said))
        if lines and tables and self.dice.random() < 0.7:
            lines.append(Blank())
        lines += tables
        return lines

    def _unit_sentence(self) -> str:
        parts = [
            f"{field.title} {word(self.dice, 'text.in', self.style.language)} {field.unit}"
            for key, field in self.draft.fields.items()
            if field.unit and not self._goes_without(field) and not self._is_entry(key)
        ]
        if not parts:
            return ""
        return f"{word(self.dice, 'text.units', self.style.language)}: {'; '.join(parts)}"

    def _is_entry(self, key: str) -> bool:
        """Say whether a quantity is the same for all: its unit is written beside it anyway."""
        return key not in self.draft.groups[0].rows[0]

    def _goes_without(self, field: Field) -> bool:
        return field.bare and self.style.leave_out_customary

    def _entry(self, key: str, cell: Cell) -> Entry:
        field = self.draft.fields[key]
        if not field.unit or self._goes_without(field) or isinstance(cell, Text):
            return Entry(field.title, cell, percent=field.percent)
        if self.style.unit_place in {"round", "square"} and self.dice.random() < 0.5:
            return Entry(titled(field.title, field.unit, self.style, self.dice), cell)
        return Entry(field.title, cell, field.unit)

    def _table(
        self, groups: Sequence[Group], columns: Sequence[str], *, plain: bool = False
    ) -> Table:
        """Return a table of these groups; plain: without index, statistics and merged cells."""
        style, dice = self.style, self.dice
        shown = [self.draft.fields[key] for key in columns]
        head = [[self._title_of(key) for key in columns]]
        if style.unit_place.startswith("row"):
            units = [self._unit_of(field) for field in shown]
            if any(units):
                head.append([bracketed(unit, style) for unit in units])
        rows: list[list[Cell]] = []
        numbers: list[int] = []
        for n, group in enumerate(groups):
            for row in group.rows:
                whole = {**group.constants, **row}
                rows.append([self._cell(key, whole.get(key)) for key in columns])
                numbers.append(n)
        table = Table(head, rows, [field.percent for field in shown], groups=numbers)
        if not plain:
            self._embellish(table, groups, columns)
        return table

    def _embellish(self, table: Table, groups: Sequence[Group], columns: Sequence[str]) -> None:
        """Add what a person passes over or fills in."""
        style, dice = self.style, self.dice
        if len(groups) > 1 and dice.random() < MERGED_SHARE and columns[0] in groups[0].constants:
            table.merge = [n for n, key in enumerate(columns) if key in groups[0].constants]
            self.traits.append("merged")
        elif self.draft.statistics_of and dice.random() < FOOTER_SHARE and len(table.rows) > 2:
            self._foot(table, columns)
        if style.medium == "text" and dice.random() < AMID_SHARE and len(table.rows) > 3:
            said = word(dice, "text.amid", style.language)
            table.amid = {dice.randrange(1, len(table.rows)): said}
            self.traits.append("comment amid")
        elif style.medium == "text" and dice.random() < AMID_SHARE:
            starts = [
                n for n in range(1, len(table.rows)) if table.groups[n] != table.groups[n - 1]
            ]
            table.amid = dict.fromkeys(starts, "")
            self.traits += ["empty lines amid"] if starts else []

    def _foot(self, table: Table, columns: Sequence[str]) -> None:
        """Add rows of statistics below."""
        places = [n for n, key in enumerate(columns) if key in self.draft.statistics_of]
        free = [n for n in range(len(columns)) if n not in places]
        if not places or not free or free[0] != 0:
            return
        self.traits.append("statistics below")
        for kind in ("mean", "deviation", "least", "most")[: self.dice.choice((1, 2, 4))]:
            row: list[Cell] = [None] * len(columns)
            row[0] = Text(word(self.dice, f"statistics.{kind}", self.style.language))
            for n in places:
                numbers = [cell for cell in (r[n] for r in table.rows) if isinstance(cell, Number)]
                if len(numbers) > 1:
                    row[n] = self._statistics_of(numbers, [kind])[0]
            table.footer.append(row)

    def _cell(self, key: str, cell: Cell) -> Cell:
        field = self.draft.fields[key]
        unit = self._unit_of(field)
        if self.style.unit_place == "cell" and unit and isinstance(cell, Number):
            return replace(cell, unit=unit)
        return cell

    def _unit_of(self, field: Field) -> str:
        return "" if self._goes_without(field) else field.unit

    def _title_of(self, key: str) -> str:
        field = self.draft.fields[key]
        unit = self._unit_of(field)
        place = self.style.unit_place
        if not unit or place == "cell" or place.startswith("row"):
            return field.title
        if place == "sentence":
            return field.title if not self._is_entry(key) else f"{field.title} ({unit})"
        return titled(field.title, unit, self.style, self.dice)

    # --- names

    @cached_property
    def _title(self) -> str:
        return word(self.dice, f"title.{self.draft.flavour}", self.style.language)

    @cached_property
    def _heading_form(self) -> str:
        return self.dice.choice(
            (
                "{field} {id}",
                "{title} {id}",
                "{title}: {id}",
                "--- {id} ---",
                "=== {field} {id} ===",
                "{id}",
            )
        )

    def _heading(self, title: str, identity: str) -> str:
        return self._heading_form.format(field=title, id=identity, title=self._title)

    def _id_of(self, group: Group) -> str:
        cell = group.constants[self.draft.id_key]
        assert isinstance(cell, Text)
        return cell.text

    @property
    def _interval_word(self) -> str:
        return self.dice.choice(("Run", "Sheet", "Data"))

    @property
    def _sheet_name(self) -> str:
        return getattr(self, "_sheet_named", "") or self.dice.choice(("Sheet1", "Data", "Tabelle1"))

    def _plain_name(self) -> str:
        stem = self.dice.choice((*STEMS, self.draft.flavour))
        return self.dice.choice(
            (stem, f"{stem}_{self.dice.randint(1, 40)}", f"{stem} {self.dice.choice('abc')}")
        )

    def _name_with(self, identity: str) -> str:
        said = identity if self.dice.random() < 0.85 else identity.lower()
        stem = self.draft.flavour.replace("_", " ")
        return self.dice.choice(
            (
                said,
                f"{stem} {said}",
                f"{said} {stem}",
                f"{stem}_{said}",
                f"{said}_{stem.split()[0]}",
            )
        )

    def _split_clocks(self) -> None:
        """Part every time into its date and its clock."""
        draft = self.draft
        for key in [key for key in draft.fields if key.endswith("measured")]:
            cells = [row[key] for row in draft.rows() if key in row]
            if not all(isinstance(cell, Moment) and cell.part == "both" for cell in cells):
                return
            date = replace(draft.fields[key], title=word(self.dice, "time.date", draft.language))
            clock = replace(date, title=self._clock_title())
            draft.fields = {
                k: f
                for old, field in draft.fields.items()
                for k, f in (
                    ((f"{key}.date", date), (f"{key}.clock", clock))
                    if old == key
                    else ((old, field),)
                )
            }
            for group in draft.groups:
                for part in (group.constants, *group.rows):
                    if isinstance(cell := part.pop(key, None), Moment):
                        part[f"{key}.date"] = replace(cell, part="date")
                        part[f"{key}.clock"] = replace(cell, part="clock")

    def _clock_title(self) -> str:
        taken = {field.title for field in self.draft.fields.values()}
        free = [w for w in words_for("time.clock", self.draft.language) if w not in taken]
        return self.dice.choice(free or ["hh:mm"])


def titled(title: str, unit: str, style: Style, dice: Random) -> str:
    """Put the unit beside the title as this file does it."""
    place = style.unit_place
    if place == "slash" and "/" in unit:
        place = "square"
    written = {
        "round": f"{title} ({unit})",
        "square": f"{title} [{unit}]",
        "slash": f"{title} / {unit}",
        "comma": f"{title}, {unit}",
        "in": f"{title} {word(dice, 'text.in', style.language)} {unit}",
        "space": f"{title} {unit}",
    }
    return written.get(place, f"{title} ({unit})")


def bracketed(unit: str, style: Style) -> str:
    """Return a unit as it stands in a row of its own."""
    return f"[{unit}]" if unit and style.unit_place == "row square" else unit
