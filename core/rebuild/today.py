"""What the settings of today would make of exports that were filed by others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tiecoat.archive.account import Account
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.swap import workplace
from tiecoat.intake.held.files import Held
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import changes, digest_of, shaping
from tiecoat.rebuild.history import FiledExport, HistoryStep
from tiecoat.rebuild.replay import Progress, Replay, Replayed


@dataclass(frozen=True)
class ByToday:
    """What would be otherwise: `changed` settings, what would be `held`, what read otherwise."""

    changed: tuple[str, ...] = ()
    held: tuple[Held, ...] = ()
    otherwise: tuple[str, ...] = ()


def by_today(
    lab: Lab,
    steps: Sequence[HistoryStep],
    settings: Mapping[str, Mapping[str, Any]],
    replayed: Replayed,
    progress: Progress,
) -> ByToday:
    """Take the steps again by today's settings, where some were filed by others; keep nothing.

    Parameters
    ----------
    settings
        By digest, those that filings refer to.
    replayed
        What came of the steps by these; it stands in the workplace of the lab.
    """
    now = shaping(lab)
    exports = [step for step in steps if isinstance(step, FiledExport)]
    others = {step.settings for step in exports} & settings.keys() - {digest_of(now)}
    if not others:
        return ByToday()
    work = replace(lab, root=workplace(lab).root / "today")
    found = Replay(lab, work, steps, replayed.lost).run(progress)
    then = Account.of(Journal(workplace(lab)))
    today = Account.of(Journal(work))
    held = {one.sha256 for one in replayed.held}
    left = {one.sha256[:16] for one in found.held} | {one.sha256[:16] for one in found.lost}
    otherwise = [
        name
        for name in sorted(then.contents.keys() | today.contents.keys())
        if then.contents.get(name) != today.contents.get(name)
        and name.partition("-")[0] not in left
    ]
    names = {sha256[:16]: name for sha256, name in today.names.items()}
    files = (names.get(name.partition("-")[0], name) for name in otherwise)
    changed = (
        said for one in sorted(others, key=str) for said in changes(settings[one or ""], now)
    )
    return ByToday(
        tuple(dict.fromkeys(changed)),
        tuple(one for one in found.held if one.sha256 not in held),
        tuple(dict.fromkeys(files)),
    )
