"""A layout that was taught: a profile in TOML, checked, and the reader that it becomes."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from fnmatch import fnmatch
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from tiecoat.plugin import Claim, Export, Kind, Measurement
from tiecoat.tabular.answers import ID_OF_ONE_FILE, checked, converts, roles_of, tell_other_id
from tiecoat.tabular.around import tell_around
from tiecoat.tabular.assemble import measurements
from tiecoat.tabular.column_places import bare_title, without_place
from tiecoat.tabular.forms import IDS, PASS_OVER, Form, Take
from tiecoat.tabular.joining import joined
from tiecoat.tabular.keys_told import key_told, keys_of
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.match import attempt
from tiecoat.tabular.reader import AnyTable, ids_of
from tiecoat.tabular.teaching import Teaching
from tiecoat.tabular.told_against import tell_otherwise
from tiecoat.tabular.told_entries import FileTable
from tiecoat.tabular.told_lines import name_told

_SURE, _IN_PART, _HINT = 0.97, 0.91, 0.3  # in part: the table has further titles


class _TaughtSection(BaseModel):
    model_config = ConfigDict(extra="allow", frozen=True, strict=True, populate_by_name=True)


class Taking(_TaughtSection):
    """What a title is: `as` a column, source or key, or a form for cells that hold several; its unit,
    sign and scale; for a wide layout the identity column and its value, such as `angle_deg = 60`."""

    role: str = Field(alias="as")
    unit: str | None = None
    sign: Literal["turned", "as it stands"] | None = None
    scale: Literal["log10", "plain"] | None = None
    factor: float = Field(default=1.0, gt=0, strict=False)


class FileSection(BaseModel):
    """How the file writes dates and numbers, and what is passed over in it."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    dates: Literal["day first", "month first"] | None = None
    decimal: Literal["point", "comma"] | None = None
    pass_over: tuple[Annotated[str, Field(min_length=1)], ...] = Field(default=(), strict=False)
    pass_over_sheets: tuple[Annotated[str, Field(min_length=1)], ...] = Field(
        default=(), strict=False
    )


class TaughtProfile(BaseModel):
    """A taught layout as written.

    Parameters
    ----------
    name, kind, version
        Of the reader that it becomes.
    titles
        A table that has all these titles is of this layout.
    lines
        Forms of lines, where no titles say what stands in them; the last makes a row.
    file_name
        How files of this layout are called, with * for what changes; or a form of their names
        without the ending, which tells something for every row.
    sheet
        The form of the names of sheets, where they tell something for every row.
    take
        Title of the export -> what it is; "pass over" for a column that is not wanted.
    told
        Column, source or key -> its value for every row ("14.6 cm2").
    words
        Column -> the export's word -> the kind's.
    file
        How the file writes dates and numbers, and what is passed over in it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    name: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
    kind: str
    version: str = Field(min_length=1)
    titles: tuple[str, ...] = Field(default=(), strict=False)
    lines: tuple[str, ...] = Field(default=(), strict=False)
    file_name: Annotated[str, Field(min_length=1)] | None = None
    sheet: Annotated[str, Field(min_length=1)] | None = None
    take: dict[str, Taking | Literal["pass over"]] = Field(default_factory=dict)
    told: dict[str, str] = Field(default_factory=dict)
    words: dict[str, dict[str, str]] = Field(default_factory=dict)
    file: FileSection = FileSection()

    @field_validator("told", mode="before")
    @classmethod
    def _texts(cls, told: object) -> object:
        if isinstance(told, dict):
            return {
                name: value if isinstance(value, str) else str(value)
                for name, value in told.items()
            }
        return told

    @field_validator("lines")
    @classmethod
    def _forms(cls, lines: tuple[str, ...]) -> tuple[str, ...]:
        for line in lines:
            Form(line)
        return lines

    @field_validator("file_name", "sheet")
    @classmethod
    def _names(cls, name: str | None) -> str | None:
        if name is not None and "{" in name:
            Form(name)
        return name

    @model_validator(mode="after")
    def _known_by(self) -> TaughtProfile:
        if bool(self.titles) == bool(self.lines):
            raise ValueError("needs either titles (of a table) or lines (where no titles stand)")
        if self.lines and self.file_name is None and not self._says_a_word():
            raise ValueError(
                "lines without a word of their own fit any file: file_name must say how theirs are called"
            )
        return self

    def _says_a_word(self) -> bool:
        return any(Form(line).has_word for line in self.lines)

    def teaching(self) -> Teaching:
        """Return it as the reader of tables takes it."""
        return Teaching(
            {title: _take(taking) for title, taking in self.take.items()},
            self.told,
            self.words,
            {"day first": "day", "month first": "month", None: None}[self.file.dates],
            self.file.decimal,
            self.file.pass_over,
            tuple(map(Form, self.lines)),
            Form(self.sheet) if self.sheet else None,
            Form(self.file_name) if self.file_name and "{" in self.file_name else None,
            self.file.pass_over_sheets,
        )


def _take(taking: Taking | Literal["pass over"]) -> Take:
    if isinstance(taking, str):
        return Take(None)
    if "{" in taking.role:
        return Take(None, parts=Form(taking.role))
    told = (taking.model_extra or {}).items()
    given = [(key, float(v) if isinstance(v, int) else v) for key, v in told]
    take = Take(
        taking.role,
        taking.unit,
        None if taking.sign is None else taking.sign == "turned",
        None if taking.scale is None else taking.scale == "log10",
        taking.factor,
    )
    return take.at(*given)


def problems(profile: TaughtProfile, lexicon: Lexicon) -> Iterator[tuple[tuple[str, ...], str]]:
    """Say what the kind does not know of a profile: key and message."""
    names = set(roles_of(lexicon))
    for key, name in (("file_name", profile.file_name), ("sheet", profile.sheet)):
        if name and "{" in name:
            yield from (((key,), told) for told in _of_form(Form(name), lexicon))
    for number, line in enumerate(profile.lines):
        yield from ((("lines", str(number)), told) for told in _of_form(Form(line), lexicon))
    for title, taking in profile.take.items():
        if isinstance(taking, str):
            continue
        if "{" in taking.role:
            form = Form(taking.role)
            yield from ((("take", title, "as"), told) for told in _of_form(form, lexicon))
        elif taking.role not in names:
            yield ("take", title, "as"), f"{taking.role!r} is none of {', '.join(sorted(names))}"
        elif (
            taking.unit
            and (role := lexicon.roles[taking.role]).unit
            and not converts(taking.unit, role.unit)
        ):
            yield ("take", title, "unit"), f"{taking.unit!r} does not convert to {role.unit!r}"
        try:
            tell_other_id(title, _take(taking))
        except ValueError as error:
            yield ("take", title), str(error)
        for key, value in (taking.model_extra or {}).items():
            if key not in (keys := (*keys_of(lexicon), lexicon.kind.per)):
                allowed = ", ".join(keys) or "none"
                yield ("take", title, key), f"no such key; for a wide layout one of {allowed}"
                continue
            try:
                key_told(lexicon, key, float(value) if isinstance(value, int) else value)
            except ValueError as error:
                yield ("take", title, key), str(error)
    for name in profile.told:
        if name not in names:
            yield ("told", name), f"none of {', '.join(sorted(names))}"
        elif name in IDS:
            yield ("told", name), ID_OF_ONE_FILE.format(name)
    for name in profile.words:
        if name not in lexicon.infos or lexicon.infos[name].type != "str":
            yield ("words", name), "no column of text of this kind"


def _of_form(form: Form, lexicon: Lexicon) -> Iterator[str]:
    for place in form.places:
        try:
            checked(lexicon, place.take)
        except ValueError as error:
            yield f"{place.raw}: {error}"


class TaughtTable(AnyTable):
    """Reads the exports of one layout that was taught.

    Parameters
    ----------
    profile
        Checked.
    kinds
        All kinds, by name: they tell titles from other texts.
    """

    last_resort = False

    def __init__(self, profile: TaughtProfile, kinds: Mapping[str, Kind]) -> None:
        super().__init__(kinds, taught=profile.teaching())
        self.name, self.kind, self.version = profile.name, profile.kind, profile.version
        self._taught_kind = profile.kind
        self._shown = profile.titles
        self._titles = {bare_title(title) for title in profile.titles}
        plain = [without_place(title) for title in profile.titles]
        self._plain_titles = {bare_title(title) for title in plain}
        self._shown_words = [word for title in plain for word in title.casefold().split()]
        self._file_name = profile.file_name

    def _known(self, text: str) -> bool:
        return bare_title(text) in self._plain_titles or super()._known(text)

    @property
    def taught(self) -> Teaching:
        """What was said of the layout."""
        return self._taught

    @property
    def _lexicon(self) -> Lexicon:
        return next(each for each in self.lexicons if each.kind.name == self.kind)

    def in_words(self) -> Iterator[str]:
        """Say what the profile does, a line for each thing."""
        taught = self._taught
        if self._shown:
            yield f"It reads tables with the titles {', '.join(self._shown)}."
        for form in taught.lines:
            yield f"It reads lines such as {form.text}"
        if self._file_name:
            yield f"It reads files that are called {self._file_name}."
        for title, take in taught.take.items():
            yield f"  '{title}' is {_said(take)}."
        for place in taught.places:
            yield f"  {place.raw} is {_said(place.take)}."
        for name, value in taught.told.items():
            yield f"  {name} is {value} in every row."
        for column, words in taught.words.items():
            yield from (f"  '{word}' means {own} for {column}." for word, own in words.items())
        if taught.sheet:
            yield f"  The names of its sheets tell {taught.sheet.text}."
        for name in taught.pass_over_sheets:
            yield f"  Sheets that are called '{name}' are passed over."
        for word in taught.pass_over:
            yield f"  Rows that begin with '{word}', or have it as a cell, are passed over."

    def _may_be(self, export: Export) -> bool:
        """Tell at a glance whether a file can be of the layout: its name, and the words of the titles."""
        if self._file_name and not _called(export, self._file_name.casefold()):
            return False
        if export.is_workbook or not self._shown_words:
            return True
        text = export.text().casefold()
        return all(word in text for word in self._shown_words)

    def _of_layout(self, export: Export) -> list[FileTable]:
        """Return the tables that have all titles of the layout, or rows of its lines.

        A row of nothing but values may stand in any file: it counts below the other lines only.
        """
        tables = self.look(export).tables
        if not self._names_own_ids(export, tables):
            return []
        if forms := self._taught.lines:
            places = {place.raw for form in forms for place in form.places}
            of_forms = [t for t in tables if places & {column.title for column in t.seen.columns}]
            return [t for t in of_forms if t.seen.rows or forms[-1].has_word]
        return [t for t in tables if self._titles <= {bare_title(title.raw) for title in t.titles}]

    def _names_own_ids(self, export: Export, tables: Sequence[FileTable]) -> bool:
        """Tell whether a file names every id that a line of the layout is of: else it is of others."""
        places = (place for form in self._taught.lines for place in form.places)
        ids = {str(told).casefold() for one in places for key, told in one.take.keys if key in IDS}
        if not ids:
            return True
        cells = (cell for table in tables for row in table.seen.grid.rows for cell in row)
        shown = "\n".join(map(str, cells)) if export.is_workbook else export.text()
        text = f"{shown}\n{export.name}".casefold()
        return all(re.search(rf"(?<!\w){re.escape(one)}(?!\w)", text) for one in ids)

    def _is_whole(self, table: FileTable) -> bool:
        """Tell whether a table has no other titles than the layout."""
        made = {bare_title(place.raw) for place in self._taught.places}
        titles = {bare_title(title.raw) for title in table.titles if title.raw.strip()}
        return bool(self._taught.lines) or titles - made <= self._titles

    def is_whole(self, export: Export) -> bool:
        """Tell whether a file has a table with the titles of the layout and no others."""
        return any(map(self._is_whole, self._of_layout(export)))

    def recognise(self, export: Export) -> Claim | None:
        """Claim what has a table with all titles of the layout, or lines of its forms."""
        if export.is_picture:
            return None
        self._decode(export)
        if self._may_be(export) and (own := self._of_layout(export)):
            shown = ", ".join(self._taught.take) or self.kind
            sure = _SURE if any(map(self._is_whole, own)) else _IN_PART
            return Claim(sure, f"the layout that was taught: {shown}")
        what = "titles" if self._titles else "lines"
        return Claim(_HINT / 2, f"no table with the {what} of this layout")

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return the measurements of every table of the layout, and of others that show its kind."""
        file, ids = self.look(export), ids_of(export)
        own = {id(table) for table in self._of_layout(export)}
        tried = [attempt(file, table, self._lexicon, ids, self._taught) for table in file.tables]
        found = [each for each in tried if each.shown or id(each.table) in own]
        tell_otherwise(found, ids)
        yield from joined((m for each in found for m in measurements(each)), self._kinds)
        tell_around(found)
        self._tell_unread(export, found)


def _called(export: Export, pattern: str) -> bool:
    """Tell whether a file is called so; a pattern with a slash counts its folder too."""
    name = export.name.casefold()
    if "{" in pattern:
        called = name_told(pattern, name, export.folder.casefold())
        return fnmatch(called, re.sub(r"\{[^{}]*\}", "*", pattern))
    if "/" in pattern:
        name = f"{export.folder.casefold().replace(chr(92), '/').rpartition('/')[2]}/{name}"
    return fnmatch(name, pattern)


def _said(take: Take) -> str:
    if take.parts is not None:
        return f"several things: {take.parts.text}"
    if take.role is None:
        return PASS_OVER.replace("pass", "passed")
    more = [f"in {take.unit}"] if take.unit else []
    more += ["with its sign turned"] if take.turned else []
    more += ["a decimal logarithm"] if take.log else []
    more += [f"times {take.factor:g}"] if take.factor != 1 else []
    more += [f"at {key} {value}" for key, value in take.keys]
    return f"{take.role}{', ' if more else ''}{', '.join(more)}"


def written(
    name: str,
    kind: str,
    titles: tuple[str, ...],
    taught: Teaching,
    source: str,
    *,
    file_name: str | None = None,
    version: str = "1",
) -> str:
    """Return a profile as the text of its TOML file.

    Examples
    --------
    >>> print(written("a", "gloss", ("Reading",), Teaching({"Reading": Take(None)}), "b.csv"))
    # A layout, learnt from b.csv. Keys: tiecoat profile --reference
    name = "a"
    kind = "gloss"
    version = "1"
    titles = ["Reading"]
    <BLANKLINE>
    [take]
    "Reading" = "pass over"
    <BLANKLINE>
    """
    lines = [
        f"# A layout, learnt from {' '.join(source.split())}. Keys: tiecoat profile --reference",
        f"name = {json.dumps(name)}",
        f"kind = {json.dumps(kind)}",
        f"version = {json.dumps(version)}",
    ]
    if taught.lines:
        lines += ["lines = [", *(f"    {_quoted(form.text)}," for form in taught.lines), "]"]
    else:
        lines += [f"titles = [{_listed(titles)}]"]
    file_name = taught.file.text if taught.file else file_name
    lines += [f"file_name = {_quoted(file_name)}"] if file_name else []
    lines += [f"sheet = {_quoted(taught.sheet.text)}"] if taught.sheet else []
    if taught.take:
        lines += [
            "",
            "[take]",
            *(f"{_quoted(title)} = {_written(take)}" for title, take in taught.take.items()),
        ]
    if taught.told:
        lines += [
            "",
            "[told]",
            *(f"{name} = {_quoted(value)}" for name, value in taught.told.items()),
        ]
    for column, words in taught.words.items():
        lines += [
            "",
            f"[words.{column}]",
            *(f"{_quoted(k)} = {_quoted(v)}" for k, v in words.items()),
        ]
    if taught.dates or taught.decimal or taught.pass_over or taught.pass_over_sheets:
        lines += ["", "[file]"]
        lines += [f'dates = "{taught.dates} first"'] if taught.dates else []
        lines += [f'decimal = "{taught.decimal}"'] if taught.decimal else []
        lines += [f"pass_over = [{_listed(taught.pass_over)}]"] if taught.pass_over else []
        sheets = taught.pass_over_sheets
        lines += [f"pass_over_sheets = [{_listed(sheets)}]"] if sheets else []
    return "\n".join([*lines, ""])


def _listed(texts: Sequence[str]) -> str:
    return ", ".join(map(_quoted, texts))


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _written(take: Take) -> str:
    if take.parts is not None:
        return "{ as = " + _quoted(take.parts.text) + " }"
    if take.role is None:
        return _quoted(PASS_OVER)
    parts: list[tuple[str, Any]] = [("as", _quoted(take.role))]
    parts += [("unit", _quoted(take.unit))] if take.unit is not None else []
    parts += (
        [("sign", _quoted("turned" if take.turned else "as it stands"))]
        if take.turned is not None
        else []
    )
    parts += [("scale", _quoted("log10" if take.log else "plain"))] if take.log is not None else []
    parts += [("factor", f"{take.factor!r}")] if take.factor != 1 else []
    parts += [(k, _quoted(v) if isinstance(v, str) else f"{v!r}") for k, v in take.keys]
    return "{ " + ", ".join(f"{name} = {value}" for name, value in parts) + " }"
