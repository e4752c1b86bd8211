"""What a lab sets for readers and evaluations that plugins bring: [read.NAME], [evaluate.NAME].

The settings are read without any plugin, so these sections are checked once theirs is loaded.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from tiecoat.errors import SettingInvalid


def as_json(found: object) -> str:
    """Return what TOML held for pydantic, which from JSON is strict yet makes lists into tuples."""
    return json.dumps(found, default=str)


def taken_out(found: dict[str, Any], section: str, own: Collection[str]) -> dict[str, Any]:
    """Take the tables that are for plugins out of a section of the settings, and return them.

    Parameters
    ----------
    found
        The settings as TOML gives them; changed.
    section
        Its name there.
    own
        Names in it that are not for plugins.
    """
    tables = found.get(section)
    if not isinstance(tables, dict):
        return {}
    others = {k: v for k, v in tables.items() if isinstance(v, dict) and k not in own}
    left = {k: v for k, v in tables.items() if k not in others}
    found.pop(section)
    if left:
        found[section] = left
    return others


@dataclass(frozen=True)
class PluginChoices:
    """The sections of one sort as they stand in the settings, not checked yet.

    Parameters
    ----------
    sort
        `read` for readers, `evaluate` for evaluations.
    tables
        Name of a reader or an evaluation -> what stands in its section.
    path
        Of the settings.
    text
        Of the settings, to say in which line a fault is.
    """

    sort: Literal["read", "evaluate"]
    tables: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    path: Path = Path()
    text: str = ""

    def of(self, name: str, model: type[Any]) -> Any:
        """Return the choices for a reader or an evaluation, an instance of its own class.

        Raises
        ------
        SettingInvalid
            If one is not allowed; the message names key, line, value and what is allowed.
        """
        from pydantic import TypeAdapter, ValidationError

        try:
            return TypeAdapter(model).validate_json(as_json(self.tables.get(name, {})))
        except ValidationError as error:
            from tiecoat.lab.toml_lines import explain

            said = explain(error, self.text, model, (self.sort, name))
            raise SettingInvalid(f"{self.path}:\n{said}") from None

    def unanswered(self, known: Iterable[str]) -> tuple[str, ...]:
        """Return a sentence for each section that belongs to nothing that is there."""
        known = sorted(known)
        unknown = [name for name in self.tables if name not in known]
        if not unknown:
            return ()
        from tiecoat.lab.toml_lines import at, did_you_mean, key_lines

        lines = key_lines(self.text)
        return tuple(
            f"{self.path}:\n  {at((self.sort, name), lines)}: there is nothing of this name to set;"
            f" {did_you_mean(name, known)}allowed are {', '.join(known)}"
            for name in unknown
        )


NO_READER_SET = PluginChoices("read")
NO_EVALUATION_SET = PluginChoices("evaluate")
