"""What a lab, and what a table profile, says where a file leaves it open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal
from zoneinfo import ZoneInfo


@dataclass(frozen=True)
class Habits:
    """What the lab does where a file leaves it open."""

    code_page: str = "cp1252"
    decimal: Literal["auto", "point", "comma"] = "auto"
    zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("UTC"))
    time_formats: tuple[str, ...] = ()
    panel_ids: str = r"(?!)"  # how ids look in the lab; nothing looks like one where it is not set
    batch_ids: str = r"(?!)"
    words: Mapping[str, Mapping[str, Sequence[str]]] = field(
        default_factory=dict
    )  # by kind, column


@dataclass(frozen=True)
class Layout:
    """What a table profile declares about a file; each may be left open.

    `sheet` limits a workbook to one sheet. A row whose first cell starts with the text `end` ends
    the table, and what follows up to the next one is passed over. So is each table whose header
    row shows all titles of one of `ignore`, up to an empty row.
    """

    encoding: str | None = None
    delimiter: str | None = None
    decimal: Literal["point", "comma"] | None = None
    sheet: str | None = None
    end: str | None = None
    ignore: tuple[tuple[str, ...], ...] = ()
