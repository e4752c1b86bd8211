"""The command `held` and its actions, for one held file and for many at once."""

from __future__ import annotations

import argparse
import getpass
import sys
from typing import TYPE_CHECKING

from tiecoat.cli.answers import answer
from tiecoat.cli.shared import (
    actions_of,
    add_limit,
    add_yes,
    agreed,
    lab_of,
    more,
    run_intake,
    screen,
    show_briefly,
)
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.intake.held.choosing import HeldChoice
    from tiecoat.intake.held.files import Held
    from tiecoat.lab.settings import Lab

FILTERS = "--reason, --file, --since, --until"


def add_held(held: argparse.ArgumentParser) -> None:
    """Add what `held` lists, and its actions."""
    held.set_defaults(command=held_list)
    _add_filters(held, default=None)
    add_limit(held)
    add = actions_of(held)
    add("show", held_show, "show the reason and the first lines").add_argument("held")
    assign = add("assign", held_assign, "give held files their batch or panel, and try again")
    _add_which(assign)
    assign.add_argument(
        "--batch",
        metavar="ID",
        action="append",
        help="several, each with --batch, for what is of several at once: a chamber's record",
    )
    assign.add_argument("--panel", metavar="ID")
    again = add("retry", held_retry, "try again after a fix or with a new reader (default: all)")
    _add_which(again)
    discard = add("discard", held_discard, "take files out of the held; their originals stay")
    _add_which(discard)
    discard.add_argument("--why", required=True)


def _add_which(action: argparse.ArgumentParser) -> None:
    action.add_argument("held", nargs="*", metavar="HELD", help="id or file name of a held file")
    _add_filters(action, default=argparse.SUPPRESS)  # what stands before the action counts as well
    add_yes(action)


def _add_filters(parser: argparse.ArgumentParser, default: str | None) -> None:
    for name, metavar, words in (
        ("--reason", "CODE", "only what is held for this reason, such as no-panel"),
        ("--file", "NAME", 'only files called so; * is any text, as in "week 39/*.csv"'),
        ("--since", "DATE", "only what is held since then, such as 2026-10-01"),
        ("--until", "DATE", "only what was held before, or on that day"),
    ):
        parser.add_argument(name, metavar=metavar, help=words, default=default)


def held_list(options: argparse.Namespace) -> int:
    """List held files, the first so many."""
    from tiecoat.archive.opening import doubt_of_journal
    from tiecoat.cli.screens import show_held
    from tiecoat.intake.held.choosing import chosen_held

    lab = lab_of(options)
    choice = _choice(options, lab)
    found = chosen_held(lab, choice, options.limit)
    if doubt := doubt_of_journal(lab):
        print(f"tiecoat: {doubt}", file=sys.stderr)
    code = int(found.total > 0 or bool(doubt))
    if options.json:
        from tiecoat.cli.answer_values import of_held

        files = [of_held(one) for one in found.shown]
        values = {"total": found.total, "files": files, "damage": doubt or None}
        return answer(options, code, values)
    if not found.total:
        print("nothing is held" if choice.is_any else "no held file fits")
        return code
    show_held(found.shown, screen())
    for held_id in found.unreadable:
        print(f"{held_id}  its record cannot be read; drop a copy of the file into an inbox again")
    listed = len(found.shown) + len(found.unreadable)
    if found.total > listed:
        print(more(found.total, listed, FILTERS))
    print("See one with: tiecoat held show ID")
    return 1


def held_show(options: argparse.Namespace) -> int:
    """Show why a file is held."""
    from tiecoat.intake.held.files import explain, find_held

    held = find_held(lab_of(options), options.held)
    if options.json:
        from tiecoat.cli.answer_values import of_held

        return answer(options, 0, {"file": of_held(held) | {"first_lines": held.first_lines}})
    print(explain(held), end="")
    return 0


def held_assign(options: argparse.Namespace) -> int:
    """Give held files their ids, and try them again."""
    from tiecoat.intake.held.assigned import LISTED, Assigned
    from tiecoat.intake.taking_in import retry

    batches = list(dict.fromkeys(options.batch or ()))
    if not (batches or options.panel):
        raise QueryInvalid("say which: --batch ID, --panel ID, or both")
    if len(batches) > 1 and options.panel:
        raise QueryInvalid("a panel is of one batch: say --batch once")
    assigned = Assigned(LISTED.join(batches) or None, options.panel)
    ids = " and ".join(filter(None, (*batches, options.panel)))
    files = _wanted(lab_of(options), options, f"Give {{}} the id {ids}?")
    if not files:
        return 1
    return run_intake(options, lambda lab, teller: retry(lab, files, teller, assigned))


def held_retry(options: argparse.Namespace) -> int:
    """Try held files again: those that are named or chosen, else all."""
    from tiecoat.intake.held.files import list_held
    from tiecoat.intake.taking_in import retry

    lab = lab_of(options)
    if not options.held and _choice(options, lab).is_any:
        return run_intake(options, lambda lab, teller: retry(lab, list_held(lab), teller))
    files = _wanted(lab, options, "Try {} again?")
    return run_intake(options, lambda lab, teller: retry(lab, files, teller)) if files else 1


def held_discard(options: argparse.Namespace) -> int:
    """Take files out of the held."""
    from tiecoat.intake.discarding import discard

    lab = lab_of(options)
    files = _wanted(lab, options, "Discard {}?")
    discard(lab, files, getpass.getuser(), options.why)
    if options.json:
        return answer(options, int(not files), {"files": [one.id for one in files]})
    for one in files if options.held else ():
        print(f"discarded {one.name}; its original stays under {one.sha256}")
    if files and not options.held:
        print(f"discarded {counted(len(files), 'file')}; their originals stay")
    return int(not files)


def _choice(options: argparse.Namespace, lab: Lab) -> HeldChoice:
    from tiecoat.intake.held.choosing import HeldChoice, reason_of
    from tiecoat.lab.filters import moment_of

    since, until = options.since, options.until
    return HeldChoice(
        reason_of(options.reason) if options.reason else None,
        options.file,
        moment_of(since, lab.zone) if since else None,
        moment_of(until, lab.zone, day_after=True) if until else None,
    )


def _wanted(lab: Lab, options: argparse.Namespace, question: str) -> list[Held]:
    """Return the held files that are named; or those chosen, shown and asked for; none if not."""
    from tiecoat.intake.held.choosing import chosen_held
    from tiecoat.intake.held.files import find_held

    choice = _choice(options, lab)
    if bool(options.held) is not choice.is_any:
        raise QueryInvalid(f"say which: either ids or file names, or {FILTERS}")
    if options.held:
        return [find_held(lab, text) for text in dict.fromkeys(options.held)]
    found = list(chosen_held(lab, choice).shown)
    if not found:
        raise UnknownName("no held file fits; list them with: tiecoat held")
    if not options.json:
        show_briefly([f"{one.id}  {one.name}: {one.reason.text}" for one in found], "held file")
    return found if agreed(question.format(counted(len(found), "file")), options) else []
