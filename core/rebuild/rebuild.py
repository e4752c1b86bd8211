"""Making the archive again, and putting it in the old one's place.

It is made beside the old one, compared with it and with the journal, and swapped in as a whole.
That mends damaged and missing tables, and lets a mended reader read again what was filed already.
Whatever comes out otherwise than the journal says is told, and needs a person's consent.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from tiecoat.archive.account import Account
from tiecoat.archive.index.building import refuse_newer_index
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import service_lock, write_lock
from tiecoat.archive.swap import finish_swap, is_ready, swap_in, workplace
from tiecoat.archive.tables.contents import as_tables
from tiecoat.archive.words import RecordSort
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.settings import Lab
from tiecoat.rebuild.differences import Differences, compare
from tiecoat.rebuild.history import FiledExport, history
from tiecoat.rebuild.replay import replay
from tiecoat.verify.report import DamageFound
from tiecoat.verify.tables import CheckedTables, check_tables
from tiecoat.verify.verify import journal_findings

Told = Callable[[str, int, int], None]  # what is done, how far, of how many


@dataclass(frozen=True)
class Rebuilt:
    """What came of a rebuild: `swapped` says whether the new archive is in its place.

    `mended` lists what was wrong with the old tables and is not with the new ones.
    """

    exports: int
    measurements: int
    swapped: bool
    differences: Differences
    mended: tuple[DamageFound, ...]
    problems: tuple[str, ...]


def rebuild(
    lab: Lab,
    who: str,
    *,
    accept: bool = False,
    told: Told = lambda what, done, total: None,
) -> Rebuilt:
    """Make the archive again from originals and journal.

    Registers, assignments, decisions to supersede, retractions and the notes that were used are
    those of the journal, in its order; who withdrew a measurement, when and why too. Readers and
    settings are those of today. No service may run meanwhile, and nothing else can write.

    Parameters
    ----------
    who
        Who does it, for the journal.
    accept
        Put the new archive in place though it differs; without, the old one then stays.

    Raises
    ------
    LabInUse
        If a service runs, or another process is writing.
    ArchiveDamaged
        If what was made does not pass its own check; the old archive stays.
    OSError
        If the disk refuses; there is the old archive or the new one.
    WrittenByNewer
        If a part of the lab is of a format that is not known here.
    """
    with service_lock(lab), write_lock(lab):
        refuse_newer_index(lab)
        finish_swap(lab)
        new = workplace(lab)
        if fsio.is_there(new.root):  # of a rebuild that was cut short
            fsio.remove_folder(new.root, lab.stage)
        try:
            return _rebuild(lab, new, who, accept, told)
        finally:
            if fsio.is_there(new.root) and not is_ready(lab):  # else it may be the only whole one
                fsio.remove_folder(new.root, lab.stage)


def _rebuild(lab: Lab, new: Lab, who: str, accept: bool, told: Told) -> Rebuilt:
    lines = list(Journal(lab).lines())
    said = Account.of(lines)
    old = check_tables(lab, said, lambda done, total: told("looking at the old", done, total))
    steps = history(lines)
    replayed = replay(lab, steps, lambda done, total: told("filing again", done, total))
    made = Account.of(Journal(new).lines())
    tables = check_tables(new, made, lambda done, total: told("checking the new", done, total))
    if tables.findings:
        first = tables.findings[0]
        raise ArchiveDamaged(
            f"what was made is not sound: {first.where} {first.said}\nThe archive stays as it was."
        )
    found = compare(said, old, made, tables, replayed)
    found = replace(found, doubts=tuple(journal_findings(lines, said)))
    if swapped := accept or not found:
        swap_in(lab, _record(who, said, made, found, old))
    exports = sum(isinstance(step, FiledExport) for step in steps)
    mended = tuple(old.findings) if swapped else ()
    return Rebuilt(exports, len(made.contents), swapped, found, mended, replayed.problems)


def _record(
    who: str, said: Account, made: Account, found: Differences, old: CheckedTables
) -> dict[str, Any]:
    """Return the journal's record: what stands in the archive now otherwise than it says so far."""
    other = [one.measurement for one in found.otherwise]
    contents = {name: made.contents[name] for name in [*other, *found.added]}
    withdrawn = [
        one.as_record()
        for name, one in made.withdrawn.items()
        if said.withdrawn.get(name) != one or name in found.added
    ]
    ended = said.withdrawn.keys() - made.withdrawn.keys() - found.gone.keys()
    return {
        "event": RecordSort.REBUILT,
        "rebuild": secrets.token_hex(8),
        "who": who,
        "mended": [f"{one.damage.code}: {one.where}" for one in old.findings],
        "no_longer_filed": list(found.gone),
        "no_longer_withdrawn": sorted(ended),
        "held": [
            {
                "sha256": one.sha256,
                "name": one.name,
                "reason": one.reason.code,
                "again": one.again,
            }
            for one in found.held
        ],
        "tables": as_tables(contents),
        "withdrawn": withdrawn,
    }
