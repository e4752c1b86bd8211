"""Table profiles: a TOML description of a tabular export, checked, from which a reader is made.

A profile needs no code. It says how the file is recognised, which titles its columns may have, and
what the export leaves unsaid (units, fixed values, other words). Everything wrong with a profile is
told at once, by key and line.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    field_validator,
    model_validator,
)

from tiecoat.errors import ProfileInvalid
from tiecoat.lab.toml_lines import KeyPath, at, did_you_mean, explain, key_lines

if TYPE_CHECKING:
    from tiecoat.contract.columns import ColumnInfo
    from tiecoat.plugin import Kind, Reader

IDENTIFIER = re.compile(r"[a-z][a-z0-9_]*")


class _Section(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


def _text_or_number(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("allowed is a text or a number")
    return value if isinstance(value, str) else float(value)


Names = Annotated[
    tuple[Annotated[str, Field(min_length=1)], ...], Field(min_length=1, strict=False)
]
Constant = Annotated[str | float, BeforeValidator(_text_or_number)]


class Place(_Section):
    """Where something stands: a column with one of these titles, or an entry above the table.

    A column that is not optional must be there and have a text in every row. An entry for the
    batch, the panel or the instrument may be missing: the file name or the register may tell.
    """

    titles: Names | None = None
    entry: Names | None = None
    optional: bool = False

    @model_validator(mode="after")
    def _one_place(self) -> Place:
        if (self.titles is None) == (self.entry is None):
            raise ValueError("needs exactly one of titles (a column) and entry (above the table)")
        return self


class Column(_Section):
    """Where the values of one column of the kind come from, and what the export leaves unsaid."""

    titles: Names | None = None
    entry: Names | None = None
    value: Constant | None = None
    unit: str | None = None
    words: dict[str, str] | None = None
    format: str | None = None
    optional: bool = False

    @model_validator(mode="after")
    def _one_place(self) -> Column:
        if sum(place is not None for place in (self.titles, self.entry, self.value)) != 1:
            raise ValueError(
                "needs exactly one of titles (a column), entry (above the table) and value (fixed)"
            )
        return self


class Time(_Section):
    """When it was measured: in one place, or a date and a clock time in two."""

    titles: Names | None = None
    entry: Names | None = None
    date: Place | None = None
    clock: Place | None = None
    format: str | None = None
    optional: bool = False

    @model_validator(mode="after")
    def _one_place(self) -> Time:
        if (self.date is None) != (self.clock is None):
            raise ValueError("date and clock go together: give both, or titles or entry alone")
        if sum(place is not None for place in (self.titles, self.entry, self.date)) != 1:
            raise ValueError(
                "needs exactly one of titles (a column), entry (above the table), date and clock"
            )
        return self


class Recognise(_Section):
    """What a file must show besides the titles of the columns."""

    file_name: str | None = Field(default=None, min_length=1)
    first_lines: Names | None = None


class LayoutSection(_Section):
    """What the file leaves open or the reader would else have to find out."""

    encoding: str | None = None
    delimiter: str | None = Field(default=None, min_length=1, max_length=1)
    decimal: Literal["point", "comma"] | None = None
    sheet: str | None = Field(default=None, min_length=1)
    end: str | None = Field(default=None, min_length=1)
    ignore: Annotated[tuple[Names, ...], Field(strict=False)] = ()

    @field_validator("encoding")
    @classmethod
    def _exists(cls, name: str | None) -> str | None:
        try:
            "".encode(name or "ascii")
        except LookupError:
            raise ValueError("no such encoding; allowed are names such as cp1252, utf-8") from None
        return name


class Profile(_Section):
    """A table profile as written."""

    name: str
    kind: str
    version: str = Field(min_length=1)
    each: Literal["row", "table", "file"] = "row"
    by: Names | None = None
    recognise: Recognise = Recognise()
    layout: LayoutSection = LayoutSection()
    batch: Place | None = None
    panel: Place | None = None
    time: Time | None = None
    instrument: Place | None = None
    columns: dict[str, Column] = Field(min_length=1)

    @field_validator("name")
    @classmethod
    def _identifier(cls, name: str) -> str:
        if not IDENTIFIER.fullmatch(name):
            raise ValueError("allowed are lower-case letters, digits and underscores")
        return name


def load_profile(path: Path, kinds: Mapping[str, Kind]) -> Reader:
    """Make a reader from a table profile.

    Parameters
    ----------
    path
        The TOML file, UTF-8.
    kinds
        The kinds that are there, by name.

    Raises
    ------
    ProfileInvalid
        If the profile breaks a rule; the message names every key that does, its line, what was
        found and what is allowed.
    """
    from tiecoat.contract.columns import columns_of
    from tiecoat.extend.profile_reader import TableReader

    text = _text(path)
    try:
        written = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileInvalid(f"{path}: not valid TOML: {error}") from None
    problems: list[str] = []
    profile = None
    try:
        profile = Profile.model_validate(written)
    except ValidationError as error:
        problems += explain(error, text, Profile).splitlines()
    lines = key_lines(text)
    problems += [f"  {at(key, lines)}: {message}" for key, message in _against_kind(written, kinds)]
    if problems or profile is None:
        raise ProfileInvalid("\n".join([f"{path}:", *sorted(problems, key=_line)]))
    return TableReader(profile, columns_of(kinds[profile.kind]))


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProfileInvalid(f"{path}: not UTF-8 at byte {error.start}; save it as UTF-8") from None
    except OSError as error:
        raise ProfileInvalid(f"{path}: cannot be opened: {error.strerror}") from None


def _line(problem: str) -> int:
    found = re.match(r"\s*line (\d+):", problem)
    return int(found[1]) if found else 0


def _against_kind(
    written: Mapping[str, Any], kinds: Mapping[str, Kind]
) -> Iterator[tuple[KeyPath, str]]:
    """Check what only the kind can tell, on the text as written: other faults may be in it too."""
    from tiecoat.contract.columns import columns_of

    name, columns = written.get("kind"), written.get("columns")
    if not isinstance(name, str):
        return
    if name not in kinds:
        known = ", ".join(sorted(kinds))
        yield ("kind",), f"no kind {name!r}; {did_you_mean(name, kinds)}there are {known}"
        return
    if not isinstance(columns, dict):
        return
    infos = {info.name: info for info in columns_of(kinds[name])}
    for info in infos.values():
        if info.name not in columns and not info.nullable:
            yield ("columns", info.name), f"is missing, and kind {name} needs it: {info.meaning}"
    for key, column in columns.items():
        if key not in infos:
            hint = did_you_mean(key, infos)
            yield (
                ("columns", key),
                f"kind {name} has no such column; {hint}it has {', '.join(infos)}",
            )
        elif isinstance(column, dict):
            yield from ((("columns", key, *end), text) for end, text in _column(infos[key], column))
    tables = [column for column in columns.values() if isinstance(column, dict)]
    if not any("titles" in column and not column.get("optional") for column in tables):
        yield ("columns",), "one column at least must have titles and not be optional"
    yield from _by(written, columns)


def _by(written: Mapping[str, Any], columns: Mapping[str, Any]) -> Iterator[tuple[KeyPath, str]]:
    by = written.get("by")
    if not isinstance(by, list):
        return
    if "each" in written:
        yield ("by",), "each and by exclude one another; leave one of them out"
    for name in by:
        if not isinstance(columns.get(name), dict) or "titles" not in columns[name]:
            with_titles = [key for key, at in columns.items() if isinstance(at, dict)]
            hint = did_you_mean(str(name), with_titles)
            yield ("by",), f"{name!r} is not a column with titles in this profile; {hint}".rstrip()


def _column(info: ColumnInfo, column: Mapping[str, Any]) -> Iterator[tuple[KeyPath, str]]:
    """Check one column as written against what the kind says of it."""
    yield from _unit(info, column.get("unit"))
    what = {"float": "number", "str": "text", "time": "time"}[info.type]
    if "words" in column and info.type != "str":
        yield ("words",), f"{info.name} is a {what}; words are for columns of text"
    if "format" in column and info.type != "time":
        yield ("format",), f"{info.name} is a {what}; a format is for times"
    if column.get("optional") is True and not info.nullable:
        yield ("optional",), f"{info.name} may not be missing"
    value = column.get("value")
    if value is None:
        return
    if info.type == "time":
        yield ("value",), f"{info.name} is a time and cannot be the same in every file"
    elif isinstance(value, str) != (info.type == "str"):
        yield ("value",), f"found {value!r}; {info.name} is a {what}"


def _unit(info: ColumnInfo, unit: object) -> Iterator[tuple[KeyPath, str]]:
    from tiecoat.dialect.units import scale, understand

    if not isinstance(unit, str):
        return
    if info.type != "float":
        yield ("unit",), f"{info.name} is not a number and has no unit"
    elif understand(unit) is None:
        yield ("unit",), f"found {unit!r}; no such unit; one like {info.unit!r} is expected"
    elif scale(unit, info.unit) is None:
        yield ("unit",), f"found {unit!r}; it does not convert to {info.unit!r}"
