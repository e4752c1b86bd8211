"""The commands: each a few lines over the package. Heavy libraries load when they are used."""

from __future__ import annotations

import argparse
import getpass
import io
import os
import signal
import sys
import threading
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from pkgutil import resolve_name
from types import FrameType
from typing import TYPE_CHECKING, Any

from tiecoat.cli.answers import add_json, answer, answer_error
from tiecoat.cli.general import (
    INTERRUPTED,
    LAB,
    STANDS,
    add_general,
    progress,
    told_as_asked,
    warnings_told,
)
from tiecoat.cli.late_parser import LateParser
from tiecoat.cli.shared import (
    Command,
    actions_of,
    add_study,
    add_yes,
    in_width,
    lab_of,
    run_intake,
    screen,
    show_next,
    tell_completed,
)
from tiecoat.errors import TiecoatError
from tiecoat.wording import Told

if TYPE_CHECKING:
    import pandas as pd

    from tiecoat.ask.query import Archive

FAULT = 70  # EX_SOFTWARE of sysexits.h

DESCRIPTION = """\
tiecoat takes the exports of a coatings laboratory's instruments as they arrive, keeps every
original, files validated rows by batch and panel, and holds what is wrong with a plain reason."""

EPILOG = """\
Commands look for the lab in the current folder; name another with --lab, before the command or
after it, or in TIECOAT_LAB in the environment.
tiecoat supports judgement. It replaces neither the standards, nor the safety data sheets, nor the
person who answers for a release."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 done, 1 something is held or found, 2 not possible, 70 a fault of the program itself.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a file name may hold what the screen cannot show
    options = argparse.Namespace(json=False)
    try:
        _parser().parse_args(arguments, options)
        command: Command = options.command
        try:
            with told_as_asked(options), warnings_told():
                return command(options)
        finally:
            tell_completed(options)
    except TiecoatError as error:
        print(f"tiecoat: {error}", file=sys.stderr)
        answer_error(options, 2, error)
        return 2
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except OSError as error:
        print(f"tiecoat: the system refuses: {error}", file=sys.stderr)
        answer_error(options, 2, error)
        return 2
    except KeyboardInterrupt:
        stands = STANDS.get(options.name, "nothing was begun that is not whole")
        print(f"stopped: {stands}", file=sys.stderr)
        return INTERRUPTED
    except Exception as error:  # noqa: BLE001 - 1 would say that something is held or found
        from tiecoat.extend.blame import blame

        print(f"tiecoat: a fault of tiecoat itself: {blame(error)}", file=sys.stderr)
        if options.verbose:
            traceback.print_exc()
        answer_error(options, FAULT, error)
        return FAULT


def _add_draft(drafted: argparse.ArgumentParser) -> None:
    drafted.add_argument("batches", nargs="*", metavar="BATCH", help="(default: all registered)")
    drafted.add_argument(
        "-o", "--to", type=Path, metavar="FILE", help="a new .toml file (default: the screen)"
    )


def _add_profile(profile: argparse.ArgumentParser) -> None:
    profile.add_argument("file", nargs="?", type=Path)
    profile.add_argument("--reference", action="store_true", help="every key, with an example")


def _add_supersede(supersede: argparse.ArgumentParser) -> None:
    supersede.add_argument("held", help="id or file name of the held file")
    supersede.add_argument("--why", required=True)
    supersede.add_argument("--show", action="store_true", help="show what it would replace only")
    add_yes(supersede)


class _SayVersion(argparse.Action):
    """Says the version, which takes a moment to look up, only when it is asked for."""

    def __call__(self, parser: argparse.ArgumentParser, *ignored: object) -> None:
        from tiecoat import __version__

        print(f"tiecoat {__version__}")
        parser.exit()


class ProgramParser(argparse.ArgumentParser):
    """Adds the commands of plugins where one is asked for, or all are listed."""

    commands: _Commands

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Add them where they are needed, and parse."""
        words = sys.argv[1:] if args is None else list(args)
        general = argparse.ArgumentParser(add_help=False, exit_on_error=False)
        add_general(general, top=True)
        try:
            told, rest = general.parse_known_args(words)
        except argparse.ArgumentError:  # told when it is parsed
            return super().parse_known_args(words, namespace)
        name = next((one for one in rest if not one.startswith("-")), "")
        if name not in self.commands.parsers.choices and (name or {"-h", "--help"} & {*rest}):
            self.commands.add_brought(told.lab, name)
        return super().parse_known_args(words, namespace)


@dataclass(frozen=True)
class _Commands:
    """Adds commands; `add_later` one whose module is loaded when it is asked for."""

    parsers: argparse._SubParsersAction[LateParser]

    def add(self, name: str, command: Command, words: str, *, lab: bool = True) -> LateParser:
        sub = self._begun(name, words, lab=lab)
        sub.set_defaults(command=command)
        return sub

    def add_later(
        self,
        name: str,
        words: str,
        later: Callable[[argparse.ArgumentParser], None],
        *,
        lab: bool = True,
    ) -> None:
        self._begun(name, words, lab=lab).later = later

    def add_brought(self, lab: str, name: str) -> None:
        """Add what plugins bring; where `name` is none of it, say what was left out of that."""
        from tiecoat.cli.brought_commands import add_brought, commands_of

        found = commands_of(lab)
        for one, command in found.commands.items():
            where = found.sources[one]
            self.add_later(one, command.words, partial(add_brought, command=command, where=where))
        if name and name not in found.commands:
            for problem in found.problems:
                print(f"tiecoat: {problem}", file=sys.stderr)

    def _begun(self, name: str, words: str, *, lab: bool = True) -> LateParser:
        sub = self.parsers.add_parser(name, help=words, description=words)
        sub.set_defaults(name=name)
        add_general(sub, lab=lab)
        add_json(sub, name)
        return sub


def _parser() -> ProgramParser:
    parser = ProgramParser(
        prog="tiecoat",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add_general(parser, top=True)
    add_json(parser, "")
    parser.add_argument("--version", action=_SayVersion, nargs=0, help="say which version this is")
    parser.set_defaults(command=_overview, name="", json=False)
    commands = _Commands(
        parser.add_subparsers(title="commands", metavar="COMMAND", parser_class=LateParser)
    )
    parser.commands = commands
    add, add_later = commands.add, commands.add_later

    _add_new(add("new", _new, "lay out a new lab", lab=False))
    serve = add("serve", _serve, "watch the inboxes and take in what arrives, until Ctrl-C")
    serve.add_argument("--log", action="store_true", help="write what happens into log/ too")
    _add_service(add("service", _service_status, "say how it runs; install, remove"))
    take = add("take", _take, "take in the named files, or everything that waits, and return")
    take.add_argument("files", nargs="*", type=Path)
    tried = add("try", _try, "show what would be filed from a file, and file nothing")
    tried.add_argument("file", type=Path)
    _add_learn(add("learn", _learn, "teach the layout of a file: shown, asked, written, tried"))
    _add_profile(add("profile", _profile, "check a table profile and say what it does", lab=False))
    add_later(
        "held",
        "list the held files; show, assign, retry, discard them",
        _from("held_commands:add_held"),
    )
    _add_supersede(add("supersede", _supersede, "file a held conflict as the valid values"))
    add_later(
        "measurements", "list what is filed, one by one", _from("corrections:add_measurements")
    )
    add_later(
        "retract",
        "mark measurements as not valid; their rows stay",
        _from("corrections:add_retract"),
    )
    add_later(
        "reinstate",
        "have measurements count that were retracted",
        _from("corrections:add_reinstate"),
    )
    add_later(
        "refile",
        "file anew, under other ids, what was filed under wrong ones",
        _from("corrections:add_refile"),
    )
    add("contents", _contents, "show what the archive holds")
    _add_evaluate(add("evaluate", _evaluate, "compute engineering results from what is filed"))
    _add_draft(add("study", _study, "write a first study file from the register and the archive"))
    _add_compare(add("compare", _compare, "compare candidates with the control, on the screen"))
    _add_why(add("why", _why, "say which results of a study go together, over panels and batches"))
    _add_report(add("report", _report, "write the report of a study, with its figures and tables"))
    _add_overlay(add("overlay", _overlay, "draw what was found on the pictures it was found on"))
    words = "list readers, kinds, evaluations and all else of plugins, and what was left out"
    add("readers", _readers, words)
    add_later("plugin", "lay out a plugin of your own: new", _from("plugin_command:add_plugin"))
    add("reindex", _reindex, "build the index again from the archive, the held and the journal")
    _add_verify(
        add("verify", _verify, "prove originals, journal, tables and index against each other")
    )
    add_later(
        "upgrade",
        "have tables follow what has changed of their kinds",
        _from("upgrade_command:add_upgrade"),
    )
    _add_rebuild(
        add("rebuild", _rebuild, "make the archive again from the originals and the journal")
    )
    add_later(
        "merge",
        "bring another lab into this one, with all its decisions",
        _from("merge_screen:add_merge"),
    )
    add_later(
        "publish",
        "bring what has changed into a lake that labs share",
        _from("publish_command:add_publish"),
    )
    add_later(
        "reference",
        "tell what can be called, set and told",
        _from("reference_command:add_reference"),
    )
    _add_guide(add("guide", _guide, "guides for beginners, and for upkeep", lab=False))
    add_later("completion", "print what completes commands in a shell", _add_completion, lab=False)
    return parser


def _from(place: str) -> Callable[[argparse.ArgumentParser], None]:
    """Return what adds what a command takes, of a module here that is loaded when it does."""

    def add(parser: argparse.ArgumentParser) -> None:
        resolve_name(f"tiecoat.cli.{place}")(parser)

    return add


def _add_evaluate(evaluate: argparse.ArgumentParser) -> None:
    evaluate.add_argument("kind", help="such as pull_off, density, viscosity or impedance")
    evaluate.add_argument("--batch", metavar="ID")
    evaluate.add_argument("--panel", metavar="ID")
    evaluate.add_argument(
        "--quantity", metavar="NAME", help="only this one; some are computed only when named"
    )
    evaluate.add_argument("--to", type=Path, metavar="FILE", help="write .csv or .parquet instead")


def _add_guide(guide: argparse.ArgumentParser) -> None:
    topics = ["first-lab", "first-instrument", "first-analysis", "upkeep"]
    guide.add_argument("topic", choices=topics)


def _add_report(report: argparse.ArgumentParser) -> None:
    add_study(report)
    _add_against(report)
    report.add_argument(
        "--to",
        type=Path,
        metavar="FOLDER",
        help="where to (default: reports/ in the lab, by the name of the study file)",
    )
    report.add_argument(
        "--brief",
        action="store_true",
        help="one page to hand out: without the appendix, and without figures/ and tables/ beside",
    )
    report.add_argument(
        "--with-originals",
        action="store_true",
        help="copy the originals beside the page, where its links open them",
    )
    report.add_argument(
        "--slides", type=Path, metavar="FILE", help="write slides (.pptx) too, to be edited on"
    )
    report.add_argument(
        "--workbook", type=Path, metavar="FILE", help="write every table into one .xlsx too"
    )
    report.add_argument("--date", metavar="DATE", help="on the report (default: today)")


def _add_compare(compared: argparse.ArgumentParser) -> None:
    add_study(compared)
    _add_against(compared)
    compared.add_argument(
        "--all", action="store_true", help="every verdict in detail, not only what is open or worse"
    )


def _add_why(why: argparse.ArgumentParser) -> None:
    add_study(why)
    why.add_argument(
        "--pair",
        nargs=2,
        action="append",
        default=[],
        metavar=("FIRST", "SECOND"),
        help="two results, by name (default: those of the study, else the usual ones, such as air"
        " and voids, voids and modulus; tiecoat why alone lists what can be named); repeat it",
    )


def _add_new(new: argparse.ArgumentParser) -> None:
    new.add_argument("folder")
    new.add_argument("--zone", metavar="ZONE", help="of its clocks (default: of this computer)")


def _add_verify(proof: argparse.ArgumentParser) -> None:
    proof.add_argument(
        "--changed",
        action="store_true",
        help="read only what is new, or looks otherwise than when it was proved last",
    )


def _add_rebuild(rebuild: argparse.ArgumentParser) -> None:
    way = rebuild.add_mutually_exclusive_group()
    way.add_argument(
        "--accept", action="store_true", help="put it in place though some of it is otherwise"
    )
    way.add_argument(
        "--back", action="store_true", help="put the archive of before the last rebuild back"
    )
    way.add_argument(
        "--drop", action="store_true", help="delete the archives of before, which rebuilds keep"
    )
    rebuild.add_argument(
        "--by-today",
        action="store_true",
        help="read everything by the settings of today, not by those it was filed by",
    )
    rebuild.add_argument(
        "--leave-out",
        action="append",
        default=[],
        metavar="NAME",
        help="with --accept: a file, a measurement or a kind that may be lost by it; repeat it",
    )


def _add_service(service: argparse.ArgumentParser) -> None:
    add = actions_of(service)
    install = add("install", _service_install, "have this system serve the lab from now on")
    remove = add("remove", _service_remove, "have this system serve the lab no longer")
    for action in (install, remove):
        action.add_argument(
            "--system",
            action="store_true",
            help="for the whole computer, not for your account (needs an administrator)",
        )
    install.add_argument("--account", metavar="NAME", help="with --system: whose rights it has")
    install.add_argument("--show", action="store_true", help="show what would be done, do nothing")
    words = "0 well, 1 something is held or in the way, 2 not running"
    add("status", _service_status, f"say how the service is, also by exit code: {words}")


def _add_overlay(overlay: argparse.ArgumentParser) -> None:
    overlay.add_argument("--kind", metavar="KIND")
    overlay.add_argument("--batch", metavar="ID")
    overlay.add_argument("--panel", metavar="ID")


def _add_against(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--against",
        action="append",
        default=[],
        metavar="NAME",
        help="compare with this candidate too, by batch or name; all: each with each; repeat it",
    )


def _add_learn(learn: argparse.ArgumentParser) -> None:
    learn.add_argument("file", help="a file, or the id or file name of a held one")
    learn.add_argument("--kind", metavar="KIND", help="what it holds, where the file does not say")
    words = "of the profile (default: after the file)"
    learn.add_argument("--name", dest="profile", metavar="NAME", help=words)
    learn.add_argument(
        "--answer",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="an answer, such as area_cm2='14.6 cm2' or column:Im=z_imag_ohm; repeat it",
    )
    learn.add_argument("--show", action="store_true", help="show and ask nothing; write nothing")
    learn.epilog = (
        "--show lists what the columns of the file are taken for, what answers may name, with unit"
        " and meaning, why the file is held, and which answer mends it; with --kind KIND what"
        " answers may name of another kind. Every form of an answer: tiecoat profile --reference"
    )


def _overview(options: argparse.Namespace) -> int:
    from tiecoat.errors import NotALab
    from tiecoat.service.overview import overview

    try:
        found = overview(lab_of(options))
    except NotALab:
        if options.json:
            raise
        print(f"There is no lab in {Path(options.lab).absolute()}. What to do next:")
        show_next(
            [
                ("tiecoat new FOLDER", "lays out a new lab"),
                ("tiecoat --lab FOLDER", "says how the lab in another folder is"),
            ]
        )
        return 2
    code = int(found.needs_a_person)
    if options.json:
        from tiecoat.cli.answer_values import of_overview

        return answer(options, code, of_overview(found))
    for line in found.lines:
        print(in_width(line, 9))
    if found.next:
        print("What to do next:")
        is_named = Path(options.lab).absolute() != Path.cwd() and LAB not in os.environ
        lab = f" --lab {options.lab}" if is_named else ""
        show_next([(command + lab, does) for command, does in found.next])
    return code


def _new(options: argparse.Namespace) -> int:
    from tiecoat.lab.new_lab import new_lab, template
    from tiecoat.lab.settings import has_lost_settings

    if has_lost_settings(Path(options.folder).absolute()):
        return _written_anew(options)
    lab = new_lab(options.folder, template(options.zone))
    print(f"Laid out {lab.root}")
    print(f"Times without an offset are read as those of {lab.settings.times.zone}.")
    print(f"Look through {lab.root / 'tiecoat.toml'}: ids, time zone, inboxes. Then:")
    print(f"  tiecoat serve --lab {options.folder}")
    return 0


def _written_anew(options: argparse.Namespace) -> int:
    from tiecoat.archive.journal.records import Journal
    from tiecoat.lab.new_lab import written_anew
    from tiecoat.lab.settings import Lab, Settings

    root = Path(options.folder).absolute()
    every = [*Journal(Lab(root, Settings())).settings().values()]
    lab = written_anew(root, every[-1] if every else None)
    print(f"Wrote {lab.root / 'tiecoat.toml'} anew: how files are read is as the journal says.")
    print("Look through it before anything is taken in: inboxes, readers and results are set as")
    print("in a new lab.")
    return 0


def _serve(options: argparse.Namespace) -> int:
    from tiecoat.service.running import run

    stop, wake = threading.Event(), threading.Event()

    def end(number: int, frame: FrameType | None) -> None:
        stop.set()
        wake.set()

    for name in ("SIGINT", "SIGTERM", "SIGBREAK"):
        if number := getattr(signal, name, None):
            signal.signal(number, end)
    run(options.lab, screen(), stop, wake, log=options.log)
    return 0


def _service_install(options: argparse.Namespace) -> int:
    from tiecoat.service.install import install, plan_for, shown

    plan = plan_for(lab_of(options), system=options.system, account=options.account)
    for line in [shown(plan)] if options.show else install(plan):
        print(line)
    return 0


def _service_remove(options: argparse.Namespace) -> int:
    from tiecoat.lab.settings import Lab, Settings
    from tiecoat.service.install import plan_for, remove

    lab = Lab(Path(options.lab).absolute(), Settings())  # also where the folder is gone by now
    account = getpass.getuser() if options.system else None  # whose rights it had does not matter
    for line in remove(plan_for(lab, system=options.system, account=account)):
        print(line)
    return 0


def _service_status(options: argparse.Namespace) -> int:
    from tiecoat.errors import SettingInvalid
    from tiecoat.lab.settings import Lab, Settings
    from tiecoat.service.status import NOT_RUNNING, status

    try:
        found = status(lab_of(options))
    except SettingInvalid:  # a service that runs goes on with those of before, and tells it
        found = status(Lab(Path(options.lab).absolute(), Settings()))
        if found.code == NOT_RUNNING:
            raise
    if options.json:
        from tiecoat.cli.answer_values import of_status

        return answer(options, found.code, of_status(found))
    for line in found.lines:
        print(in_width(line, 9))
    return found.code


def _take(options: argparse.Namespace) -> int:
    from tiecoat.intake.taking_in import take

    return run_intake(options, lambda lab, teller: take(lab, options.files, teller))


def _supersede(options: argparse.Namespace) -> int:
    from tiecoat.intake.filing.entry import Decision
    from tiecoat.intake.held.files import find_held
    from tiecoat.intake.superseding import superseding
    from tiecoat.intake.taking_in import retry

    lab, who = lab_of(options), getpass.getuser()
    held = find_held(lab, options.held)
    would = superseding(lab, held, who, options.why)
    if options.json and options.show:
        from tiecoat.cli.answer_values import of_outcomes

        return answer(options, 0, of_outcomes([], would.lines))
    if not options.json:
        print("\n".join(would.lines), flush=True)
    if options.show:
        return 0
    decision = Decision(who, options.why, would.existing)
    return run_intake(options, lambda lab, teller: retry(lab, [held], teller, decision=decision))


def _try(options: argparse.Namespace) -> int:
    from tiecoat.cli.screens import show_trial
    from tiecoat.intake.trying import try_file

    trial = try_file(lab_of(options), options.file)
    code = int(trial.held is not None)
    if options.json:
        from tiecoat.cli.answer_values import of_trial

        return answer(options, code, of_trial(trial))
    show_trial(trial, screen())
    return code


def _learn(options: argparse.Namespace) -> int:
    from tiecoat.cli.learning_screen import learn

    return learn(lab_of(options), options, screen(), lambda work: run_intake(options, work))


def _profile(options: argparse.Namespace) -> int:
    from tiecoat.cli.learning_screen import explain_profile
    from tiecoat.extend.profile_reference import REFERENCE

    if options.reference or options.file is None:
        print(REFERENCE, end="")
        return 0
    print(explain_profile(options.file), end="")
    return 0


def _contents(options: argparse.Namespace) -> int:
    from tiecoat.ask.query import open_archive
    from tiecoat.cli.screens import show_contents

    holds = open_archive(options.lab).holds()
    if options.json:
        from tiecoat.cli.answer_values import of_contents

        return answer(options, 0, of_contents(holds))
    if holds.kinds:
        show_contents(holds, screen())
    else:
        print("nothing has been filed yet")
    return 0


def _evaluate(options: argparse.Namespace) -> int:
    from tiecoat.ask.evaluate import evaluate
    from tiecoat.ask.query import open_archive
    from tiecoat.cli.result_screen import show_results

    archive = open_archive(options.lab)
    asked = options.kind, options.batch, options.panel, options.quantity
    if options.to:
        count, left_out = _written(archive, asked, options.to)
    else:
        with progress() as told:
            found = evaluate(archive, *asked, told=told)
        left_out = found.left_out
    code = int(bool(left_out))
    if options.json:
        from tiecoat.cli.answer_values import of_results

        results = [] if options.to else of_results(found.table)
        values = {"results": results, "to": options.to, "left_out": left_out}
        return answer(options, code, values)
    if options.to:
        print(f"{count:,} results written to {options.to}")
    else:
        show_results(found.table, screen())
    for problem in left_out:
        print(problem, file=sys.stderr)
    return code


def _written(archive: Archive, asked: tuple[str, ...], to: Path) -> tuple[int, tuple[str, ...]]:
    """Write results into a file as they are computed; return how many, and what was left out."""
    from tiecoat.ask.evaluate import evaluate_in_parts
    from tiecoat.ask.result_files import refuse_place, write_results

    refuse_place(to, archive.lab)
    left_out: list[str] = []

    def tables(told: Told) -> Iterator[pd.DataFrame]:
        for found in evaluate_in_parts(archive, *asked, told=told):
            left_out.extend(found.left_out)
            yield found.table
            del found  # before the next are computed

    with progress() as told:
        count = write_results(tables(told), to, archive.lab)
    return count, tuple(dict.fromkeys(left_out))


def _study(options: argparse.Namespace) -> int:
    from tiecoat.ask.query import open_archive
    from tiecoat.ask.result_files import refuse_new_place, write_new_text
    from tiecoat.ask.study_draft import draft_study

    archive = open_archive(options.lab)
    if options.to is None:
        print(draft_study(archive, options.batches, "study.toml"), end="")
        return 0
    refuse_new_place(options.to, archive.lab)
    text = draft_study(archive, options.batches, str(options.to))
    write_new_text(text, options.to, archive.lab)
    print(f"A first study is in {options.to}. Fill in its margins, then:")
    print(f"  tiecoat compare {options.to} --lab {options.lab}")
    print(f"  tiecoat report {options.to} --lab {options.lab}")
    return 0


def _compare(options: argparse.Namespace) -> int:
    from tiecoat.ask.query import open_archive
    from tiecoat.ask.study_data import read_study, study_data
    from tiecoat.cli.verdict_screen import show_verdicts, summary

    with progress() as told:
        archive = open_archive(options.lab)
        study = read_study(options.study, options.against, lab=archive.lab)
        data = study_data(archive, study, told)
    code = int(bool(data.left_out or data.comparison.in_the_way))
    if options.json:
        from tiecoat.cli.answer_values import of_comparison

        said = summary(data.comparison, data.recommendations)
        return answer(options, code, of_comparison(data, said))
    show_verdicts(data.comparison, screen(), data.recommendations, everything=options.all)
    for problem in data.left_out:
        print(problem, file=sys.stderr)
    return code


def _why(options: argparse.Namespace) -> int:
    from tiecoat.ask.query import open_archive
    from tiecoat.ask.study_data import read_study, study_data
    from tiecoat.ask.study_links import with_links
    from tiecoat.cli.links_screen import show_links, show_pairable, unit_words
    from tiecoat.compare.links import NO_PROOF

    pairs = [(first, second) for first, second in options.pair]
    archive = open_archive(options.lab)
    study = read_study(options.study, why=pairs, lab=archive.lab)
    with progress() as told:
        alone = options.study is None and not pairs
        data = with_links(archive, study_data(archive, study, told), told, with_every=alone)
    code = int(bool(data.left_out))
    if options.json:
        from tiecoat.cli.answer_values import of_links, of_pairable

        values = {"links": of_links(data.links), "cautions": [*unit_words(data.links), NO_PROOF]}
        values["can_be_paired"] = of_pairable(data.pairable)
        return answer(options, code, values | {"left_out": data.left_out})
    show_links(data.links, screen())
    show_pairable(data.pairable, screen())
    for problem in data.left_out:
        print(problem, file=sys.stderr)
    return code


def _report(options: argparse.Namespace) -> int:
    from tiecoat.ask.query import open_archive
    from tiecoat.ask.study_data import read_study, study_data
    from tiecoat.ask.study_links import with_links
    from tiecoat.report.write import ReportScope, date_of, default_folder, refuse, write_report
    from tiecoat.wording import counted

    on = date_of(options.date)
    archive = open_archive(options.lab)
    folder = options.to or default_folder(archive.lab, options.study)
    scope = ReportScope(
        options.brief, options.with_originals, slides=options.slides, workbook=options.workbook
    )
    study = read_study(options.study, options.against, lab=archive.lab)
    refuse(folder, archive.lab, scope)
    with progress() as told:
        data = study_data(archive, study, told, with_pictures=True)
        data = with_links(archive, data, told)
        path = write_report(data, folder, on, scope, told)
    code = int(bool(data.left_out or data.comparison.in_the_way))
    count = len(data.comparison.verdicts)
    if options.json:
        problems = {"problems": data.comparison.problems, "left_out": data.left_out}
        files = {"page": path, "slides": options.slides, "workbook": options.workbook}
        return answer(options, code, files | {"verdicts": count} | problems)
    for problem in (*data.comparison.problems, *data.left_out):
        print(problem, file=sys.stderr)
    print(f"{counted(count, 'verdict')}, report in {path}")
    for what, file in (("slides", options.slides), ("tables", options.workbook)):
        if file is not None:
            print(f"{what} in {file}")
    return code


def _overlay(options: argparse.Namespace) -> int:
    from tiecoat.ask.overlay import overlays
    from tiecoat.ask.query import open_archive
    from tiecoat.cli.screens import show_overlays

    archive = open_archive(options.lab)
    count, drawn = overlays(archive, options.kind, options.batch, options.panel)
    if options.json:
        pictures = [{"name": one.name, "path": one.path, "remark": one.remark} for one in drawn]
        missing = any(one["path"] is None for one in pictures)
        return answer(options, int(missing), {"pictures": pictures})
    return int(show_overlays(count, drawn, archive.lab, screen()) > 0)


def _readers(options: argparse.Namespace) -> int:
    from tiecoat.cli.inventory_screen import brought_to, show_inventory
    from tiecoat.intake.workers.pool import ReaderPool

    lab = lab_of(options)
    with ReaderPool(lab) as pool:
        inventory = pool.inventory()
    brought = brought_to(lab.own_readers)
    code = int(bool(inventory.problems or brought.problems))
    if options.json:
        from tiecoat.cli.answer_values import of_brought, of_readers

        left_out = (*inventory.problems, *brought.problems)
        values = {**of_readers(inventory), **of_brought(brought), "left_out": left_out}
        return answer(options, code, values)
    show_inventory(inventory, brought, screen())
    return code


def _guide(options: argparse.Namespace) -> int:
    from tiecoat.cli.guide import show_guide

    show_guide(options.topic)
    return 0


def _add_completion(completed: argparse.ArgumentParser) -> None:
    from tiecoat.cli.completion import SHELLS

    completed.add_argument("shell", choices=[*SHELLS], help="that the script is for")
    completed.set_defaults(command=_completion)


def _completion(options: argparse.Namespace) -> int:
    from tiecoat.cli.completion import completion

    print(completion(_parser(), options.shell), end="")
    return 0


def _reindex(options: argparse.Namespace) -> int:
    from tiecoat.archive.opening import reindex

    with progress() as told:
        found = reindex(lab_of(options), told)
    if options.json:
        counts = {"tables": found.tables, "measurements": found.measurements}
        return answer(options, int(bool(found.damaged)), counts | {"damaged": found.damaged})
    print(f"indexed {found.measurements:,} measurements in {found.tables:,} tables")
    for path in found.damaged:
        print(f"left out, for it does not open: {path}")
    return int(bool(found.damaged))


def _verify(options: argparse.Namespace) -> int:
    from tiecoat.cli.verify_screen import show_verified
    from tiecoat.verify.verify import verify

    lab, console = lab_of(options), screen()
    with progress() as told:
        verified = verify(lab, told, changed=options.changed)
    code = int(bool(verified.findings))
    if options.json:
        from tiecoat.cli.answer_values import of_verified

        return answer(options, code, of_verified(verified))
    show_verified(verified, console)
    return code


def _rebuild(options: argparse.Namespace) -> int:
    from tiecoat.cli.verify_screen import show_rebuilt
    from tiecoat.rebuild.earlier import drop_kept, take_back
    from tiecoat.rebuild.rebuild import rebuild
    from tiecoat.wording import counted

    lab, console = lab_of(options), screen()
    if options.drop:
        print(f"dropped {counted(drop_kept(lab), 'archive')} of before a rebuild")
        return 0
    if options.back:
        print(f"the archive of {take_back(lab, getpass.getuser())} is in place again")
        return 0
    with progress() as told:
        rebuilt = rebuild(
            lab,
            getpass.getuser(),
            accept=options.accept,
            leave_out=options.leave_out,
            today=options.by_today,
            told=told,
        )
    if options.json:
        from tiecoat.cli.answer_values import of_rebuilt

        return answer(options, int(not rebuilt.swapped), of_rebuilt(rebuilt))
    show_rebuilt(rebuilt, console)
    return int(not rebuilt.swapped)
