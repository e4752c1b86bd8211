"""What the readers of photographs have in common: whose a picture is, and what its notes say."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import PurePath
from typing import Any, NoReturn

from tiecoat.plugin import Claim, Export, Measurement, Reason


def claim(export: Export, kind: str, words: Sequence[str]) -> Claim | None:
    """Claim a picture whose notes name the kind, or that has one of the words in name or folder."""
    if not export.is_picture:
        return None
    noted = export.notes.get("kind")
    if noted == kind:
        return Claim(0.9, f"a picture, and its notes say {kind}")
    if noted is not None:
        return Claim(0.0, f"a picture, but its notes say {noted}")
    called = _plain(f"{export.folder}/{export.name}")
    for word in words:
        if _plain(word) in called:
            return Claim(0.8, f"a picture with {word!r} in its name or folder")
    listed = ", ".join(repr(word) for word in words)
    return Claim(0.3, f"a picture, but none of {listed} stands in its name or folder")


def _plain(text: str) -> str:
    """Return a text as it is compared: some systems write an umlaut as two characters."""
    return unicodedata.normalize("NFC", text).casefold()


def noted_text(export: Export, key: str) -> str | None:
    """Return a text or a number of the notes as a text; None without it."""
    value = export.notes.get(key)
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        _refuse(export, key, value, "a text or a number")
    return str(value).strip()


def noted_number(export: Export, key: str) -> float | None:
    """Return a number of the notes; None without it."""
    value = export.notes.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        _refuse(export, key, value, "a number")
    return float(value)


@contextmanager
def held_if_nothing(export: Export) -> Iterator[None]:
    """Hold a picture on which there is nothing to measure, with what was seen instead."""
    from tiecoat.picture.nothing import NothingToMeasure

    try:
        yield
    except NothingToMeasure as nothing:
        export.hold(Reason.NOTHING_TO_MEASURE, found=nothing.seen, expected=nothing.expected)


def photograph_of(export: Export) -> str:
    """Return what tells the photograph from others of its panel: its notes, else the file name."""
    return noted_text(export, "photograph") or PurePath(export.name).stem


def measurement(export: Export, kind: str, columns: dict[str, list[Any]]) -> Measurement:
    """Return what was measured, with the panel, batch and instrument that the notes name.

    A picture has no rows: each value comes from row 1.
    """
    count = len(next(iter(columns.values())))
    return Measurement(
        columns,
        [1] * count,
        kind=kind,
        batch=noted_text(export, "batch"),
        panel=noted_text(export, "panel"),
        instrument=noted_text(export, "instrument"),
    )


def _refuse(export: Export, key: str, value: object, expected: str) -> NoReturn:
    found = f"{key} = {value!r} in {export.name}.toml"
    export.hold(Reason.NOTES_INVALID, found=found, expected=expected)
