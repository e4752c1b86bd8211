"""The commands that correct what is filed: listed, retracted, reinstated, one or many at once."""

from __future__ import annotations

import argparse
import getpass
import shlex
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from tiecoat.archive.words import Withdrawn
from tiecoat.cli.answers import answer
from tiecoat.cli.shared import add_limit, add_yes, agreed, lab_of, more, run_intake, show_briefly
from tiecoat.errors import UnknownName
from tiecoat.wording import counted, local_time

if TYPE_CHECKING:
    from tiecoat.archive.tables.describe import Described
    from tiecoat.ask.choosing import MeasurementChoice, MeasurementsListed
    from tiecoat.lab.settings import Lab

FILTERS = ("kind", "batch", "panel", "file", "since", "until", "remark")
NAMED = ", ".join(f"--{name}" for name in FILTERS)
REFILED = NAMED.replace("--batch, --panel", "--of-batch, --of-panel")


def add_measurements(listing: argparse.ArgumentParser) -> None:
    """Add which measurements are listed."""
    listing.set_defaults(command=list_measurements)
    _add_filters(listing)
    listing.add_argument(
        "--withdrawn", action="store_true", help="those too that were superseded or retracted"
    )
    add_limit(listing)
    listing.set_defaults(refuse=listing.error)


def add_retract(retracted: argparse.ArgumentParser) -> None:
    """Add which measurements are retracted, and why."""
    retracted.set_defaults(command=retract)
    _add_amending(retracted)


def add_reinstate(reinstated: argparse.ArgumentParser) -> None:
    """Add which measurements are reinstated, and why."""
    reinstated.set_defaults(command=reinstate)
    _add_amending(reinstated)


def _add_amending(amending: argparse.ArgumentParser) -> None:
    amending.add_argument("measurements", nargs="*", metavar="MEASUREMENT")
    _add_filters(amending)
    amending.add_argument("--why", required=True)
    add_yes(amending)
    amending.set_defaults(refuse=amending.error)


def add_refile(refiled: argparse.ArgumentParser) -> None:
    """Add which exports are filed anew, and under which ids."""
    refiled.set_defaults(command=refile)
    refiled.add_argument(
        "measurements", nargs="*", metavar="ORIGINAL", help="a measurement from it, or its SHA-256"
    )
    refiled.add_argument("--batch", metavar="ID", help="the right batch", dest="to_batch")
    refiled.add_argument("--panel", metavar="ID", help="the right panel", dest="to_panel")
    refiled.add_argument("--of-batch", metavar="ID", help="only what is filed of it", dest="batch")
    refiled.add_argument("--of-panel", metavar="ID", help="only what is filed of it", dest="panel")
    _add_filters(refiled, ("batch", "panel", "measurement"))
    refiled.add_argument("--why", help="why what still counts is retracted for it")
    add_yes(refiled)
    refiled.set_defaults(refuse=refiled.error, measurement=[])


def _add_filters(parser: argparse.ArgumentParser, but: Sequence[str] = ()) -> None:
    for name, metavar, words in (
        ("measurement", "ID", "only these"),
        ("kind", "KIND", "only of this kind"),
        ("batch", "ID", "only of this batch"),
        ("panel", "ID", "only of this panel"),
        ("file", "NAME", 'only from exports called so; * is any text, as in "day 1*.csv"'),
        ("since", "DATE", "only what was measured since then, such as 2026-10-01"),
        ("until", "DATE", "only what was measured before, or on that day"),
        ("remark", "TEXT", "only with this in its remark, such as unregistered-panel"),
    ):
        if name in but:
            continue
        many = {"nargs": "+", "default": []} if name == "measurement" else {}
        parser.add_argument(f"--{name}", metavar=metavar, help=words, **many)  # type: ignore[arg-type] # no stub names them


def list_measurements(options: argparse.Namespace) -> int:
    """List measurements, the first so many."""
    if options.measurement and not _choice(options, withdrawn=False).is_any:
        options.refuse(f"say which: either measurements, or some of {NAMED}")
    lab = lab_of(options)
    found = _listed(lab, options, options.measurement, options.withdrawn, options.limit)
    shown = found.shown[: options.limit]
    if options.json:
        from tiecoat.cli.answer_values import of_measurement

        listed = [of_measurement(one) for one in shown]
        return answer(options, 0, {"total": found.total, "measurements": listed})
    for line in _lines(shown, lab):
        print(line)
    if found.total > len(shown):
        print(more(found.total, len(shown), NAMED))
    if not found.total:
        print("no measurement fits")
    return 0


def retract(options: argparse.Namespace) -> int:
    """Mark measurements as not valid."""
    from tiecoat.archive import amend
    from tiecoat.intake.held.assigned import refile_command

    lab, names = _wanted(options, "Retract {}?", withdrawn=False)
    if not names:
        return 1
    amend.retract(lab, names, getpass.getuser(), options.why)
    if options.json:
        return answer(options, 0, {"measurements": names})
    if _is_named(options):
        print(f"retracted {', '.join(names)}; the rows stay on record")
        print(f"to file the export anew: {refile_command(names[0])}")
        print(f'to undo it: tiecoat reinstate {" ".join(names)} --why "..."')
    else:
        print(f"retracted {counted(len(names), 'measurement')}; the rows stay on record")
        print(f'to undo it: tiecoat reinstate {_filters_said(options)} --why "..."')
    return 0


def reinstate(options: argparse.Namespace) -> int:
    """Have measurements count again that were retracted."""
    from tiecoat.archive import amend

    lab, names = _wanted(options, "Have {} count again?", withdrawn=Withdrawn.RETRACTED)
    if not names:
        return 1
    done = amend.reinstate(lab, names, getpass.getuser(), options.why)
    if options.json:
        return answer(options, 0, {"measurements": done})
    print(f"reinstated {counted(len(done), 'measurement')}; {_count(len(done))} again")
    return 0


def refile(options: argparse.Namespace) -> int:
    """File exports anew, and retract what counts of them."""
    from tiecoat.intake import taking_in
    from tiecoat.intake.held.assigned import Assigned
    from tiecoat.intake.refiling import decide, refiling_of
    from tiecoat.lab.ids import canonical, canonical_panel

    of = canonical_panel(options.panel or "") or canonical(options.batch or "") or None
    others = replace(_choice(options, withdrawn=False), batch=None, panel=None)
    if options.measurements and not others.is_any:
        options.refuse(f"say which: either measurements, or some of {REFILED}")
    if of and not (options.to_panel or options.to_batch):
        options.refuse("say under which ids: --batch ID, --panel ID, or both")
    lab = lab_of(options)
    originals = options.measurements or _originals(options)
    refiling = refiling_of(lab, originals, Assigned(options.to_batch, options.to_panel, of))
    if refiling.counting:
        if not options.why:
            options.refuse("some of it counts, and is retracted for that: say why, with --why")
        if not options.json:
            show_briefly(list(refiling.lines), "measurement")
        many = counted(len(refiling.entries), "export")
        if not (options.measurements or agreed(f"File {many} anew?", options)):
            return 1
        decide(lab, refiling, getpass.getuser(), options.why)
    return run_intake(options, lambda of_lab, teller: taking_in.refile(of_lab, refiling, teller))


def _originals(options: argparse.Namespace) -> list[str]:
    """Return the exports of which something is chosen: that counts, or else was retracted."""
    if _choice(options, withdrawn=False).is_any:
        options.refuse(f"say which: either measurements, or some of {REFILED}")
    from tiecoat.archive.words import Withdrawn

    lab = lab_of(options)
    found = _listed(lab, options, [], withdrawn=False).shown
    found = found or _listed(lab, options, [], withdrawn=Withdrawn.RETRACTED).shown
    if not found:
        raise UnknownName("no measurement fits; list them with: tiecoat measurements --withdrawn")
    return list(dict.fromkeys(one.source_sha256 for one in found))


def _count(number: int) -> str:
    return "it counts" if number == 1 else "they count"


def _is_named(options: argparse.Namespace) -> bool:
    return bool(options.measurements or options.measurement)


def _choice(options: argparse.Namespace, withdrawn: bool | Withdrawn) -> MeasurementChoice:
    from tiecoat.ask.choosing import MeasurementChoice

    given = {name: getattr(options, name) for name in FILTERS}
    return MeasurementChoice(**given, withdrawn=withdrawn)


def _filters_said(options: argparse.Namespace) -> str:
    given = [(name, getattr(options, name)) for name in FILTERS if getattr(options, name)]
    return " ".join(f"--{name} {shlex.quote(value)}" for name, value in given)


def _listed(
    lab: Lab,
    options: argparse.Namespace,
    names: Sequence[str],
    withdrawn: bool | Withdrawn,
    limit: int | None = None,
) -> MeasurementsListed:
    from tiecoat.ask.query import open_archive

    archive = open_archive(lab.root)
    return archive.listed(names or _choice(options, withdrawn), limit)


def _wanted(
    options: argparse.Namespace, question: str, withdrawn: bool | Withdrawn
) -> tuple[Lab, list[str]]:
    """Return the measurements that are named; or those chosen, once asked for; shown in any case.

    Raises
    ------
    UnknownName
        If there is none.
    """
    names = list(dict.fromkeys([*options.measurements, *options.measurement]))
    if bool(names) is not _choice(options, withdrawn).is_any:
        options.refuse(f"say which: either measurements, or some of {NAMED}")
    lab = lab_of(options)
    found = _listed(lab, options, names, withdrawn).shown
    if not found:
        raise UnknownName("no measurement fits; list them with: tiecoat measurements --withdrawn")
    if not options.json:
        show_briefly(_lines(found, lab), "measurement")
    chosen = [one.measurement for one in found]
    if names or agreed(question.format(counted(len(found), "measurement")), options):
        return lab, chosen
    return lab, []


def _lines(found: Sequence[Described], lab: Lab) -> list[str]:
    """Return a line for each measurement, in columns."""
    rows = [
        (
            one.measurement,
            one.kind,
            one.batch,
            one.panel or "-",
            _time(one, lab),
            counted(one.n_rows, "row"),
            one.source_name,
            one.withdrawn or "",
            one.remark or "",
        )
        for one in found
    ]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  ".join(
            cell.ljust(width) for cell, width in zip(row, widths, strict=True) if width
        ).rstrip()
        for row in rows
    ]


def _time(one: Described, lab: Lab) -> str:
    from tiecoat.archive.tables.describe import moment_at

    if one.measured_at is None:
        return "-"
    return local_time(moment_at(one.measured_at), lab.zone)
