"""What a worker does with files: who reads them, what is refused, what comes back."""

import errno
import hashlib
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import pandas as pd
import pandera.pandas as pa
import pyarrow
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.contract.columns import schema_of
from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.extend.loading import Plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers import reading
from tiecoat.intake.workers.answers import Chunk, Hold, Reading
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.plugin import Claim, FileHeld, Kind, Measurement, column
from tiecoat.reasons import FAULTS_KEPT, Fault, Reason
from tiecoat.schemas import density, impedance, panels, pull_off, viscosity

NAN = float("nan")


class Gloss(pa.DataFrameModel):  # type: ignore[misc] # pandera is skipped by mypy
    """A kind of the tests' own."""

    angle_deg: float = column("deg", "angle", isin=[20, 60, 85])
    gloss_gu: float = column("", "gloss", ge=0, le=2000)
    comment: str = column("", "comment", nullable=True)
    seen_at: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column("", "time", nullable=True)


GLOSS = Kind("gloss", Gloss, per="panel", identity=("angle_deg",))
KINDS = {
    kind.name: kind
    for kind in (GLOSS, density.KIND, impedance.KIND, panels.KIND, pull_off.KIND, viscosity.KIND)
}


class Fake:
    """A reader that claims what begins with its name and returns what it is told to."""

    def __init__(
        self,
        read: Callable[[Export], Iterable[Any]] = lambda export: [],
        recognise: Callable[[Export], Any] | None = None,
        name: str = "fake",
        kind: str = "gloss",
    ) -> None:
        self.name, self.kind, self.version = name, kind, "3"
        self.read = read
        self.recognise = recognise or self.by_first_word

    def by_first_word(self, export: Export) -> Claim:
        """Claim a file that begins with the name of this reader."""
        mine = export.path.read_text(errors="replace").startswith(self.name)
        return Claim(0.9 if mine else 0.1, "the first word")


def gloss(angle: float = 60.0, values: Iterable[float] = (80.0, 81.0), **more: Any) -> Measurement:
    """A measurement of the tests' own kind, from row 5 on."""
    values = list(values)
    given = {
        "columns": {"angle_deg": [angle] * len(values), "gloss_gu": values},
        "rows": list(range(5, 5 + len(values))),
        **more,
    }
    return Measurement(**given)


def plugins_of(*readers: Any, kinds: dict[str, Kind] | None = None) -> Plugins:
    """Plugins as loading would give them."""
    return Plugins(kinds or KINDS, {reader.name: reader for reader in readers}, {}, ())


ROWS = 2000


class Desk:
    """Writes files and has them read."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def task(self, text: str | bytes = "fake", name: str = "a.csv") -> ExportFile:
        """Return the task for a file of this content, with lines enough for fake rows."""
        content = text if isinstance(text, bytes) else text.encode()
        if content.startswith(b"fake"):
            content += b"\n" * ROWS
        path = self.folder / name
        path.write_bytes(content)
        return ExportFile(path, name, "bench", hashlib.sha256(content).hexdigest())

    def read(self, *readers: Any, text: str | bytes = "fake", **more: Any) -> Reading:
        """Have one file read by these readers."""
        return read_chunk([self.task(text)], plugins_of(*readers, **more), Habits()).readings[0]

    def returned(self, *measurements: Any, kind: str = "gloss", **more: Any) -> Reading:
        """Have one file read by a reader that returns these measurements."""
        return self.read(Fake(lambda export: list(measurements), kind=kind), **more)

    def chunk(self, *of_file: list[Measurement], kind: str = "gloss") -> Chunk:
        """Have several files read together; for each the measurements that its reader returns."""
        tasks = [self.task(f"fake {n}", f"{n}.csv") for n in range(len(of_file))]
        reader = Fake(lambda export: of_file[int(export.name.removesuffix(".csv"))], kind=kind)
        return read_chunk(tasks, plugins_of(reader), Habits())


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A place to write files and have them read."""
    return Desk(tmp_path)


def rows_of(chunk: Chunk, kind: str = "gloss") -> list[dict[str, Any]]:
    """The rows of one kind that came back."""
    if kind not in chunk.tables:
        return []
    rows: list[dict[str, Any]] = pyarrow.ipc.open_stream(chunk.tables[kind]).read_all().to_pylist()
    return rows


def held(reading: Reading) -> Hold:
    """The hold of a reading that must be held, without any measurement."""
    assert reading.hold is not None
    assert reading.keys == ()
    return reading.hold


def faults(reading: Reading) -> list[Fault]:
    """The faults of a reading that must be held."""
    return [Fault.from_record(record) for record in held(reading).faults]


# Who reads a file


def test_the_surest_reader_reads(desk: Desk) -> None:
    """Of two claims the surer one wins, and all claims are told, surest first."""
    sure = Fake(lambda export: [gloss()], lambda export: Claim(0.9, "all titles"), "sure")
    less = Fake(lambda export: [gloss(20)], lambda export: Claim(0.8, "some titles"), "less")
    reading = desk.read(less, sure)
    assert reading.reader == "sure 3"
    assert reading.claims == (("sure", 0.9, "all titles"), ("less", 0.8, "some titles"))
    assert reading.hold is None
    assert reading.first_lines == ()


def test_two_that_are_equally_sure_hold_the_file(desk: Desk) -> None:
    """Nothing is read when two readers are as sure within 0.05."""
    one = Fake(recognise=lambda export: Claim(0.90, ""), name="one")
    two = Fake(recognise=lambda export: Claim(0.85, ""), name="two")
    hold = held(desk.read(one, two))
    assert hold.reason == Reason.SEVERAL_READERS.code
    assert hold.detail == "one (0.9), two (0.85)"


def test_a_file_that_nobody_knows_is_held_with_the_nearest_readers(desk: Desk) -> None:
    """Claims below 0.5 are hints; the first lines are shown with them."""
    near = Fake(recognise=lambda export: Claim(0.4, "no gloss column"), name="near")
    far = Fake(recognise=lambda export: None, name="far")
    reading = desk.read(far, near, text="Angle\n60\n")
    assert held(reading).reason == Reason.NO_READER.code
    assert reading.claims == (("near", 0.4, "no gloss column"), ("far", 0.0, "no"))
    assert reading.first_lines[:2] == ("Angle", "60")


def raising(error: BaseException) -> Callable[[Export], Any]:
    """A function that raises."""

    def fail(export: Export) -> Any:
        raise error

    return fail


@pytest.mark.parametrize(
    "error", [ValueError("no idea"), SystemExit("no idea"), RecursionError("no idea")]
)
def test_a_reader_that_fails_to_recognise_says_no(desk: Desk, error: BaseException) -> None:
    """What recognise raises is shown and counts as no; another reader still reads."""
    reading = desk.read(Fake(recognise=raising(error), name="bad"), Fake(lambda e: [gloss()]))
    assert reading.reader == "fake 3"
    name, sure, why = reading.claims[1]
    assert (name, sure) == ("bad", 0.0)
    assert why.startswith(f"{type(error).__name__}: no idea (test_reading.py, line ")


@pytest.mark.parametrize("claim", [0.9, Claim(NAN, ""), Claim(1.5, ""), Claim("1", "")])  # type: ignore[arg-type]
def test_a_claim_that_is_none_says_no(desk: Desk, claim: Any) -> None:
    """A claim that is not between 0 and 1 does not win a file."""
    reading = desk.read(Fake(recognise=lambda export: claim))
    assert held(reading).reason == Reason.NO_READER.code
    assert "recognise" in reading.claims[0][2]


def test_an_empty_file_is_called_empty(desk: Desk) -> None:
    """No reader is asked about a file without content."""
    assert held(desk.read(Fake(), text=b"")).reason == Reason.EMPTY_FILE.code


def test_a_file_that_is_neither_text_nor_workbook_is_called_that(desk: Desk) -> None:
    """What ails the file itself is told rather than that no reader knows it."""
    reading = desk.read(Fake(), text=bytes(range(256)) * 8)
    assert held(reading).reason == Reason.NOT_TEXT.code


# What a reader may do


@pytest.mark.parametrize(
    "error", [KeyError("Batch"), SystemExit("Batch"), RecursionError("Batch"), GeneratorExit()]
)
def test_a_reader_that_breaks_down_costs_its_file(desk: Desk, error: BaseException) -> None:
    """Whatever it raises, the file is held with the place in the reader's code."""
    hold = held(desk.read(Fake(raising(error))))
    assert hold.reason == Reason.READER_FAILED.code
    assert hold.detail is not None
    assert hold.detail.startswith(f"fake 3: {type(error).__name__}")
    assert "(test_reading.py, line " in hold.detail


def test_endless_recursion_costs_its_file(desk: Desk) -> None:
    """A reader that calls itself without end is stopped by Python and held."""

    def read(export: Export) -> Any:
        return read(export)

    hold = held(desk.read(Fake(read)))
    assert hold.reason == Reason.READER_FAILED.code
    assert "RecursionError" in (hold.detail or "")


@pytest.mark.parametrize("step", ["read", "recognise"])
def test_a_reader_out_of_memory_is_told_so(desk: Desk, step: str) -> None:
    """A MemoryError is no breakdown: the limit of the lab may be too low."""
    error = MemoryError()
    hold = held(
        desk.read(Fake(raising(error)) if step == "read" else Fake(recognise=raising(error)))
    )
    assert hold.reason == Reason.READER_OUT_OF_MEMORY.code


def test_faults_noted_while_reading_hold_the_file(desk: Desk) -> None:
    """All faults are kept, and the first gives the reason, although measurements came too."""

    def read(export: Export) -> Iterable[Measurement]:
        export.fault(Reason.NOT_A_NUMBER, row=7, column="Gloss", found="'x'", expected="a number")
        yield gloss()
        export.fault(Reason.NOT_A_TIME, row=9)

    reading = desk.read(Fake(read))
    assert held(reading).reason == Reason.NOT_A_NUMBER.code
    assert [fault.row for fault in faults(reading)] == [7, 9]


def test_a_held_file_keeps_its_reason_and_what_was_noted_before(desk: Desk) -> None:
    """`export.hold` ends reading; faults noted before it are told with it."""

    def read(export: Export) -> Iterable[Measurement]:
        export.fault(Reason.NOT_A_NUMBER, row=7)
        export.hold(Reason.CUT_OFF, row=12)

    reading = desk.read(Fake(read))
    assert held(reading).reason == Reason.CUT_OFF.code
    assert [fault.reason for fault in faults(reading)] == [Reason.NOT_A_NUMBER, Reason.CUT_OFF]
    assert held(reading).total == 2


def test_a_reader_that_finds_nothing_holds_the_file(desk: Desk) -> None:
    """A file without any measurement is not filed as if all were well."""
    assert held(desk.returned()).reason == Reason.EMPTY_TABLE.code


@pytest.mark.parametrize("values", [[], [NAN, NAN]])
def test_a_measurement_without_values_holds_the_file(desk: Desk, values: list[float]) -> None:
    """No rows, or rows without any value, are an empty table."""
    nothing = gloss(NAN, values)
    reading = desk.returned(gloss(), nothing)
    assert [fault.reason for fault in faults(reading)] == [Reason.EMPTY_TABLE]


def test_what_a_reader_prints_goes_nowhere(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """The worker's own streams stay clean, and are there again afterwards."""

    def read(export: Export) -> Iterable[Measurement]:
        print("reading")
        print("reading", file=sys.stderr)
        yield gloss()

    before = sys.stdout
    assert desk.read(Fake(read)).hold is None
    assert sys.stdout is before
    assert capsys.readouterr() == ("", "")


# The gate

GOOD: dict[str, Any] = {"angle_deg": [60.0, 60.0], "gloss_gu": [80.0, 81.0]}
UTC_NOON = datetime(2026, 9, 14, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("returned", "said"),
    [
        ({"gloss": 80}, "expected a Measurement"),
        (gloss(kind="haze"), "kind 'haze' is not known"),
        (gloss(columns={**GOOD, "haze": [1.0, 2.0]}), "has no column 'haze'"),
        (gloss(columns={"angle_deg": [60.0, 60.0]}), "needs column 'gloss_gu'"),
        (gloss(columns={**GOOD, "gloss_gu": [80.0]}), "1 values for 2 rows"),
        (gloss(columns={**GOOD, "gloss_gu": ["80.0", "81.0"]}), "'80.0' (str); expected a number"),
        (gloss(columns={**GOOD, "gloss_gu": "80"}), "expected a list of values"),
        (gloss(columns={**GOOD, "gloss_gu": [True, 81.0]}), "True (bool); expected a number"),
        (gloss(columns={**GOOD, "gloss_gu": [1j, 81.0]}), "(complex); expected a number"),
        (gloss(columns={**GOOD, "gloss_gu": [10**400, 81.0]}), "a number that is no float"),
        (gloss(columns={**GOOD, "gloss_gu": np.array(["80", "81"])}), "expected numbers"),
        (gloss(columns={**GOOD, "gloss_gu": np.array([[80.0], [81.0]])}), "expected numbers"),
        (gloss(columns={**GOOD, "comment": [1.0, None]}), "1.0 (float); expected a text"),
        (gloss(columns={**GOOD, "comment": [NAN, None]}), "nan (float); expected a text"),
        (gloss(columns={**GOOD, "comment": ["\ud800", None]}), "half a character"),
        (gloss(columns={**GOOD, "seen_at": ["2026-09-14", None]}), "expected an aware datetime"),
        (
            gloss(columns={**GOOD, "seen_at": [datetime(2026, 9, 14), None]}),  # noqa: DTZ001
            "without a time zone",
        ),
        (gloss(columns=[GOOD]), "expected column names"),
        (gloss(rows=[0, 1]), "whole numbers from 1"),
        (gloss(rows=[1.0, 2.0]), "whole numbers from 1"),
        (gloss(rows=[True, 2]), "whole numbers from 1"),
        (gloss(rows="56"), "a list of row numbers"),
        (gloss(batch=14), "batch is 14 (int)"),
        (gloss(measured_at="2026-09-14"), "measured_at"),
        (gloss(measured_at=datetime(2026, 9, 14)), "without a time zone"),  # noqa: DTZ001
    ],
)
def test_a_reader_that_breaks_the_rules_is_told_which(desk: Desk, returned: Any, said: str) -> None:
    """Names, lengths and types are checked, and nothing is converted to make it fit."""
    hold = held(desk.returned(returned))
    assert hold.reason == Reason.READER_BROKE_RULES.code
    assert hold.detail is not None
    assert hold.detail.startswith("fake 3: ")
    assert said in hold.detail


def test_whole_numbers_arrays_and_none_are_numbers(desk: Desk) -> None:
    """An int is taken as a float and None as no number, in a list or an array."""
    columns = {"angle_deg": np.array([60, 60]), "gloss_gu": [80, np.float32(81)]}
    (one, two) = rows_of(desk.chunk([gloss(columns=columns, rows=np.array([5, 6]))]))
    assert (one["gloss_gu"], two["gloss_gu"], two["source_row"]) == (80.0, 81.0, 6)
    reading = desk.returned(gloss(columns={**GOOD, "gloss_gu": [80.0, None]}))
    assert [fault.reason for fault in faults(reading)] == [Reason.MISSING_VALUE]


def test_times_are_kept_in_utc(desk: Desk) -> None:
    """Whatever its offset, a time is kept as the same moment in UTC; NaT is no time."""
    eastern = UTC_NOON.astimezone(timezone(timedelta(hours=2)))
    seen = {**GOOD, "seen_at": [eastern, pd.NaT], "comment": ["", "dull"]}
    one, two = rows_of(desk.chunk([gloss(columns=seen, measured_at=eastern)]))
    assert one["seen_at"] == one["measured_at"] == UTC_NOON
    assert two["seen_at"] is None
    assert (one["comment"], two["comment"]) == (None, "dull")


def test_a_measurement_has_one_identity(desk: Desk) -> None:
    """A reader that puts two determinations into one measurement has not told them apart."""
    mixed = gloss(columns={"angle_deg": [60.0, 85.0], "gloss_gu": [80.0, 90.0]})
    hold = held(desk.returned(mixed))
    assert hold.reason == Reason.READER_BROKE_RULES.code
    assert "'angle_deg' changes within one measurement at row 6: 60, then 85" in (hold.detail or "")


CELLS = st.one_of(
    st.floats(), st.integers(), st.booleans(), st.none(), st.text(max_size=5), st.datetimes()
)
NUMBERS = st.one_of(st.floats(), st.integers(0, 3000), st.none())
LISTS = st.one_of(st.lists(NUMBERS, max_size=4), st.lists(CELLS, max_size=4), CELLS)


@settings(deadline=None)  # the first example starts pandera
@given(
    angle=st.sampled_from([20.0, 60, 45.0, None]),
    values=LISTS,
    comment=st.one_of(st.none(), LISTS),
    rows=st.one_of(st.lists(st.integers(-1, 2**40), max_size=4), CELLS),
)
def test_whatever_a_reader_returns_is_filed_or_held(
    tmp_path_factory: pytest.TempPathFactory, angle: Any, values: Any, comment: Any, rows: Any
) -> None:
    """Nothing a reader returns ends the worker, and what is filed is finite and complete."""
    n = len(values) if isinstance(values, list) else 1
    columns = {"angle_deg": [angle] * n, "gloss_gu": values}
    if comment is not None:
        columns["comment"] = comment
    desk = Desk(tmp_path_factory.mktemp("desk", numbered=True))
    chunk = desk.chunk([Measurement(columns, rows=rows)], [gloss()])
    assert chunk.readings[1].hold is None
    filed = [row for row in rows_of(chunk) if row["source_name"] == "0.csv"]
    assert len(filed) == (0 if chunk.readings[0].hold else n)
    assert all(row["angle_deg"] in (20, 60) for row in filed)
    assert all(0 <= row["gloss_gu"] <= 2000 for row in filed)


# Validation


def test_values_outside_are_told_with_row_unit_and_bounds(desk: Desk) -> None:
    """The chemist reads which row and column, what was found and what is plausible."""
    columns: dict[str, list[Any]] = {
        "temperature_c": [NAN],
        "density_g_cm3": [13.9],
        "state": ["frozen"],
        "elapsed_s": [0.0],
    }
    reading = desk.returned(Measurement(columns, rows=[8], sheet="Bench"), kind="density")
    place = "sheet 'Bench', row 8, column "
    assert [fault.sentence.removeprefix(place) for fault in faults(reading)] == [
        "'density_g_cm3': found 13.9 g/cm3; expected between 0.5 and 4 g/cm3",
        "'state': found 'frozen'; expected one of: as mixed, deaerated, rested, water, not stated",
    ]
    assert held(reading).reason == Reason.OUT_OF_BOUNDS.code


class Haze(pa.DataFrameModel):  # type: ignore[misc]
    """A kind that would let infinity pass."""

    haze: float = column("", "haze", nullable=True)


@pytest.mark.parametrize("value", [float("inf"), -float("inf")])
def test_infinity_is_never_filed(desk: Desk, value: float) -> None:
    """An infinite value is outside even where no bound is, and told once where there is one."""
    kinds = {**KINDS, "haze": Kind("haze", Haze, per="panel")}
    haze = Measurement({"haze": [1.0, value]}, rows=[5, 6], kind="haze")
    for returned in (haze, gloss(values=[80.0, value])):
        (fault,) = faults(desk.returned(returned, kinds=kinds))
        assert (fault.reason, fault.row, fault.found) == (Reason.OUT_OF_BOUNDS, 6, str(value))


def sweep(frequencies: list[float], exposure: float = 24.0, **more: Any) -> Measurement:
    """A spectrum, from row 11 on."""
    n = len(frequencies)
    columns = {
        "exposure_h": [exposure] * n,
        "area_cm2": [14.6] * n,
        "frequency_hz": frequencies,
        "z_real_ohm": [1000.0 + i for i in range(n)],
        "z_imag_ohm": [-500.0] * n,
    }
    return Measurement(columns, rows=range(11, 11 + n), **more)


def test_a_repeated_row_names_both(desk: Desk) -> None:
    """The same frequency twice in one spectrum is held, with both rows."""
    reading = desk.returned(sweep([100.0, 10.0, 1.0, 10.0]), kind="impedance")
    (fault,) = faults(reading)
    assert fault.reason == Reason.REPEATED_ROW
    assert fault.row == 14
    assert "frequency_hz 10 as in row 12" in fault.sentence


def test_the_same_frequency_in_two_spectra_is_none(desk: Desk) -> None:
    """Uniqueness holds within a measurement only."""
    chunk = desk.chunk([sweep([1.0, 10.0]), sweep([1.0, 10.0], 48.0)], kind="impedance")
    assert len(rows_of(chunk, "impedance")) == 4


def test_rows_are_compared_where_they_can_be(desk: Desk) -> None:
    """Two points of a flow curve without a time are not taken for the same."""
    columns: dict[str, list[Any]] = {
        "method": ["rotational"] * 2,
        "shear_rate_per_s": [10.0] * 2,
        "viscosity_pa_s": [2.0, 2.1],
        "temperature_c": [23.0] * 2,
    }
    one = Measurement(columns, rows=[5, 6])
    timed = Measurement({**columns, "elapsed_s": [3.0, 3.0]}, rows=[5, 6])
    assert desk.returned(one, kind="viscosity").hold is None
    assert held(desk.returned(timed, kind="viscosity")).reason == Reason.REPEATED_ROW.code


def pull(number: float, force: float, failure: str, row: int, **more: Any) -> Measurement:
    """One pull."""
    columns: dict[str, list[Any]] = {
        "determination": [number],
        "dolly_diameter_mm": [20.0],
        "force_n": [force],
        "failure": [failure],
        **more,
    }
    return Measurement(columns, rows=[row])


def test_a_file_with_faults_is_held_and_the_others_are_complete(desk: Desk) -> None:
    """One bad measurement holds its file as a whole; its neighbours in the chunk lose nothing."""
    chunk = desk.chunk(
        [pull(1, 1000.0, "40%B/C; 60%B", 5), pull(2, 1100.0, "B", 6)],
        [pull(1, 1200.0, "B", 5), pull(2, 1300.0, "70B 20Y", 6), pull(3, 9e6, "B", 7)],
        [pull(1, 1400.0, "B", 5)],
        kind="pull_off",
    )
    first, bad, last = chunk.readings
    assert first.hold is last.hold is None
    told = [(fault.reason, fault.row, fault.column) for fault in faults(bad)]
    assert told == [
        (Reason.BAD_NOTATION, 6, "failure"),
        (Reason.OUT_OF_BOUNDS, 7, "force_n"),
        (Reason.OUT_OF_BOUNDS, 7, "strength_mpa"),
    ]
    rows = rows_of(chunk, "pull_off")
    assert [(row["source_name"], row["force_n"]) for row in rows] == [
        ("0.csv", 1000.0),
        ("0.csv", 1100.0),
        ("2.csv", 1400.0),
    ]
    assert rows[0]["failure"] == "60 % B, 40 % B/C"
    assert rows[2]["strength_mpa"] == pytest.approx(4.4563, abs=1e-4)


def test_a_fault_in_one_kind_holds_back_the_rows_of_the_other(desk: Desk) -> None:
    """A file of two kinds is filed as a whole or not at all."""
    wet: dict[str, list[Any]] = {
        "temperature_c": [23.0],
        "density_g_cm3": [9.9],
        "state": ["water"],
        "elapsed_s": [0.0],
    }
    chunk = desk.chunk([gloss(), Measurement(wet, rows=[3], kind="density")])
    assert held(chunk.readings[0]).reason == Reason.OUT_OF_BOUNDS.code
    assert chunk.tables == {}


def test_very_many_faults_are_counted_and_the_first_kept(desk: Desk) -> None:
    """A column in the wrong unit does not make a report of a hundred thousand lines."""
    hold = held(desk.returned(gloss(values=[-1.0] * (FAULTS_KEPT + 500))))
    assert (hold.total, len(hold.faults)) == (FAULTS_KEPT + 500, FAULTS_KEPT)


def test_pandera_cannot_be_switched_off_from_outside(tmp_path: Path) -> None:
    """An environment variable that disables pandera does not let bad values in."""
    script = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from pathlib import Path; import test_reading as t\n"
        "print(t.Desk(Path(sys.argv[2])).returned(t.gloss(values=[-1.0])).hold.reason)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(Path(__file__).parent), str(tmp_path)],
        env={**os.environ, "PANDERA_VALIDATION_ENABLED": "False"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout == "out-of-bounds\n", done.stderr


# Kinds by strangers


def kinds_with(derive: Callable[[pd.DataFrame], Any]) -> dict[str, Kind]:
    """The tests' own kind, with this derive."""
    return {"gloss": Kind("gloss", Gloss, per="panel", derive=derive)}


def fails_on_90(frame: pd.DataFrame) -> pd.DataFrame:
    """A derive with a fault of its own."""
    if (frame["gloss_gu"] == 90).any():
        raise ZeroDivisionError("gloss")
    return frame


def loses_rows_with_90(frame: pd.DataFrame) -> pd.DataFrame:
    """A derive that breaks its contract."""
    return frame[frame["gloss_gu"] != 90]


def says_nothing_of_where(frame: pd.DataFrame) -> pd.DataFrame:
    """A derive that refuses without naming a row."""
    if (frame["gloss_gu"] == 90).any():
        raise FileHeld(Reason.INCONSISTENT)
    return frame


@pytest.mark.parametrize(
    ("derive", "reason"),
    [
        (fails_on_90, Reason.READER_FAILED),
        (loses_rows_with_90, Reason.READER_FAILED),
        (says_nothing_of_where, Reason.INCONSISTENT),
    ],
)
def test_a_kind_that_breaks_down_costs_the_file_that_broke_it(
    desk: Desk, derive: Callable[[pd.DataFrame], Any], reason: Reason
) -> None:
    """The culprit is found among the files of a chunk; the others are read."""
    reader = Fake(lambda export: [gloss(values=[float(export.path.read_text().split()[1])])])
    tasks = [desk.task(f"fake {value}", f"{value}.csv") for value in (80, 90, 85)]
    chunk = read_chunk(tasks, plugins_of(reader, kinds=kinds_with(derive)), Habits())
    assert held(chunk.readings[1]).reason == reason.code
    assert [row["gloss_gu"] for row in rows_of(chunk)] == [80.0, 85.0]


def test_a_kind_that_tells_one_fault_at_a_time_comes_to_an_end(desk: Desk) -> None:
    """Faults that derive tells only after others are mended do not cost a run for each."""
    runs = []

    def first_only(frame: pd.DataFrame) -> pd.DataFrame:
        runs.append(len(frame))
        bad = np.flatnonzero(frame["gloss_gu"] == 90).tolist()
        if bad:
            raise FileHeld(Reason.INCONSISTENT, (Fault(Reason.INCONSISTENT, bad[0], "gloss_gu"),))
        return frame

    reading = desk.returned(gloss(values=[90.0] * 50), kinds=kinds_with(first_only))
    assert len(faults(reading)) == 2
    assert len(runs) <= 3


def test_a_check_that_raises_costs_the_file_that_made_it(desk: Desk) -> None:
    """A check of a stranger's kind that breaks down is reported, not passed over."""

    def fragile(values: pd.Series) -> Any:
        if (values == 90).any():
            raise ZeroDivisionError("gloss")
        return values > 0

    class Fragile(pa.DataFrameModel):  # type: ignore[misc]
        """Has a check that breaks down."""

        gloss_gu: float = column("", "gloss")

        @pa.check("gloss_gu", name="fragile")  # type: ignore[untyped-decorator]
        def _check(cls, values: Any) -> Any:  # noqa: N805
            return fragile(values)

    kinds = {"gloss": Kind("gloss", Fragile, per="panel")}
    reader = Fake(
        lambda export: [
            Measurement({"gloss_gu": [float(export.path.read_text().split()[1])]}, rows=[1])
        ]
    )
    tasks = [desk.task(f"fake {value}", f"{value}.csv") for value in (80, 90, -1)]
    chunk = read_chunk(tasks, plugins_of(reader, kinds=kinds), Habits())
    assert held(chunk.readings[1]).reason == Reason.READER_FAILED.code
    (fault,) = faults(chunk.readings[2])
    assert (fault.found, fault.expected) == ("-1", "fragile")
    assert [row["gloss_gu"] for row in rows_of(chunk)] == [80.0]


# What comes back


def test_rows_come_back_under_the_schema_of_the_kind(desk: Desk) -> None:
    """Every column of the schema is there; ids and marks are left to those who set them."""
    chunk = desk.chunk(
        [sweep([10.0, 1.0], panel="RB-014-3", sheet="S1", instrument="bath 2")], kind="impedance"
    )
    table = pyarrow.ipc.open_stream(chunk.tables["impedance"]).read_all()
    assert table.schema.equals(schema_of(impedance.KIND), check_metadata=True)
    row = table.to_pylist()[0]
    sha256 = chunk.readings[0].sha256
    assert row == {
        "measurement": f"{sha256[:16]}-0001",
        "batch": None,
        "panel": None,
        "measured_at": None,
        "exposure_h": 24.0,
        "spot": None,
        "area_cm2": 14.6,
        "thickness_um": None,
        "frequency_hz": 1.0,
        "z_real_ohm": 1001.0,
        "z_imag_ohm": -500.0,
        "temperature_c": None,
        "instrument": "bath 2",
        "source_sha256": sha256,
        "source_name": "0.csv",
        "source_row": 12,
        "source_sheet": "S1",
        "reader": "fake 3",
        "remark": None,
        "withdrawn": None,
        "withdrawn_at": None,
        "withdrawn_by": None,
        "withdrawn_why": None,
        "superseded_by": None,
    }


def test_keys_tell_what_each_measurement_belongs_to(desk: Desk) -> None:
    """One entry a measurement, numbered by its place in the file, ids as written."""
    reading = desk.returned(
        gloss(panel=" rb-014-3 ", batch=""), gloss(85.0, panel="RB-014-4", sheet="two")
    )
    assert [key.measurement for key in reading.keys] == [
        f"{reading.sha256[:16]}-0001",
        f"{reading.sha256[:16]}-0002",
    ]
    assert [(key.batch, key.panel, key.row, key.sheet) for key in reading.keys] == [
        (None, "rb-014-3", 5, None),
        (None, "RB-014-4", 5, "two"),
    ]
    assert {(key.kind, key.per, key.replaces) for key in reading.keys} == {
        ("gloss", "panel", False)
    }


def test_a_register_of_one_row_each_comes_back(desk: Desk) -> None:
    """Texts and times of a register survive, with what the register leaves empty."""
    columns: dict[str, list[Any]] = {
        "substrate": ["steel"],
        "coat_system": ["primer"],
        "coated_on": [UTC_NOON],
    }
    (row,) = rows_of(desk.chunk([Measurement(columns, rows=[2])], kind="panels"), "panels")
    assert (row["substrate"], row["coated_on"]) == ("steel", UTC_NOON)
    assert row["thickness_um"] is row["immersed_at"] is row["note"] is None


def test_an_empty_chunk_is_empty() -> None:
    """No task, no reading, no table."""
    assert read_chunk([], plugins_of(Fake()), Habits()) == Chunk((), {})


def test_reading_leaves_no_thread_behind(desk: Desk) -> None:
    """Nothing goes on in the worker once the chunk is read."""
    before = threading.active_count()
    desk.chunk([gloss()], [gloss(values=[-1.0])])
    assert threading.active_count() == before


@pytest.mark.parametrize("where", ["recognise", "read"])
@pytest.mark.parametrize("number", [errno.EIO, errno.EACCES, errno.ESTALE])
def test_what_the_disk_refuses_for_a_moment_is_read_again(
    desk: Desk, where: str, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk in trouble is no fault of the reader: the file is read as soon as the disk lets it."""
    monkeypatch.setattr(reading, "PAUSES_S", (0.0, 0.0, 0.0))
    refusals = [desk.folder / "a.csv"] * 3

    def refuse(export: Export) -> None:
        if refusals:
            raise OSError(number, os.strerror(number), str(refusals.pop()))

    def recognise(export: Export) -> Claim:
        if where == "recognise":
            refuse(export)
        return Claim(0.9, "mine")

    def read(export: Export) -> list[Measurement]:
        if where == "read":
            refuse(export)
        return [gloss()]

    found = desk.read(Fake(read, recognise=recognise))
    assert (found.hold, len(found.keys), refusals) == (None, 1, [])


def test_what_the_disk_goes_on_refusing_holds_no_file(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told as not read, beside the others that are: it comes again, and is not held."""
    monkeypatch.setattr(reading, "PAUSES_S", (0.0, 0.0))
    given = [desk.task("fake 1", "1.csv"), desk.task("fake 2", "2.csv")]

    def read(export: Export) -> list[Measurement]:
        if export.name == "1.csv":
            (desk.folder / "1.csv").unlink(missing_ok=True)
            raise OSError(errno.ESTALE, "Stale file handle", str(desk.folder / "1.csv"))
        return [gloss()]

    chunk = read_chunk(given, plugins_of(Fake(read)), Habits())
    assert [(one.sha256, one.hold) for one in chunk.readings] == [(given[1].sha256, None)]
    assert {row["source_sha256"] for row in rows_of(chunk)} == {given[1].sha256}
    assert chunk.changed.keys() == {given[0].sha256}
    assert "1.csv cannot be read: No such file" in chunk.changed[given[0].sha256]


def test_what_the_disk_lets_nobody_look_at_holds_no_file_though_it_can_be_read(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A system that refuses the size of an original and grants its bytes is in trouble as well."""
    monkeypatch.setattr(reading, "PAUSES_S", (0.0, 0.0))
    task = desk.task("fake 1", "1.csv")
    look = Path.stat

    def refused(path: Path, **how: bool) -> os.stat_result:
        if path == task.path:
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        return look(path, **how)

    monkeypatch.setattr(Path, "stat", refused)
    chunk = read_chunk([task], plugins_of(Fake(lambda export: [gloss()])), Habits())
    assert chunk.readings == ()
    assert "1.csv cannot be read: Permission denied" in chunk.changed[task.sha256]


@pytest.mark.parametrize(
    ("error", "times"),
    [
        (OSError(errno.EIO, "Input/output error"), 4),  # and so for ever
        (FileNotFoundError(errno.ENOENT, "No such file", "calibration.txt"), 1),  # the reader's own
        (OSError("cannot identify it"), 1),  # a library that found the bytes wanting
        (OSError(errno.EINVAL, "Invalid argument"), 1),
    ],
)
def test_what_is_no_passing_trouble_of_the_disk_holds_the_file(
    desk: Desk, error: OSError, times: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is held as the reader's fault; how often it was tried says what it was taken for."""
    monkeypatch.setattr(reading, "PAUSES_S", (0.0, 0.0, 0.0))
    tried: list[Export] = []

    def read(export: Export) -> list[Measurement]:
        tried.append(export)
        raise error

    assert held(desk.read(Fake(read))).reason == "reader-failed"
    assert len(tried) == times
