'''What the author of a plugin needs: three words, seven hooks, and the types they speak of.

A *kind* says what a measurement is made of: columns, units, bounds. A *reader* recognises the
exports of one sort and turns them into measurements of a kind. Both come in through pluggy hooks
in a module that an entry point of the group `tiecoat` names, or that lies in a lab's `readers/`
folder. A complete plugin with one kind and one reader:

    import pandera.pandas as pa
    from tiecoat.plugin import Claim, Kind, Measurement, column, hookimpl

    class Pendulum(pa.DataFrameModel):
        """Pendulum damping of the dry film (ISO 1522)."""
        pendulum: str = column("", "which pendulum swings", isin=["König", "Persoz"])
        damping_s: float = column("s", "time until the swing has died down", ge=0, le=1000)

    PENDULUM = Kind("pendulum", Pendulum, per="panel", identity=("pendulum",))

    class PendulumTable:
        name, kind, version = "pendulum_table", "pendulum", "1"
        titles = {"pendulum": ("Pendulum",), "damping": ("Damping", "Damping time")}

        def recognise(self, export):
            missing = export.missing(self.titles)
            return Claim(0.2, missing) if missing else Claim(0.8, "pendulum and damping")

        def read(self, export):
            for table in export.tables(self.titles):
                yield Measurement(
                    columns={
                        "pendulum": table.texts("pendulum"),
                        "damping_s": table.numbers("damping", "s"),
                    },
                    rows=table.rows,
                    panel=table.entry(("Panel",)),
                    measured_at=table.entry_time(("Measured",)),
                )

    @hookimpl
    def tiecoat_kinds():
        return [PENDULUM]

    @hookimpl
    def tiecoat_readers():
        return [PendulumTable()]

When a kind changes, raise its `version`. Tables that are filed follow by themselves where columns
are added that may be empty (`nullable=True`). For another unit, name, type or meaning of a column
the kind takes its rows along, from whatever version they are of; without that its tables stay as
they are, and nothing of it is filed any more. A column that keeps its name, unit and meaning keeps
its values, and what is returned keeps to the bounds of the kind. `tiecoat upgrade --show` runs it
and shows a few rows:

    def migrate(frame, from_version):  # version 1 had the damping in seconds
        frame["damping_ms"] = frame.pop("damping_s") * 1000
        return frame

    Kind("pendulum", Pendulum, per="panel", identity=("pendulum",), version=2, migrate=migrate)

Evaluations, from measurements to engineering results, are the third hook; see `Evaluation`. They
need other libraries than readers do, and stand in a module of their own whose entry point (or file
in `readers/`) has a name that begins with `evaluate_`: only there they are looked for, and nothing
else is:

    from tiecoat.evaluate.result import results
    from tiecoat.plugin import Evaluation, hookimpl

    def compute(frames, choices):
        mean = frames["pendulum"].groupby(["batch", "panel"])["damping_s"].mean().reset_index()
        return results("damping_mean", mean, mean["damping_s"], "s", method="plain mean")

    @hookimpl
    def tiecoat_evaluations():
        return [Evaluation("pendulum", "pendulum", compute)]

A unit is one that exports might write ("g/m2", "" for a plain number); only a share says of what it
is ("% of the readings"). What was determined under several conditions tells each by `condition=`.

A quantity that studies are to compare is a `StudyProperty` of its evaluation: a name, which way is
better, and from how much on it counts as harm. Studies then know it by its name, as they know ours,
and compare it under each condition for itself:

    DAMPING = StudyProperty("damping", "damping_mean", direction="higher", margin=10)
    Evaluation("pendulum", "pendulum", compute, properties=(DAMPING,))

A figure for the report comes from the same module, by a hook of its own; see `StudyFigure`. It
stands on the page, in the slides and among the files as ours do:

    def draw(figure, results, rows, names):
        axes = figure.subplots()
        for place, batch in enumerate(names):
            mine = results[results["batch"] == batch]
            axes.plot(mine["value"], [place] * len(mine), "o")
        axes.set_yticks(range(len(names)), list(names.values()))
        axes.set_xlabel("damping (s)")

    @hookimpl
    def tiecoat_figures():
        caption = "A mark is the mean of a panel."
        return [StudyFigure("pendulum", "pendulum", "Pendulum damping", draw, caption)]

What is read again and again is a `StudyCourse` of the same hook: it gives the readings, and the
report draws them over time, a candidate with its doses in each frame, as it draws gloss and rust:

    def courses(results, rows):
        first = rows.groupby("panel")["measured_at"].transform("min")
        hours = (rows["measured_at"] - first).dt.total_seconds() / 3600
        points = rows.assign(time_h=hours, value=rows["damping_s"])
        yield TimeCourse("damping (s)", points)

    StudyCourse("damping", "pendulum", courses, Clock.FIRST)

A page comes in likewise, a section of the report with texts, tables and figures, which stand in
the slides and among the tables too; see `StudyPage` and `StudyContents`. What needs other libraries
than evaluations do stands in a module of its own, whose name begins with `report_`:

    def tell(study):
        swings = study.rows["pendulum"]
        yield f"{len(swings)} swings, with the control {study.control}."
        means = swings.groupby(["batch", "pendulum"])["damping_s"].mean().reset_index()
        yield PageTable("Mean damping of each batch, by pendulum", means)

    @hookimpl
    def tiecoat_pages():
        return [StudyPage("pendulum", "pendulum", "Damping by pendulum", tell)]

A command of your own, `tiecoat pendulums`, is a `LabCommand` of a module whose name begins with
`command_`; it is loaded when it is asked for, and appears in `tiecoat --help`:

    import tiecoat
    from tiecoat.plugin import CommandAnswer, LabCommand, hookimpl

    def run(lab, options, told):
        swings = tiecoat.open(lab).read("pendulum", batch=options.batch)
        counts = swings.groupby("pendulum").size()
        lines = [f"{name}: {count} swings" for name, count in counts.items()]
        return CommandAnswer(lines=lines, values={"swings": len(swings)})

    def add(parser):
        parser.add_argument("--batch", metavar="ID")

    @hookimpl
    def tiecoat_commands():
        answers = {"swings": ("whole", "swings that are filed")}
        return [LabCommand("pendulums", "count swings by pendulum", run, add, answers)]

Readers run in a worker process with a time and a memory limit; a reader keeps no state from one
file to the next. What counts of the time is what a reader takes itself, computing or asleep, and
not what it waits for a machine that is busy with others.

What is no table is read by `export.bytes()`, `export.json()`, `export.xml()` (each value of these
knows its place, see `Nested`), `export.entries()` (lines of a name and a value, see `TextEntries`),
`export.picture()`, and single texts by `export.number(...)` and `export.time(...)`. A fault is
noted by a `Reason`, or in words of your own:

    for sweep in export.json().every("sweeps"):
        frequencies = [one["f"].number("Hz") for one in sweep.every("points")]
        if sweep["lamp"].text() == "off":
            export.fault("the lamp was off", at=sweep.at)

An export of several files is named by its reader, and settles, is kept, filed and held as one:

    class HeadAndData:
        companions = Companions("*.hdr", needed=("{stem}.dat",))

        def read(self, export):
            head = export.entries()  # Panel: RB-001-2, Load = 9.81 N
            panel, load_n = head["panel"].text(), head["load"].number("N")
            values = export.companion("*.dat").bytes()

Whole numbers and truths are columns annotated `int` and `bool`; a table, and a nested value, gives
them by `whole_numbers` and `truths`.

`tiecoat plugin new NAME` lays out such a plugin with tests, which have `tiecoat.testing` look
whether it does what is said here.

The last hook tells people of what happens, by e-mail or into a chat; it is looked for where the
name of the entry point or file begins with `announce_`. See `Hooks.tiecoat_announce` and the
example in DEVELOPERS.md.
'''

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, runtime_checkable

import pluggy

from tiecoat.contract.choices import Checked
from tiecoat.contract.evaluation import Evaluation
from tiecoat.contract.kind import Kind, column
from tiecoat.contract.study_property import Nature, StudyProperty
from tiecoat.contract.vocabulary import Caution, Custom, Notation, Relation, Source, Spread
from tiecoat.errors import FileHeld
from tiecoat.reasons import Fault, Reason

if TYPE_CHECKING:
    from tiecoat.contract.companions import Companions
    from tiecoat.contract.event import Event
    from tiecoat.contract.lab_command import CommandAnswer, LabCommand
    from tiecoat.contract.measurement import Claim, Measurement
    from tiecoat.contract.study_course import Clock, StudyCourse, TimeCourse
    from tiecoat.contract.study_figure import StudyFigure
    from tiecoat.contract.study_page import PageTable, StudyContents, StudyPage
    from tiecoat.dialect.export import Export
    from tiecoat.dialect.habits import Layout
    from tiecoat.dialect.nested import Nested
    from tiecoat.dialect.picture_file import Picture
    from tiecoat.dialect.table import Table
    from tiecoat.dialect.text_entries import TextEntries, TextEntry
else:
    _HOMES = {
        "Claim": "contract.measurement",
        "Clock": "contract.study_course",
        "CommandAnswer": "contract.lab_command",
        "Companions": "contract.companions",
        "Event": "contract.event",
        "Export": "dialect.export",
        "LabCommand": "contract.lab_command",
        "Layout": "dialect.habits",
        "Measurement": "contract.measurement",
        "Nested": "dialect.nested",
        "PageTable": "contract.study_page",
        "Picture": "dialect.picture_file",
        "StudyContents": "contract.study_page",
        "StudyCourse": "contract.study_course",
        "StudyFigure": "contract.study_figure",
        "StudyPage": "contract.study_page",
        "Table": "dialect.table",
        "TextEntries": "dialect.text_entries",
        "TextEntry": "dialect.text_entries",
        "TimeCourse": "contract.study_course",
    }

    def __getattr__(name: str) -> Any:
        """Load what only readers and announcers need when it is first used."""
        if name not in _HOMES:
            raise AttributeError(f"tiecoat.plugin has no {name!r}; it has {', '.join(__all__)}")
        return getattr(import_module(f"tiecoat.{_HOMES[name]}"), name)

    def __dir__() -> list[str]:
        """Name these too, so that `help(tiecoat.plugin)` shows them."""
        return sorted({*globals(), *__all__})


__all__ = [
    "Caution",
    "Checked",
    "Claim",
    "Clock",
    "CommandAnswer",
    "Companions",
    "Custom",
    "Evaluation",
    "Event",
    "Export",
    "Fault",
    "FileHeld",
    "Kind",
    "LabCommand",
    "Layout",
    "Measurement",
    "Nature",
    "Nested",
    "Notation",
    "PageTable",
    "Picture",
    "Profile",
    "Reader",
    "Reason",
    "Relation",
    "Source",
    "Spread",
    "StudyContents",
    "StudyCourse",
    "StudyFigure",
    "StudyPage",
    "StudyProperty",
    "Table",
    "TextEntries",
    "TextEntry",
    "TimeCourse",
    "column",
    "hookimpl",
]

hookspec = pluggy.HookspecMarker("tiecoat")
hookimpl = pluggy.HookimplMarker("tiecoat")


@runtime_checkable
class Reader(Protocol):
    """Recognises exports of one sort and reads them.

    `name` is unique among all readers, `kind` the name of a kind, `version` changes whenever the
    reader would give other rows: all three stand beside the rows in the archive.

    A reader that a lab may set something for has `choices`, a class derived from `Checked`. The lab
    writes [read.NAME] into its settings, and `export.choices` is the instance with what it set.

    A reader of exports that are several files has `companions`, which names them: see
    `Companions`. They settle, are kept, filed and held as one. `recognise` and `read` get the main
    file as `export`, and the others in `export.companions` by name; `export.companion("*.dat")` is
    one that is needed. A fault that is noted of a companion says so, and a measurement whose rows
    stand in one names it as `sheet`.

    A reader of pictures may have `draw(export)`: it returns the picture with what was found drawn
    on it, shape (rows, columns, 3) of uint8, for `tiecoat overlay`. It runs where `read` does.
    """

    name: str
    kind: str
    version: str

    def recognise(self, export: Export) -> Claim | None:
        """Say how sure this reader is, from `export.head`, `text()` or titles; None is a plain no.

        Called in a worker process for every new file. What it raises is shown to the user and
        counts as no.
        """

    def read(self, export: Export) -> Iterable[Measurement]:
        """Return the measurements in the order of the file.

        Called in a worker process after this reader has won the file. A fault that the user can
        mend goes to `export.fault(...)`: note it and read on, so that all are told at once; the
        file is then held. `export.hold(...)` ends reading at once. Anything else raised holds the
        file as "the reader broke down".
        """


@dataclass(frozen=True)
class Profile:
    """A table profile that a plugin brings: a reader is made from it once all kinds are known.

    Parameters
    ----------
    path
        The TOML file. A profile that breaks a rule is reported by key and line, and left out.
    """

    path: Path


class Hooks:
    """The hook specifications.

    Kinds and readers are asked for once in each worker process, when it starts; evaluations in the
    process that evaluates; figures and pages in the one that writes a report; announcements in a
    worker process of their own.
    """

    @hookspec
    def tiecoat_kinds(self) -> Iterable[Kind]:
        """Return the kinds that this plugin adds. A name that exists already is refused."""
        raise NotImplementedError

    @hookspec
    def tiecoat_readers(self) -> Iterable[Reader | Profile]:
        """Return the readers that this plugin adds. A name that exists already is refused.

        A reader from a table profile is given as `Profile(path)`.
        """
        raise NotImplementedError

    @hookspec
    def tiecoat_evaluations(self) -> Iterable[Evaluation]:
        """Return the evaluations that this plugin adds. A name that exists already is refused.

        Asked only of entry points and files whose name begins with `evaluate_`.
        """
        raise NotImplementedError

    @hookspec
    def tiecoat_figures(self) -> Iterable[StudyFigure | StudyCourse]:
        """Return the figures that this plugin adds to reports. A name that exists is refused.

        What is read again and again of a panel or batch is a `StudyCourse`: it is drawn over time
        as ours is.

        Asked of the same entry points and files as evaluations are, and of those whose name begins
        with `report_`; what draws runs in the process that writes the report.
        """
        raise NotImplementedError

    @hookspec
    def tiecoat_pages(self) -> Iterable[StudyPage]:
        """Return the pages that this plugin adds to reports. A name that exists is refused.

        Asked where figures are; what tells a page runs in the process that writes the report.
        """
        raise NotImplementedError

    @hookspec
    def tiecoat_commands(self) -> Iterable[LabCommand]:
        """Return the commands that this plugin adds: `tiecoat NAME`. A name that exists is refused.

        Asked only of entry points and files whose name begins with `command_`, and only where none
        of tiecoat's own commands is asked for, or all are listed. Those of a lab's `readers/` are
        there where the lab is named or is the current folder. A command runs in the process of
        `tiecoat` itself.
        """
        raise NotImplementedError

    @hookspec
    def tiecoat_announce(self, event: Event) -> None:
        """Tell people of an event: write an e-mail, a line in a chat, a file.

        Called while `tiecoat serve` runs, for one event after the other, in a worker process that
        does nothing else: intake never waits for it. All plugins together have 30 s for an event;
        then the process is ended, and the next event gets a new one. Whatever is raised is told
        once on the screen and in the log, and the event is not announced again: the held folder
        and the health file remain the record. While 100 events wait, further ones are only
        counted, and their number is announced.

        Looked for when the service starts, in entry points and files whose name begins with
        `announce_`.
        """
        raise NotImplementedError
