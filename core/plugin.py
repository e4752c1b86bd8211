'''What the author of a plugin needs: three words, four hooks, and the types they speak of.

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
            return Claim(0.2, f"no {missing}") if missing else Claim(0.8, "pendulum and damping")

        def read(self, export):
            for table in export.tables(self.titles):
                yield Measurement(
                    columns={
                        "pendulum": table.texts("pendulum"),
                        "damping_s": table.numbers("damping", "s"),
                    },
                    rows=table.rows,
                    panel=table.entry(("Panel",)),
                )

    @hookimpl
    def tiecoat_kinds():
        return [PENDULUM]

    @hookimpl
    def tiecoat_readers():
        return [PendulumTable()]

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

Readers run in a worker process with a time and a memory limit; a reader keeps no state from one
file to the next.

The fourth hook tells people of what happens, by e-mail or into a chat; it is looked for where the
name of the entry point or file begins with `announce_`. See `Hooks.tiecoat_announce` and the
example in DEVELOPERS.md.
'''

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, Protocol, runtime_checkable

import pluggy

from tiecoat.dialect.export import Export, Layout
from tiecoat.dialect.table import Table
from tiecoat.errors import FileHeld
from tiecoat.evaluate.choices import Checked, Choices
from tiecoat.reasons import Fault, Reason

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "Checked",
    "Claim",
    "Evaluation",
    "Event",
    "Export",
    "Fault",
    "FileHeld",
    "Kind",
    "Layout",
    "Measurement",
    "Profile",
    "Reader",
    "Reason",
    "Table",
    "column",
    "hookimpl",
]

hookspec = pluggy.HookspecMarker("tiecoat")
hookimpl = pluggy.HookimplMarker("tiecoat")


@dataclass(frozen=True)
class Claim:
    """How sure a reader is that an export is its own, and why.

    Parameters
    ----------
    sure
        0 to 1. From 0.5 on the reader claims the file; the surest reader gets it, and two that
        are equally sure (within 0.05) hold it. Below 0.5 the claim is only a hint, shown to the
        user as one of the nearest readers.
    why
        What was found, or what is missing, in a few words.
    """

    sure: float
    why: str


@dataclass(frozen=True)
class Measurement:
    """What one determination or one sweep gave, as a reader returns it.

    Parameters
    ----------
    columns
        Column of the kind -> its values, all of one length, in the units of the kind. Numbers are
        float (NaN where there is none), texts are str or None, times are aware datetimes or None.
        A column that the export does not have may be left out if the kind lets it be empty.
    rows
        For each value the row of the original it came from, counted from 1.
    batch, panel
        The id as the export writes it, or None where it does not say.
    measured_at
        Aware time of the determination, or None.
    instrument
        What the export says of the instrument, or None.
    kind
        Only needed by a reader of several kinds; otherwise the reader's own kind.
    sheet
        Name of the sheet in a workbook.
    remarks
        What whoever uses the values must know of this measurement, each in a few words of your own
        without a semicolon. Every later result carries them.
    """

    columns: Mapping[str, Sequence[Any]]
    rows: Sequence[int]
    batch: str | None = None
    panel: str | None = None
    measured_at: datetime | None = None
    instrument: str | None = None
    kind: str | None = None
    sheet: str | None = None
    remarks: tuple[str, ...] = ()


@runtime_checkable
class Reader(Protocol):
    """Recognises exports of one sort and reads them.

    `name` is unique among all readers, `kind` the name of a kind, `version` changes whenever the
    reader would give other rows: all three stand beside the rows in the archive.

    A reader that a lab may set something for has `choices`, a class derived from `Checked`. The lab
    writes [read.NAME] into its settings, and `export.choices` is the instance with what it set.

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
class Kind:
    """A kind of measurement: its columns with units and bounds, and what tells two apart.

    Parameters
    ----------
    name
        Lower case with underscores; the folder of its tables.
    model
        pandera DataFrameModel. Each column is declared by `column(...)` and annotated `float`,
        `str` or `Annotated[pd.DatetimeTZDtype, "us", "UTC"]`; its docstring is the meaning of the
        kind. A column that an export may leave empty, because it is not needed or because
        `derive` completes it, is `nullable=True`.
    per
        What it belongs to: `panel` (needs panel and batch) or `batch` (wet paint: panel is null).
    identity
        Columns that, with batch, panel and time, tell one determination from another. The same
        determination with other values is a conflict. Each has one value in a measurement.
    unique
        Columns in whose values no two rows of one measurement may agree. Rows that lack one of
        these numbers are not compared.
    order
        Columns by which the rows of one measurement are sorted (ascending).
    derive
        Completes a frame before it is validated, row by row, such as the strength from the force:
        gets and returns a frame of the kind's columns with as many rows, which may come from
        several measurements; reports contradictions by raising `FileHeld` with all faults, whose
        `row` is the position in the frame counted from 0.
    replaces
        True for registers: a later row for the same identity replaces the earlier, which stays on
        record as superseded. False: it is a conflict.
    version
        Rises whenever columns, units or meaning change.
    """

    name: str
    model: type[Any]
    per: Literal["batch", "panel"]
    identity: tuple[str, ...] = ()
    unique: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    derive: Callable[[pd.DataFrame], pd.DataFrame] | None = field(default=None, repr=False)
    replaces: bool = False
    version: int = 1


def column(unit: str, meaning: str, **rules: Any) -> Any:
    """Declare a column of a kind's model.

    Parameters
    ----------
    unit
        Unit of the archived values as pint writes it ("ohm", "g/cm**3", "" for a plain number,
        text or time). It goes into the Parquet field metadata.
    meaning
        What the value is, for the chemist; into the metadata too.
    **rules
        Bounds and other rules of `pandera.Field`: gt, ge, lt, le, isin, nullable, ...
    """
    import pandera.pandas as pa

    return pa.Field(metadata={"unit": unit, "meaning": meaning}, description=meaning, **rules)


@dataclass(frozen=True)
class Profile:
    """A table profile that a plugin brings: a reader is made from it once all kinds are known.

    Parameters
    ----------
    path
        The TOML file. A profile that breaks a rule is reported by key and line, and left out.
    """

    path: Path


@dataclass(frozen=True)
class Evaluation:
    """From the measurements of a kind to engineering results.

    Parameters
    ----------
    name
        Unique among the evaluations of all plugins.
    kind
        The kind whose results these are.
    compute
        A pure function: gets a frame for each kind it needs (rows as `archive.read` gives them,
        valid ones only; an empty frame where the archive has none) and what the laboratory has
        set, and returns a result table as `tiecoat.evaluate.result.results` makes it. It touches
        no file, no archive and no clock.
    needs
        Further kinds that `compute` needs, such as the register.
    slow
        True for what takes long: computed only when asked for by its name, or by a quantity that
        the others do not give.
    version
        Rises whenever the results would come out otherwise.
    choices
        What a lab may set for it in [evaluate.NAME]: a class derived from `Checked`, of which
        `compute` gets an instance. Without it `compute` gets the choices of the built-in kinds.
    pooled
        Quantities whose results name a measurement and are made of further ones of its panel or
        batch as well: these get the remarks on all of them. None: not known, so every result does.
    """

    name: str
    kind: str
    compute: Callable[[Mapping[str, pd.DataFrame], Any], pd.DataFrame]
    needs: tuple[str, ...] = ()
    slow: bool = False
    version: str = "1"
    choices: type[Any] = Choices
    pooled: tuple[str, ...] | None = None


@dataclass(frozen=True)
class Event:
    """Something that a person may want to hear of while the service runs.

    Parameters
    ----------
    what
        `held`: a file is held. `said`: something about the service itself, such as an inbox out of
        reach, and that it is in reach again.
    line
        It in one line of plain words, as the screen and the log show it.
    lab
        The lab folder.
    at
        When, with time zone.
    folder
        Where the held file lies beside its reason.txt and reason.json, or None.
    """

    what: Literal["held", "said"]
    line: str
    lab: Path
    at: datetime
    folder: Path | None = None


class Hooks:
    """The hook specifications.

    Kinds and readers are asked for once in each worker process, when it starts; evaluations in the
    process that evaluates; announcements in a worker process of their own.
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
