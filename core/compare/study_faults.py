"""What is wrong with a study file: which line, what was found, what is expected, an example."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from tiecoat.lab.toml_lines import KeyPath, at, did_you_mean, key_lines
from tiecoat.wording import shortened

if TYPE_CHECKING:
    import tomllib

    from pydantic import ValidationError

# An example that works, by key. Keys of the same name in several tables mean the same.
EXAMPLES: Mapping[str, str] = {
    "name": 'name = "gloss"',
    "control": 'control = "RB-010"',
    "batches": 'batches = ["RB-010", "RB-011"]',
    "panels": 'panels = ["RB-010-1", "RB-011-1"]',
    "against": 'against = ["talc"]',
    "why": 'why = [["entrapped air", "void fraction"]]',
    "doses_percent": "doses_percent = [5, 10]",
    "exposure_h": "exposure_h = [24, 240]",
    "by": 'by = "A. Weber"',
    "ground": 'ground = "40 panels of this primer in 2025"',
    "kind": 'kind = "gloss"',
    "quantity": 'quantity = "gloss_mean"',
    "condition": 'condition = "60 deg"',
    "direction": 'direction = "lower"',
    "scale": 'scale = "ratio"',
    "method": 'method = "ratings"',
    "margin": "margin = 1.5",
    "margin_percent": "margin_percent = 30",
    "target": "target = 85",
    "weight": "weight = 2",
    "ideal": "ideal = 85",
    "unacceptable": "unacceptable = 60",
    "area": 'area = "evaluated_mm2"',
    "decisive": "decisive = true",
    "coat_systems": 'coat_systems = ["epoxy primer"]',
    "substrates": 'substrates = ["steel Sa 2½"]',
    "dollies_mm": "dollies_mm = [20]",
    "property": '[[property]] with name = "modulus" below it',
    "spreads_alike": '[spreads_alike] with by = "A. Weber" and ground = "..." below it',
    "application": "[application.roller] with weight = { modulus = 2 } below it",
}
OF_APPLICATION: Mapping[str, str] = {  # where a key means something else there
    "weight": "weight = { modulus = 2 }",
    "margin": 'margin = { "pull-off strength" = 1.5 }',
    "margin_percent": "margin_percent = { modulus = 30 }",
    "decisive": 'decisive = ["modulus", ["pull-off strength", "epoxy primer"]]',
}
TABLES = ("property", "spreads_alike", "application")
SHOWN = 60  # characters of a line that are told
PLACE = re.compile(r"\(at line (\d+), column \d+\)")
PAIR = re.compile(r"\s*(?P<key>[^=\[#]+?)\s*=\s*(?P<value>.*?)\s*$")
CURLY = "“”„‟«»‘’‚"
ALLOWED: Mapping[str, str] = {  # by what pydantic calls the fault
    "string_type": "a text in quotes",
    "string_too_short": "a text that is not empty",
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a finite number",
    "tuple_type": "a list",
    "greater_than": "greater than {gt:g}",
    "greater_than_equal": "greater than or equal to {ge:g}",
    "less_than": "less than {lt:g}",
    "less_than_equal": "less than or equal to {le:g}",
    "literal_error": "{expected}",
}


def toml_fault(error: tomllib.TOMLDecodeError, text: str) -> str:
    """Return why a text is no TOML: the line, what stands there, what is expected.

    Examples
    --------
    >>> import tomllib
    >>> try:
    ...     tomllib.loads("margin = 1,5")
    ... except tomllib.TOMLDecodeError as error:
    ...     print(toml_fault(error, "margin = 1,5"))
    line 1: margin = 1,5: found a decimal comma; expected a decimal point: margin = 1.5
    """
    lines = text.splitlines()
    place = PLACE.search(str(error))
    number = int(place[1]) if place else _last_told(lines)
    for at_line in (number, number - 1):  # what is not closed is noticed on the next line
        line = lines[at_line - 1].strip() if 0 < at_line <= len(lines) else ""
        if found := _fault_of(line, str(error) if at_line == number else ""):
            return f"line {at_line}: {shortened(line, SHOWN)}: {found}"
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    return (
        f"line {number}: found {shortened(line, SHOWN)!r}; expected a key with its value, such as"
        f" {EXAMPLES['margin']}, or the heading of a table, such as [[property]]"
    )


def _last_told(lines: list[str]) -> int:
    told = [number for number, line in enumerate(lines, 1) if line.strip()]
    return told[-1] if told else 1


def _fault_of(line: str, message: str) -> str:
    return next(filter(None, (one(line, message) for one in _CHECKS)), "")


def _twice(line: str, message: str) -> str:
    if "overwrite" not in message and "twice" not in message and "mutate" not in message:
        return ""
    if line.startswith("["):
        name = line.strip("[] ")
        several = f"; expected [[{name}]], with two brackets, once for each" * (name == "property")
        return f"found a second table of this name{several or '; expected it once'}"
    return "found a key that stands above already; expected each key once in a table"


def _quotes(line: str, _: str) -> str:
    if not any(sign in line for sign in CURLY) or '"' in line:
        return ""
    straight = line.translate({ord(sign): '"' for sign in CURLY})
    return f"found curly quotes; expected straight ones: {straight}"


def _unclosed(line: str, _: str) -> str:
    if line.startswith("[") and not line.partition("#")[0].rstrip().endswith("]"):
        return f"found a heading without its end; expected such as {_heading(line)}"
    if line.startswith("[[") and not line.partition("#")[0].rstrip().endswith("]]"):
        return f"found a heading with one bracket missing; expected {_heading(line)}"
    pair = PAIR.match(line)
    value = pair["value"] if pair else ""
    if value.startswith("[") and "]" not in value:
        return f"found a list without its end; expected {line}]"
    if value[:1] in {'"', "'"} and value.count(value[0]) == 1:
        return f"found a text without its closing quote; expected {line}{value[0]}"
    return ""


def _heading(line: str) -> str:
    name = line.strip("[] ").split()[0] if line.strip("[] ") else "property"
    is_single = name == "spreads_alike" or name.startswith("application")
    return f"[{name}]" if is_single else f"[[{name}]]"


def _key(line: str, _: str) -> str:
    key, value = _parts(line)
    if re.fullmatch(r"[A-Za-z]+( [A-Za-z]+)+", key):
        return f"found a key with a blank; expected {key.replace(' ', '_')} = {value}"
    if key and not value:
        return f"found no value; expected such as {EXAMPLES.get(key, EXAMPLES['margin'])}"
    return ""


def _number(line: str, _: str) -> str:
    key, value = _parts(line)
    if re.fullmatch(r"[-+]?\d+,\d+", value):
        point = value.replace(",", ".")
        return f"found a decimal comma; expected a decimal point: {key} = {point}"
    if found := re.fullmatch(r"([-+]?\d+(?:[.,]\d+)?)\s*[^\d\s,.].*", value):
        plain = found[1].replace(",", ".")
        return f"found words behind a number; expected the number alone: {key} = {plain}"
    return ""


def _text(line: str, _: str) -> str:
    key, value = _parts(line)
    if re.match(r"[^\W\d]", value) and value not in {"true", "false", "inf", "nan"}:
        return f'found a text without quotes; expected {key} = "{value}"'
    if value.startswith('"') and "\\" in value:
        return f"found a backslash in a text; expected straight single quotes: {key} = '...'"
    return ""


def _parts(line: str) -> tuple[str, str]:
    """Return key and value of a line without its comment; empty where it has none."""
    pair = PAIR.match(line)
    return (pair["key"], pair["value"].partition("#")[0].rstrip()) if pair else ("", "")


def _no_equals(line: str, _: str) -> str:
    found = re.match(r"([A-Za-z_]+)\s*(:?)\s*(\S.*)", line)
    if found is None or "=" in line:
        return ""
    what = "a colon" if found[2] else "no equals sign"
    example = EXAMPLES.get(found[1], EXAMPLES["margin"])
    return f"found {what} behind the key; expected an equals sign, such as {example}"


_CHECKS: tuple[Callable[[str, str], str], ...] = (
    _twice,
    _quotes,
    _unclosed,
    _no_equals,
    _key,
    _number,
    _text,
)


def study_faults(error: ValidationError, text: str, keys: Mapping[str, tuple[str, ...]]) -> str:
    """Return one line for each thing that a study may not have: line, key, value, what may stand.

    Parameters
    ----------
    keys
        The keys of the study under "", and of its tables under their names.
    """
    lines = key_lines(text)
    firsts = {path[:-1]: line for path, line in lines.items() if path[-1:] == (0,)}
    return "\n".join(_told(dict(one), {**firsts, **lines}, keys) for one in error.errors())


def fault_at(path: KeyPath, told: str) -> Exception:
    """Return a fault of a whole section that stands at one of its keys, for a validator to raise.

    Parameters
    ----------
    path
        From the section that is validated.
    """
    from pydantic_core import PydanticCustomError

    return PydanticCustomError("value_error", "{told}", {"told": told, "at": path})


def _told(
    problem: dict[str, Any], lines: Mapping[KeyPath, int], keys: Mapping[str, tuple[str, ...]]
) -> str:
    path: KeyPath = (*problem["loc"], *problem.get("ctx", {}).get("at", ()))
    path = tuple(part for part in path if part != "")  # of a number in the place of a table
    where = at(path, lines)
    kind, found = str(problem["type"]), problem["input"]
    key = next((one for one in reversed(path) if isinstance(one, str)), "")
    if kind == "extra_forbidden":
        return f"  {where}: there is no such key; {_keys_instead(path, keys)}"
    if kind == "missing":
        return f"  {where}: is missing and needed, such as {EXAMPLES[key]}"
    if kind == "value_error":
        return f"  {where}: {fault_words(problem)}"
    example = _example(path, key)
    if key in TABLES or isinstance(found, dict) or kind not in ALLOWED:
        return f"  {where}: found {_table_words(key, found)}; expected {example}"
    allowed = ALLOWED[kind].format(**problem.get("ctx", {}))
    return f"  {where} = {_shown(found)}: allowed is {allowed}, such as {example}"


def fault_words(problem: Mapping[str, Any]) -> str:
    """Return what pydantic says of one fault; of our own checks their words alone."""
    return str(problem["msg"]).removeprefix("Value error, ")


def _example(path: KeyPath, key: str) -> str:
    if path[:1] == ("application",):
        return OF_APPLICATION.get(str(path[2]) if len(path) > 2 else "", EXAMPLES["application"])
    return EXAMPLES.get(key, EXAMPLES["property"])


def _table_words(key: str, found: object) -> str:
    if isinstance(found, dict):
        return f"[{key}], a single table"
    return f"[[{key}]]" if isinstance(found, list) else f"{key} = {_shown(found)}"


def _shown(found: object) -> str:
    return str(found).lower() if isinstance(found, bool) else shortened(repr(found), SHOWN)


def _keys_instead(path: KeyPath, keys: Mapping[str, tuple[str, ...]]) -> str:
    here = next((str(one) for one in path[:-1] if str(one) in keys), "")
    key = str(path[-1])
    elsewhere = [table for table, names in keys.items() if table and key in names and table != here]
    if elsewhere:
        heads = {"property": "[[property]]", "application": "[application.roller]"}
        head = heads.get(elsewhere[0], f"[{elsewhere[0]}]")
        return f"{key} belongs below {head}, such as {EXAMPLES[key]}"
    near = did_you_mean(key, keys[here])
    found = re.search(r"'(.*)'", near)
    such = f"; such as {EXAMPLES[found[1]]}" if found and found[1] in EXAMPLES else ""
    return f"{near}allowed are {', '.join(keys[here])}{such}"
