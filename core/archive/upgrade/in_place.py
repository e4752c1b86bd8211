"""Putting tables that have followed their kind in the place of the old ones, kind by kind.

They are made in `upgrading/`. Once those of every kind are complete, `ready.json` says so, with the
records for the journal; from then on every step can be done again, and whatever opens the lab for
writing completes them first. A kind is replaced as a whole, by two renames of its folder: between
them it has no tables for a moment, and who reads just then is told so, or tries again; old tables
never stand among new ones. That a kind was left so is told by whoever asks (`on_their_way`).

Where values have changed, the old tables are kept in `replaced/`, as after a rebuild.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import BEFORE, KEPT, READY
from tiecoat.disk import fsio
from tiecoat.lab.settings import Lab
from tiecoat.wording import listed

FOLDER = "upgrading"
CUT_SHORT = (
    "tables of a kind that has changed are complete, and not wholly in their place: an upgrade was"
    " cut short"
)
COMPLETE = "Nothing is lost; complete it: tiecoat upgrade"


def workplace(lab: Lab) -> Lab:
    """Return the lab within the lab in which tables are made that follow their kind."""
    return replace(lab, root=lab.root / FOLDER)


def is_ready(lab: Lab) -> bool:
    """Say whether tables are complete and not yet wholly in their place."""
    return fsio.is_file(lab.root / FOLDER / READY)


def left_to_complete(lab: Lab) -> str:
    """Say which tables were complete, and not yet in their place, when it was cut short."""
    if (records := _records(lab)) is None:
        return ""
    changes = (f"{one['kind']} ({'; '.join(one['changes'])})" for one in records)
    return f"an upgrade of {', '.join(changes)}"


def on_their_way(lab: Lab) -> list[str]:
    """Return the kinds of which neither the old nor the new tables are in their place."""
    kinds = [str(one["kind"]) for one in _records(lab) or ()]
    there = storage_of(lab).kinds(kinds) if kinds else ()
    return [kind for kind in kinds if kind not in there]


def on_their_way_told(kinds: Sequence[str]) -> str:
    """Say of kinds that their tables are not in their place, and what to do."""
    return (
        f"the tables of {listed(kinds)} are whole, and not in their place: an upgrade was cut short"
        f".\n{COMPLETE}"
    )


def _records(lab: Lab) -> list[dict[str, Any]] | None:
    """Return the records of an upgrade that is not wholly in its place; None if there is none."""
    try:
        upgrade = json.loads((lab.root / FOLDER / READY).read_bytes())
    except FileNotFoundError:
        return None
    return list(upgrade.get("records", ()))


def put_in_place(lab: Lab, upgrade: Mapping[str, Any]) -> None:
    """Put the tables in the workplace in their place, under the write lock.

    Parameters
    ----------
    upgrade
        Its `id`, which tells it from every other; its `records` for the journal, one a kind, whose
        `keeps` says whether the old tables are kept.

    Raises
    ------
    OSError
        If the disk refuses, as where a program on Windows has a table open: whoever opens the lab
        for writing tries again.
    """
    fsio.publish(lab.root / FOLDER / READY, json.dumps(dict(upgrade)).encode(), lab.stage)
    finish_upgrade(lab)


def finish_upgrade(lab: Lab) -> None:
    """Complete what a process has begun that was killed meanwhile; mostly there is nothing."""
    if not is_ready(lab):
        return
    with write_lock(lab):
        if not is_ready(lab):
            return
        new = workplace(lab)
        upgrade = json.loads((new.root / READY).read_bytes())
        for record in upgrade["records"]:
            storage_of(lab).take_over(storage_of(new), record["kind"])
        journal = Journal(lab)
        if upgrade["id"] not in [one.get("upgrade") for one in journal.read_last()]:
            journal.append(upgrade["records"])
        for record in upgrade["records"]:
            before = new.root / BEFORE / record["kind"]
            kept = lab.root / KEPT / upgrade["id"] / lab.archive.name / record["kind"]
            if record["keeps"] and fsio.is_folder(before):
                fsio.move_folder(before, kept)
        fsio.remove_folder(new.root, lab.stage)
