"""`tiecoat upgrade`: what has changed of kinds, and their tables that follow."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from tiecoat.cli.answers import answer
from tiecoat.cli.general import progress
from tiecoat.cli.shared import lab_of, screen
from tiecoat.wording import counted

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.archive.upgrade.carrying_out import Upgraded
    from tiecoat.archive.upgrade.planning import KindUpgrade
    from tiecoat.intake.upgrading import TablesToday


def add_upgrade(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.set_defaults(command=upgrade)
    parser.add_argument("--show", action="store_true", help="show what would change, do nothing")


def upgrade(options: argparse.Namespace) -> int:
    """Have the tables of changed kinds follow, or show what would change."""
    from tiecoat.intake.upgrading import tables_today, upgrade

    lab, console = lab_of(options), screen()
    with progress() as told:
        found, done = tables_today(lab, told) if options.show else upgrade(lab, told)
    code = int(bool(done.refused))
    if options.json:
        return answer(options, code, _values(found, done))
    _show(found, done, console)
    return code


def _values(found: TablesToday, done: Upgraded) -> dict[str, object]:
    changed = [
        {
            "kind": one.kind,
            "tables": len(one.changed),
            "changes": sorted({str(change) for change in one.changes.values()}),
            "upgraded": one.kind in done.tables,
            "refused": done.refused.get(one.kind),
            "samples": done.samples.get(one.kind, []),
        }
        for one in found.changed
    ]
    for kind, why in _by_rules(found, done).items():
        refused = why if kind in done.refused else None
        changed.append(
            {
                "kind": kind,
                "tables": 0,
                "changes": [why],
                "upgraded": False,
                "refused": refused,
                "samples": [],
            }
        )
    return {"changed": changed, "absent": sorted(found.absent), "left_out": found.problems}


def _by_rules(found: TablesToday, done: Upgraded) -> dict[str, str]:
    """Return the kinds of which no table changes, and what their columns may hold otherwise now."""
    changed = {one.kind for one in found.changed}
    every = {**done.changes, **done.refused}
    return {kind: said for kind, said in sorted(every.items()) if kind not in changed}


def _show(found: TablesToday, done: Upgraded, console: Console) -> None:
    from rich.text import Text

    for problem in found.problems:
        console.print(Text(f"left out: {problem}"), soft_wrap=True)
    for kind, tables in sorted(found.absent.items()):
        stay = (
            "its table stays as it is" if tables == 1 else f"its {tables:,} tables stay as they are"
        )
        console.print(f"{kind}: no plugin brings it any more; {stay}", soft_wrap=True)
    for one in found.changed:
        _show_kind(one, done, console)
    for kind, said in _by_rules(found, done).items():
        refused = "nothing is filed" if kind in done.refused else "all that is filed keeps to it"
        console.print(Text(kind, "bold"))
        console.print(Text(f"  {refused}: {said}"), soft_wrap=True)
    if not found.changed:
        console.print("all tables are as their kinds are today")


def _show_kind(one: KindUpgrade, done: Upgraded, console: Console) -> None:
    from rich.text import Text

    console.print(Text(f"{one.kind}: {counted(len(one.changed), 'table')}", "bold"))
    for difference in dict.fromkeys(d for c in one.changes.values() for d in c.differences):
        console.print(Text(f"  {difference}"), soft_wrap=True)
    for line in done.samples.get(one.kind, ()):
        console.print(Text(f"    such as {line}", "dim"), soft_wrap=True)
    if why := done.refused.get(one.kind):
        console.print(
            Text(f"  stay as they are, and nothing is filed: {why}", "yellow"), soft_wrap=True
        )
        return
    rows = "rows are taken along by its function migrate" if one.migrates else "no value changes"
    word = "upgraded" if one.kind in done.tables else "would follow"
    console.print(Text(f"  {word}: {rows}"), soft_wrap=True)
