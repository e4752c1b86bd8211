"""From the file of a table profile to a reader; what is wrong with it is told by key and line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from tiecoat.contract.columns import ColumnInfo, columns_of
from tiecoat.contract.words import truth_of
from tiecoat.errors import ProfileInvalid
from tiecoat.extend.profile import WrittenProfile
from tiecoat.lab.toml_lines import KeyPath, at, did_you_mean, explain, key_lines
from tiecoat.wording import at_line

if TYPE_CHECKING:
    from tiecoat.plugin import Kind, Reader


NUMBERS = ("float", "whole")
WHAT = {
    "float": "number",
    "whole": "whole number",
    "bool": "yes or no",
    "str": "text",
    "time": "time",
}


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
    from tiecoat.extend.profile_reader import TableReader

    text = _text(path)
    try:
        written = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileInvalid(f"{path}: not valid TOML: {at_line(str(error), text)}") from None
    if "columns" not in written and written.keys() & {"titles", "lines", "take", "told"}:
        return reader_of_taught(path, text, kinds)
    problems: list[str] = []
    profile = None
    try:
        profile = WrittenProfile.model_validate(written)
    except ValidationError as error:
        problems += explain(error, text, WrittenProfile).splitlines()
    lines = key_lines(text)
    problems += [f"  {at(key, lines)}: {message}" for key, message in _against_kind(written, kinds)]
    if problems or profile is None:
        raise ProfileInvalid("\n".join([f"{path}:", *sorted(problems, key=_line)]))
    return TableReader(profile, columns_of(kinds[profile.kind]))


def reader_of_taught(path: Path, text: str, kinds: Mapping[str, Kind]) -> Reader:
    """Make a reader from the text of a layout that was taught; `path` is for what is told of it.

    Raises
    ------
    ProfileInvalid
        If the text breaks a rule.
    """
    from tiecoat.tabular.lexicon import Lexicon
    from tiecoat.tabular.taught import TaughtProfile, TaughtTable, problems

    try:
        profile = TaughtProfile.model_validate(tomllib.loads(text))
    except ValidationError as error:
        raise ProfileInvalid(f"{path}:\n{explain(error, text, TaughtProfile)}") from None
    lines = key_lines(text)
    if profile.kind not in kinds:
        known = ", ".join(sorted(kinds))
        hint = did_you_mean(profile.kind, kinds)
        message = f"no kind {profile.kind!r}; {hint}there are {known}"
        raise ProfileInvalid(f"{path}:\n  {at(('kind',), lines)}: {message}")
    found = problems(profile, Lexicon(kinds[profile.kind]))
    if told := [f"  {at(key, lines)}: {message}" for key, message in found]:
        raise ProfileInvalid("\n".join([f"{path}:", *sorted(told, key=_line)]))
    return TaughtTable(profile, kinds)


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


def _is_of(value: object, info: ColumnInfo) -> bool:
    """Say whether a value that is the same in every file is of the type of its column."""
    match info.type:
        case "str":
            return isinstance(value, str)
        case "bool":
            return isinstance(value, str) and truth_of(value) is not None
        case "whole":
            return isinstance(value, float) and value.is_integer()
        case _:
            return not isinstance(value, str)


def _column(info: ColumnInfo, column: Mapping[str, Any]) -> Iterator[tuple[KeyPath, str]]:
    """Check one column as written against what the kind says of it."""
    yield from _unit(info, column.get("unit"))
    what = WHAT[info.type]
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
    elif not _is_of(value, info):
        yield ("value",), f"found {value!r}; {info.name} is a {what}"


def _unit(info: ColumnInfo, unit: object) -> Iterator[tuple[KeyPath, str]]:
    from tiecoat.dialect.units import scale, understand

    if not isinstance(unit, str):
        return
    if info.type not in NUMBERS:
        yield ("unit",), f"{info.name} is not a number and has no unit"
    elif understand(unit) is None:
        yield ("unit",), f"found {unit!r}; no such unit; one like {info.unit!r} is expected"
    elif scale(unit, info.unit) is None:
        yield ("unit",), f"found {unit!r}; it does not convert to {info.unit!r}"
