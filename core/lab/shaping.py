"""The settings that shape rows: which of them a filing was made by, and the lab as of then."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from typing import Any
from zoneinfo import ZoneInfo

from pydantic import ValidationError

from tiecoat.lab.plugin_choices import as_json
from tiecoat.lab.settings import Lab, Settings

SECTIONS = {"times", "numbers", "text", "ids", "checks", "words"}
READ = "read"  # what is set for readers


def shaping(lab: Lab) -> dict[str, Any]:
    """Return the settings that decide what is read from a file and how it is filed."""
    own = lab.settings.model_dump(mode="json", include=SECTIONS)
    return {**own, READ: json.loads(as_json(lab.reading.tables))}


def digest_of(settings: Mapping[str, Any]) -> str:
    """Return by what name filings refer to settings."""
    text = json.dumps(settings, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def as_of(lab: Lab, settings: Mapping[str, Any]) -> Lab:
    """Return a lab with the settings of then; with those of today where they are none any more."""
    today = lab.settings.model_dump(mode="json")
    then = {name: settings[name] for name in SECTIONS & settings.keys()}
    try:
        found = Settings.model_validate_json(json.dumps({**today, **then}))
    except ValidationError:
        return lab
    reading = replace(lab.reading, tables=settings.get(READ, {}))
    return replace(lab, settings=found, reading=reading)


def zones_of(lab: Lab, settings: Iterable[Mapping[str, Any]]) -> list[ZoneInfo]:
    """Return the zones in which times of a lab were read, that of now first.

    Parameters
    ----------
    settings
        Those that filings were made by.
    """
    found = {lab.zone.key: lab.zone}
    for one in settings:
        name = str(one.get("times", {}).get("zone", ""))
        with suppress(LookupError, ValueError, OSError):  # a zone that is none here any more
            found.setdefault(name, ZoneInfo(name))
    return list(found.values())


def for_readers(settings: Mapping[str, Any], readers: Collection[str]) -> dict[str, Any]:
    """Return settings without those of readers other than these."""
    read = {name: said for name, said in settings.get(READ, {}).items() if name in readers}
    return {**settings, READ: read}


def changes(then: Mapping[str, Any], now: Mapping[str, Any]) -> list[str]:
    """Say which settings are others now, such as "times.zone: UTC then, Europe/Berlin now"."""
    said = []
    for section in sorted(then.keys() | now.keys()):
        before, after = then.get(section, {}), now.get(section, {})
        for key in sorted(before.keys() | after.keys()):
            if before.get(key) != after.get(key):
                one, other = (
                    json.dumps(each.get(key), ensure_ascii=False) for each in (before, after)
                )
                said.append(f"{section}.{key}: {one} then, {other} now")
    return said
