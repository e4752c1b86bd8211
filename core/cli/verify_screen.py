"""What `tiecoat verify` and `tiecoat rebuild` print."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from tiecoat.intake.held.files import ASSIGN
from tiecoat.verify.report import Damage
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.rebuild.differences import Otherwise
    from tiecoat.rebuild.rebuild import Rebuilt
    from tiecoat.rebuild.today import ByToday
    from tiecoat.verify.report import DamageFound, Verified

SHOWN = 20  # lines of one sort
FEW = 5  # of what is damaged: mostly one cause has many of a sort


def show_verified(verified: Verified, console: Console) -> None:
    """Print what was looked at, in a few lines what to do, and then what was found."""
    counts = verified.counts
    console.print(
        f"looked at {counted(counts.originals, 'original')} ({counts.bytes / 1e6:,.1f} MB),"
        f" {counted(counts.records, 'line')} of the journal, {counted(counts.tables, 'table')}"
        f" with {counted(counts.measurements, 'measurement')}",
        highlight=False,
        soft_wrap=True,
    )
    if counts.passed_over:
        console.print(
            f"passed over {counts.passed_over:,} originals and tables that were proved before and"
            " look as they did then",
            highlight=False,
            soft_wrap=True,
        )
    of_sort = _by_sort(verified.findings)
    for advice in dict.fromkeys(damage.advice for damage in of_sort):
        codes = ", ".join(damage.code for damage in of_sort if damage.advice == advice)
        console.print(Text(f"What to do: {advice} ({codes})", "yellow"), soft_wrap=True)
    for damage, group in of_sort.items():
        _show(damage.code, [f"{one.where}: {one.said}" for one in group], console, FEW)
    _show("worth knowing", verified.remarks, console)
    if any(len(group) > FEW for group in of_sort.values()) or len(verified.remarks) > SHOWN:
        console.print("tiecoat verify --json lists all", highlight=False)
    if of_sort:
        found = counted(len(verified.findings), "finding")
        console.print(f"{found}: the lab is not sound; what to do stands first")
    else:
        console.print("the lab is sound: originals, journal, tables and index agree")


def show_rebuilt(rebuilt: Rebuilt, console: Console) -> None:
    """Print what was made again, what came out otherwise, and whether it is in place."""
    _show("left out", rebuilt.problems, console)
    console.print(
        f"made again from {counted(rebuilt.exports, 'export')}:"
        f" {counted(rebuilt.measurements, 'measurement')}",
        highlight=False,
        soft_wrap=True,
    )
    _show_differences(rebuilt, console)
    _show_today(rebuilt.today, console)
    mended = [f"{one.where} {one.said}" for one in rebuilt.mended]
    _show("was wrong with the old archive, and is over", mended, console)
    if rebuilt.swapped:
        console.print("the new archive is in place")
        if rebuilt.kept:
            console.print(
                f"The archive of before is kept in {rebuilt.kept}. Back to it, as long as nothing"
                " is filed: tiecoat rebuild --back; to delete it: tiecoat rebuild --drop",
                soft_wrap=True,
            )
        return
    console.print(
        "The archive stays as it was. Look through the differences with the person who answers"
        " for the data.",
        soft_wrap=True,
    )
    way = "tiecoat rebuild --by-today" if rebuilt.by_today else "tiecoat rebuild"
    if _is_for_ids(rebuilt, console, way):
        return
    if rebuilt.unnamed:
        lost = counted(len(rebuilt.unnamed), "measurement")
        console.print(f"{lost} would be lost. Only what is named may be:", soft_wrap=True)
    files = dict.fromkeys(rebuilt.unnamed.values())
    named = "".join(f" --leave-out {_quoted(name)}" for name in files)
    console.print(Text(f"Take the new one with: {way} --accept{named}"), soft_wrap=True)


def _is_for_ids(rebuilt: Rebuilt, console: Console, way: str) -> bool:
    """Say so where what would be lost is held for other patterns of ids, and how to keep it."""
    held = {one.sha256[:16] for one in rebuilt.differences.held if one.reason in ASSIGN}
    lost = [name for name in rebuilt.unnamed if name.partition("-")[0] in held]
    if not (rebuilt.ids and lost):
        return False
    _show(
        "the patterns of ids are others than those that files were filed by", rebuilt.ids, console
    )
    console.print(
        f"{counted(len(lost), 'measurement')} would be lost by that. Let what was then stand beside"
        ' what is now, as a list such as batch = ["RB-[0-9]{3}", "P[0-9]{4}"] under [ids] in'
        f" tiecoat.toml, then again: {way}",
        soft_wrap=True,
        highlight=False,
        markup=False,
    )
    return True


def _quoted(name: str) -> str:
    return f'"{name}"' if re.search(r"[^\w.-]", name) else name


def _show_today(found: ByToday, console: Console) -> None:
    """Print what today's settings would make of exports; none of it is in the new archive."""
    if not found.changed:
        return
    _show("settings that files were filed by, and that are others now", found.changed, console)
    held = [f"{one.name}: {one.reason.text}" for one in found.held]
    _show("would be held by today's settings", held, console)
    _show("would be read otherwise by today's settings", found.otherwise, console)
    console.print(
        "Each file is read by the settings that it was filed by. To have all read by those of"
        " today: tiecoat rebuild --by-today",
        soft_wrap=True,
    )


def _show_differences(rebuilt: Rebuilt, console: Console) -> None:
    found = rebuilt.differences
    doubts = [f"{one.where} {one.said}" for one in found.doubts]
    _show("wrong with the journal, which the new archive follows", doubts, console)
    lost = [f"{one.name} ({one.sha256})" for one in found.lost]
    _show("originals (or notes beside them) that are lost or changed", lost, console)
    held = [f"{one.name}: {one.reason.text}" for one in found.held]
    _show("filed before, and would be held now", held, console)
    values = [
        f"{one.measurement} of {one.name}: {counted(one.rows[0], 'row')} then, {one.rows[1]:,} now"
        f" ({one.reader}){_changes(one, rebuilt)}"
        for one in found.otherwise
        if one.values
    ]
    _show("read otherwise now", values, console)
    same = [
        f"{one.measurement} of {one.name} ({one.reader}){_changes(one, rebuilt)}"
        for one in found.otherwise
        if not one.values
    ]
    _show("the same values, with another reader or origin beside them", same, console)
    if rebuilt.listed:
        console.print(Text(f"All old and new values stand in {rebuilt.listed}"), soft_wrap=True)
    carried = [f"{name}: {why}" for name, why in found.carried.items()]
    _show("cannot be made again, and carried over from the old archive", carried, console)
    _show("of which a record was lost and is written anew", found.recovered, console)
    for title, contents in (
        ("filed before, and not made again", found.gone),
        ("new, not filed before", found.added),
    ):
        lines = [
            f"{name}: {one.place[0]} of {one.place[1]}, {counted(one.n_rows, 'row')}"
            + (f", of {found.losing[name]}" if name in found.losing else "")
            for name, one in contents.items()
        ]
        _show(title, lines, console)
    _show("withdrawn otherwise than the journal says", found.remarked, console)
    _show("in the old tables, and no record accounts for it", found.unfiled, console)
    _show("withdrawn in the old tables, and no record says so", found.unmarked, console)


def _changes(one: Otherwise, rebuilt: Rebuilt) -> str:
    return "".join(f"\n    {change}" for change in rebuilt.changes.get(one.measurement, ()))


def _by_sort(findings: Sequence[DamageFound]) -> dict[Damage, list[DamageFound]]:
    """Return what was found by what it is, in the order in which it is mended."""
    found = {damage: [one for one in findings if one.damage is damage] for damage in Damage}
    return {damage: every for damage, every in found.items() if every}


def _show(title: str, lines: Sequence[str], console: Console, most: int = SHOWN) -> None:
    if not lines:
        return
    console.print(Text(f"{title} ({len(lines):,})", "bold"))
    for line in lines[:most]:
        console.print(Text(f"  {line}"), soft_wrap=True)
    if len(lines) > most:
        console.print(f"  and {len(lines) - most:,} more")
