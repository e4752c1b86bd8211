"""The settings of a lab: each section and key with its default, what is allowed, what it means.

What a key means stands beside it in the settings that a new lab gets, or in the docstring of its
section; so nothing is told twice.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, fields
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin, get_type_hints

from pydantic import BaseModel

from tiecoat.contract.choices import Choices
from tiecoat.lab.new_lab import TEMPLATE
from tiecoat.lab.settings import Settings
from tiecoat.reference.docstring import markdown_of, row_of, summary_of
from tiecoat.reference.entry import ReferenceEntry

SETTINGS = "Settings: tiecoat.toml"
TOP = "top of the file"
_SECTION = re.compile(r"\[+([\w.]+)\]+\s*(?:#\s*(.*))?$")
_KEY = re.compile(r"(?:# )?(\w+) = (?P<value>.*)$")
_COMMENT = re.compile(r"""^(?:[^#'"]|"[^"]*"|'[^']*')*?#\s*(.*)$""")
_TERM = re.compile(r"^- \*\*`([\w, ]+)`\*\*: (.*(?:\n  .*)*)", re.MULTILINE)


class SettingTold(NamedTuple):
    """A key of a section: its default as TOML has it, what is allowed, and what it means."""

    name: str
    default: str
    allowed: str
    meaning: str


def setting_entries(plugins: Mapping[str, type[Any]]) -> Iterator[ReferenceEntry]:
    """Return an entry for each section of the settings.

    Parameters
    ----------
    plugins
        Section, such as "read.rust_photograph" -> the choices that a reader or an evaluation has.
    """
    for section, model in {**_sections(), **plugins}.items():
        told = list(keys_of(section, model))
        doc = markdown_of(model.__doc__) if model is not Settings else "Above all sections."
        if section == "words":
            doc = (
                "What the lab calls the columns of a kind, in addition to the words of the trade: a"
                " section for each kind, in it a list for each column.\n\n"
                '    [words.film_thickness]\n    thickness_um = ["DFT reading", "Schichtd."]'
            )
        head = {TOP: "", "inbox": "`[[inbox]]`, once for each watched folder.\n\n"}.get(
            section, f"`[{section}]`\n\n"
        )
        summary = summary_of(model.__doc__) if section not in {TOP, "words"} else doc.split(":")[0]
        holds = tuple(word for one in told for word in (one.name, f"{section}.{one.name}"))
        table = "\n".join(map(_row, told))
        titles = "| key | default | allowed | meaning |\n| --- | --- | --- | --- |\n"
        text = f"{head}{_without_terms(doc)}\n\n{titles if told else ''}{table}"
        yield ReferenceEntry(SETTINGS, section, summary, text, holds)


@cache
def _sections() -> Mapping[str, type[Any]]:
    """Return the sections that tiecoat itself has, and what checks them."""
    sections: dict[str, type[Any]] = {TOP: Settings}
    for name, one in Settings.model_fields.items():
        inner = _models_in(one.annotation)
        if name == "words":
            sections[name] = dict
        elif inner is Choices:
            hints = get_type_hints(Choices)
            sections |= {f"{name}.{part.name}": hints[part.name] for part in fields(Choices)}
        elif inner is not None:
            sections[name] = inner
    return sections


def _models_in(annotation: Any) -> type[Any] | None:
    if isinstance(annotation, type) and (
        issubclass(annotation, BaseModel) or annotation is Choices
    ):
        return annotation
    return next(filter(None, map(_models_in, get_args(annotation))), None)


def keys_of(section: str, model: type[Any]) -> Iterator[SettingTold]:
    """Return what is told of each key of a section."""
    beside, terms = _told_beside().get(section, {}), _terms(model)
    if isinstance(model, type) and issubclass(model, BaseModel):
        for name, one in model.model_fields.items():
            if model is Settings and name in {*_sections(), "evaluate"}:
                continue
            default = (
                _as_toml(one.get_default(call_default_factory=True))
                if not one.is_required()
                else "needed"
            )
            limits = [*one.metadata, *_limits_in(one.annotation)]
            yield SettingTold(name, default, _allowed(one.annotation, limits), beside.get(name, ""))
    elif model is not dict:
        hints = get_type_hints(model)
        limits_of: Mapping[str, tuple[float, float]] = getattr(model, "limits", {})
        for part in fields(model):
            given = part.default if part.default_factory is MISSING else part.default_factory()
            allowed = _allowed(hints[part.name], [])
            if part.name in limits_of:
                low, high = limits_of[part.name]
                allowed += f" from {low:g} to {high:g}"
            meaning = terms.get(part.name) or beside.get(part.name, "")
            yield SettingTold(part.name, _as_toml(given), allowed, meaning)


def _terms(model: type[Any]) -> dict[str, str]:
    """Return the parameters that the docstring of a section explains."""
    found = _TERM.findall(markdown_of(model.__doc__))
    return {name: " ".join(said.split()) for names, said in found for name in names.split(", ")}


def _without_terms(doc: str) -> str:
    return re.sub(r"\n{3,}", "\n\n", _TERM.sub("", doc).replace("**Parameters**", "")).strip()


@cache
def _told_beside() -> Mapping[str, Mapping[str, str]]:
    """Return what the settings of a new lab say beside each key, by section."""
    told: dict[str, dict[str, str]] = {TOP: {}}
    section, key = TOP, ""
    for line in TEMPLATE.splitlines():
        if header := _SECTION.match(line):
            section, key = header[1], ""
            told[section] = {}
        elif name := _KEY.match(line):
            key = name[1]
            said = _COMMENT.match(name["value"])
            told[section][key] = said[1] if said else ""
        elif key and line.startswith((" ", "]")) and (said := _COMMENT.match(line)):
            told[section][key] = f"{told[section][key]} {said[1]}".strip()
    return told


def _as_toml(value: Any) -> str:
    if value is None:
        return "not set"
    if isinstance(value, tuple) and any(isinstance(one, BaseModel) for one in value):
        return "one"
    return json.dumps(value, ensure_ascii=False, default=dict)


def _limits_in(annotation: Any) -> list[Any]:
    own = list(getattr(annotation, "__metadata__", ()))
    own = [limit for one in own for limit in (getattr(one, "metadata", None) or [one])]
    return own + [limit for one in get_args(annotation) for limit in _limits_in(one)]


def _allowed(annotation: Any, limits: list[Any]) -> str:
    """Return in words what a key may be."""
    words = {"ge": "from {:g}", "gt": "above {:g}", "le": "to {:g}", "lt": "below {:g}"}
    said = [
        text.format(value)
        for one in limits
        for name, text in words.items()
        if isinstance(value := getattr(one, name, None), int | float)
    ]
    return " ".join([_type_words(annotation), *said])


def _type_words(annotation: Any) -> str:
    simple = {float: "number", int: "whole number", str: "text", bool: "true or false"}
    if annotation in simple:
        return simple[annotation]
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _type_words(inner[0])
    if origin in {Union, UnionType}:
        return _type_words(next(one for one in inner if one is not NoneType))
    if origin is Literal:
        return ", ".join(f"`{json.dumps(one)}`" for one in inner)
    if origin is tuple:
        one = _type_words(inner[0])
        return f"list of {len(inner)} of: {one}" if inner[-1] is not ... else f"list of: {one}"
    return "table"


def _row(one: SettingTold) -> str:
    return row_of((f"`{one.name}`", f"`{one.default}`", one.allowed, one.meaning))
