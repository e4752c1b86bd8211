"""Table profiles as they are written: a TOML description of a tabular export.

A profile needs no code. It says how the file is recognised, which titles its columns may have, and
what the export leaves unsaid (units, fixed values, other words).
"""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    field_validator,
    model_validator,
)

IDENTIFIER = re.compile(r"[a-z][a-z0-9_]*")


class _ProfileSection(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


def _text_or_number(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("allowed is a text or a number")
    return value if isinstance(value, str) else float(value)


Titles = Annotated[
    tuple[Annotated[str, Field(min_length=1)], ...], Field(min_length=1, strict=False)
]
Constant = Annotated[str | float, BeforeValidator(_text_or_number)]


class ColumnOrEntry(_ProfileSection):
    """Where something stands: a column with one of these titles, or an entry above the table.

    A column that is not optional must be there and have a text in every row. An entry for the
    batch, the panel or the instrument may be missing: the file name or the register may tell.
    """

    titles: Titles | None = None
    entry: Titles | None = None
    optional: bool = False

    @model_validator(mode="after")
    def _one_place(self) -> ColumnOrEntry:
        if (self.titles is None) == (self.entry is None):
            raise ValueError("needs exactly one of titles (a column) and entry (above the table)")
        return self


class Column(_ProfileSection):
    """Where the values of one column of the kind come from, and what the export leaves unsaid."""

    titles: Titles | None = None
    entry: Titles | None = None
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


class Time(_ProfileSection):
    """When it was measured: in one place, or a date and a clock time in two."""

    titles: Titles | None = None
    entry: Titles | None = None
    date: ColumnOrEntry | None = None
    clock: ColumnOrEntry | None = None
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


class Recognise(_ProfileSection):
    """What a file must show besides the titles of the columns."""

    file_name: str | None = Field(default=None, min_length=1)
    first_lines: Titles | None = None


class LayoutSection(_ProfileSection):
    """What the file leaves open or the reader would else have to find out."""

    encoding: str | None = None
    delimiter: str | None = Field(default=None, min_length=1, max_length=1)
    decimal: Literal["point", "comma"] | None = None
    sheet: str | None = Field(default=None, min_length=1)
    end: str | None = Field(default=None, min_length=1)
    ignore: Annotated[tuple[Titles, ...], Field(strict=False)] = ()

    @field_validator("encoding")
    @classmethod
    def _exists(cls, name: str | None) -> str | None:
        try:
            "".encode(name or "ascii")
        except LookupError:
            raise ValueError("no such encoding; allowed are names such as cp1252, utf-8") from None
        return name


class WrittenProfile(_ProfileSection):
    """A table profile as written."""

    name: str
    kind: str
    version: str = Field(min_length=1)
    each: Literal["row", "table", "file"] = "row"
    by: Titles | None = None
    recognise: Recognise = Recognise()
    layout: LayoutSection = LayoutSection()
    batch: ColumnOrEntry | None = None
    panel: ColumnOrEntry | None = None
    time: Time | None = None
    instrument: ColumnOrEntry | None = None
    columns: dict[str, Column] = Field(min_length=1)

    @field_validator("name")
    @classmethod
    def _identifier(cls, name: str) -> str:
        if not IDENTIFIER.fullmatch(name):
            raise ValueError("allowed are lower-case letters, digits and underscores")
        return name
