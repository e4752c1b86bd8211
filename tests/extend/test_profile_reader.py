"""The reader of a table profile does what the profile says, and nothing that it does not say."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.extend.profile_file import load_profile
from tiecoat.plugin import Measurement, Reader, Reason
from tiecoat.schemas import density, panels, pull_off, viscosity

KINDS = {kind.name: kind for kind in (density.KIND, panels.KIND, pull_off.KIND, viscosity.KIND)}
HABITS = Habits(zone=ZoneInfo("Europe/Berlin"))

CURVE = """\
name = "curve"
kind = "viscosity"
version = "1"
HOW
[batch]
titles = ["Paint"]
optional = true
[columns]
method = { value = "rotational" }
shear_rate_per_s = { titles = ["Rate"], unit = "1/s" }
viscosity_pa_s = { titles = ["Eta"], unit = "mPa·s" }
temperature_c = { entry = ["Bath"], unit = "°C" }
step = { titles = ["Ramp"], optional = true, words = { "Hin" = "up", "zurück" = "down" } }
"""
TABLE = """\
Bath: 23
Paint;Rate;Eta;Ramp
RB-001;1;2000;hin
RB-001;10;1000;HIN
RB-002;10;1100;zurück
RB-002;1;1900;rest
"""


def reader_of(tmp_path: Path, text: str) -> Reader:
    """Return the reader of this profile."""
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return load_profile(path, KINDS)


def export_of(tmp_path: Path, text: str, name: str = "export.csv") -> Export:
    """Return an export with this text."""
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return Export(path, name, "", HABITS)


def read(tmp_path: Path, profile: str, text: str) -> list[Measurement]:
    """Return the measurements of an export that is in order."""
    export = export_of(tmp_path, text)
    found = list(reader_of(tmp_path, profile).read(export))
    assert export.faults == []
    return found


def faults(tmp_path: Path, profile: str, text: str) -> list[tuple[Reason, int | None]]:
    """Return reasons and rows of the faults of an export."""
    export = export_of(tmp_path, text)
    list(reader_of(tmp_path, profile).read(export))
    export.tell_unread()
    return [(fault.reason, fault.row) for fault in export.faults]


def test_each_row(tmp_path: Path) -> None:
    """With each = "row" every row is a measurement, and that is so if nothing is said."""
    found = read(tmp_path, CURVE.replace("HOW", ""), TABLE)
    assert found == read(tmp_path, CURVE.replace("HOW", 'each = "row"'), TABLE)
    assert [list(one.rows) for one in found] == [[3], [4], [5], [6]]
    assert [one.columns["viscosity_pa_s"] for one in found] == [[2.0], [1.0], [1.1], [1.9]]


def test_each_table_keeps_batches_apart(tmp_path: Path) -> None:
    """A table is one measurement, but none spans two batches."""
    found = read(tmp_path, CURVE.replace("HOW", 'each = "table"'), TABLE)
    assert [(one.batch, list(one.rows)) for one in found] == [
        ("RB-001", [3, 4]),
        ("RB-002", [5, 6]),
    ]


TWO_TABLES = """\
Bath: 23 °C
Rate;Eta
1;2000
10;1000

Bath: 40 °C
Rate;Eta
1;200
10;100
"""


def test_each_table_with_its_own_entries(tmp_path: Path) -> None:
    """Two tables in one file are two measurements, each with the entries above it."""
    found = read(tmp_path, CURVE.replace("HOW", 'each = "table"'), TWO_TABLES)
    assert [list(one.columns["temperature_c"]) for one in found] == [[23, 23], [40, 40]]
    assert [list(one.rows) for one in found] == [[3, 4], [8, 9]]


def test_each_file(tmp_path: Path) -> None:
    """With each = "file" all tables of a file are one measurement."""
    (found,) = read(tmp_path, CURVE.replace("HOW", 'each = "file"'), TWO_TABLES)
    assert list(found.columns["temperature_c"]) == [23, 23, 40, 40]
    assert list(found.rows) == [3, 4, 8, 9]


def test_by_the_values_of_a_column(tmp_path: Path) -> None:
    """With by = [...] a new value in the column starts a new measurement."""
    text = TABLE.replace("RB-002", "RB-001")
    found = read(tmp_path, CURVE.replace("HOW", 'by = ["shear_rate_per_s"]'), text)
    assert [list(one.rows) for one in found] == [[3], [4, 5], [6]]


def test_by_a_column_with_empty_cells(tmp_path: Path) -> None:
    """Empty cells one below the other count as the same value."""
    text = TABLE.replace("RB-002", "RB-001").replace(";1;", ";;").replace(";10;", ";;")
    found = read(tmp_path, CURVE.replace("HOW", 'by = ["shear_rate_per_s"]'), text)
    assert [list(one.rows) for one in found] == [[3, 4, 5, 6]]


def test_words(tmp_path: Path) -> None:
    """Words are exchanged whatever their case; others stay for the kind to judge."""
    found = read(tmp_path, CURVE.replace("HOW", ""), TABLE)
    assert [one.columns["step"][0] for one in found] == ["up", "up", "down", "rest"]


def test_optional_columns_may_be_missing(tmp_path: Path) -> None:
    """Without an optional column the file is read; the values are empty."""
    found = read(tmp_path, CURVE.replace("HOW", ""), TWO_TABLES)
    assert {one.batch for one in found} == {None}
    assert [one.columns["step"] for one in found] == [[None]] * 4


def test_a_missing_entry_is_told(tmp_path: Path) -> None:
    """An entry that the profile asks for and the export lacks is a fault at the table."""
    said = faults(tmp_path, CURVE.replace("HOW", ""), TABLE.removeprefix("Bath: 23\n"))
    assert said == [(Reason.MISSING_COLUMN, 1)]


def test_an_empty_cell_of_the_batch_is_told(tmp_path: Path) -> None:
    """A row without its batch is not given to the batch in the file's name, unless optional."""
    text = TABLE.replace("RB-002;10", ";10")
    assert faults(tmp_path, CURVE.replace("HOW", ""), text) == []
    strict = CURVE.replace("HOW", "").replace("optional = true\n", "", 1)
    assert faults(tmp_path, strict, text) == [(Reason.MISSING_VALUE, 5)]


def test_a_fixed_value_has_a_unit_too(tmp_path: Path) -> None:
    """A fixed number is converted from the unit that stands beside it."""
    profile = CURVE.replace("HOW", "").replace(
        'entry = ["Bath"], unit = "°C"', 'value = 77, unit = "°F"'
    )
    found = read(tmp_path, profile, TABLE)
    assert found[0].columns["temperature_c"] == pytest.approx([25.0], rel=1e-15)


def test_end_of_the_table(tmp_path: Path) -> None:
    """A row that starts with the text under layout.end ends the table."""
    profile = CURVE.replace("HOW", '[layout]\nend = "Mean"')
    text = TABLE + "Mean;;1500;\n"
    assert [list(one.rows) for one in read(tmp_path, profile, text)] == [[3], [4], [5], [6]]


def test_a_table_to_be_ignored(tmp_path: Path) -> None:
    """A table with the titles under layout.ignore is passed over; else its rows are told."""
    text = TABLE + "\nMean;Deviation\n1500;12\n"
    told = [(Reason.UNREAD_ROWS, 9)]
    assert faults(tmp_path, CURVE.replace("HOW", ""), text) == told
    profile = CURVE.replace("HOW", '[layout]\nignore = [["Mean", "Median"], ["Deviation"]]')
    assert faults(tmp_path, profile, text) == []


PULLS = """\
name = "pulls"
kind = "pull_off"
version = "1"
[panel]
entry = ["Plate"]
[time]
TIME
[columns]
determination = { titles = ["No"] }
dolly_diameter_mm = { value = 20 }
strength_mpa = { titles = ["Strength"], unit = "MPa" }
failure = { titles = ["Failure"] }
"""
PULL = "Plate: RB-1-1\nDay: 28.09.2026\n\nNo;When;At;Strength;Failure\n1;28.09.2026;14:03;4.5;B\n"


@pytest.mark.parametrize(
    "time",
    [
        'date = { titles = ["When"] }\nclock = { titles = ["At"] }',
        'date = { entry = ["Day"] }\nclock = { titles = ["At"] }',
        'date = { entry = ["Day"] }\nclock = { titles = ["At"] }\nformat = "%d.%m.%Y %H:%M"',
    ],
)
def test_date_and_clock(tmp_path: Path, time: str) -> None:
    """A date and a clock time are joined, wherever each of them stands, and turned to UTC."""
    (found,) = read(tmp_path, PULLS.replace("TIME", time), PULL)
    assert found.measured_at == datetime(2026, 9, 28, 12, 3, tzinfo=UTC)
    assert found.panel == "RB-1-1"


@pytest.mark.parametrize(
    ("day", "clock", "reason"),
    [
        ("29.03.2026", "02:30", Reason.SKIPPED_TIME),
        ("25.10.2026", "02:30", Reason.DOUBLED_TIME),
        ("28.09.2026", "14.3", Reason.NOT_A_TIME),
        ("28.09.2026", "", Reason.MISSING_VALUE),
    ],
)
def test_date_above_and_clock_beside(tmp_path: Path, day: str, clock: str, reason: Reason) -> None:
    """Hours that do not exist or exist twice are told at their row, as is a missing time."""
    profile = PULLS.replace("TIME", 'date = { entry = ["Day"] }\nclock = { titles = ["At"] }')
    text = PULL.replace("Day: 28.09.2026", f"Day: {day}").replace("14:03", clock)
    assert faults(tmp_path, profile, text) == [(reason, 5)]


def test_a_date_that_is_not_there(tmp_path: Path) -> None:
    """A missing date is told as such, and where it belongs."""
    profile = PULLS.replace("TIME", 'date = { entry = ["Day"] }\nclock = { titles = ["At"] }')
    said = faults(tmp_path, profile, PULL.replace("Day: 28.09.2026\n", ""))
    assert said[0] == (Reason.MISSING_COLUMN, 3)


def test_claims(tmp_path: Path) -> None:
    """All titles claim; missing ones give a hint that names them; first lines make surer."""
    plain = reader_of(tmp_path, CURVE.replace("HOW", ""))
    claim = plain.recognise(export_of(tmp_path, TABLE))
    assert claim is not None
    assert 0.6 <= claim.sure <= 0.7
    lacking = plain.recognise(export_of(tmp_path, TABLE.replace("Eta", "Torque")))
    assert lacking is not None
    assert 0 < lacking.sure < 0.5
    assert "no column 'Eta'" in lacking.why

    asking = '[recognise]\nfirst_lines = ["bath: 23"]\nfile_name = "*.CSV"'
    surer = reader_of(tmp_path, CURVE.replace("HOW", asking))
    seen = surer.recognise(export_of(tmp_path, TABLE))
    assert seen is not None
    assert seen.sure > claim.sure + 0.05
    for text, name in ((TABLE.replace("Bath", "Cup"), "export.csv"), (TABLE, "export.txt")):
        unseen = surer.recognise(export_of(tmp_path, text, name))
        assert unseen is not None
        assert unseen.sure < 0.5
        assert "but the f" in unseen.why


def test_recognising_notes_no_fault(tmp_path: Path) -> None:
    """A reader that only looks leaves no fault behind on an export that another may win."""
    export = export_of(tmp_path, TABLE + "RB-002;1;1900;rest;one too many;and more\n")
    reader_of(tmp_path, CURVE.replace("HOW", "")).recognise(export)
    assert export.faults == []


def test_what_is_no_text_gives_no_hint(tmp_path: Path) -> None:
    """Bytes that are no table get no claim at all."""
    path = tmp_path / "picture.csv"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4)
    claim = reader_of(tmp_path, CURVE.replace("HOW", "")).recognise(Export(path, path.name))
    assert claim is not None
    assert claim.sure == 0


def test_a_new_densitometer_takes_few_lines() -> None:
    """The layout of a densitometer, columns, units and all, is told in under 25 lines."""
    text = (Path(__file__).parent / "strangers" / "densimetre.toml").read_text("utf-8")
    assert len(text.splitlines()) < 25


@given(
    rates=st.lists(st.floats(1e-3, 1e5), min_size=1, max_size=8),
    etas=st.lists(st.floats(1e-3, 1e6), min_size=8, max_size=8),
    comma=st.booleans(),
    delimiter=st.sampled_from([";", "\t"]),
)
def test_numbers_come_through_unchanged(
    tmp_path_factory: pytest.TempPathFactory,
    rates: list[float],
    etas: list[float],
    comma: bool,
    delimiter: str,
) -> None:
    """Any number, with either decimal mark, comes out as it was, and prefixes cost no digit."""
    tmp_path = tmp_path_factory.getbasetemp()
    rows = [["Rate", "Eta"], *([repr(r), repr(e)] for r, e in zip(rates, etas, strict=False))]
    text = "\n".join(delimiter.join(row) for row in rows) + "\n"
    text = "Bath: 23\n" + (text.replace(".", ",") if comma else text)
    decimal = "comma" if comma else "point"
    how = f'each = "file"\n[layout]\ndecimal = "{decimal}"'
    (found,) = read(tmp_path, CURVE.replace("HOW", how), text)
    assert list(found.columns["shear_rate_per_s"]) == rates
    assert all(
        math.isclose(value, eta / 1000, rel_tol=1e-15)
        for value, eta in zip(found.columns["viscosity_pa_s"], etas, strict=False)
    )
