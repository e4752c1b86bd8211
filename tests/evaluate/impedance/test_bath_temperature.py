"""The temperature of the bath: as files tell it, in tables filed before, and in the uptake."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
from films import CIRCUITS, impedance
from labs import LabAtWork

import tiecoat

HZ = np.logspace(5, -1, 31)


def export(
    hours: float,
    *told: str,
    panel: str = "RB-014-3",
    title: str = "",
    column: Callable[[int], str] = lambda row: "",
) -> str:
    """Return an export of a film, with lines above its table, or one more column of it."""
    z = impedance(CIRCUITS["film 1e9"], HZ)
    lines = [
        f"Panel: {panel}",
        f"Measured at: 2026-09-{22 + int(hours // 24):02d} 10:00",
        f"Immersion time (h): {hours:g}",
        "Area (cm2): 14.6",
        *told,
        "",
        "Frequency (Hz);Zre (ohm);Zim (ohm)" + (f";{title}" if title else ""),
    ]
    for row, (f, one) in enumerate(zip(HZ, z, strict=True)):
        more = f";{column(row)}" if title else ""
        lines.append(f"{f:.6g};{one.real:.6g};{one.imag:.6g}{more}")
    return "\n".join(lines) + "\n"


def filed(lab: LabAtWork, content: str, name: str = "a.csv") -> list[float | None]:
    """File one export and return the temperatures of its rows as they stand in the table."""
    lab.drop(name, content)
    lab.take()
    assert lab.held() == {}
    return [row["temperature_c"] for row in lab.rows("impedance") if row["source_name"] == name]


TOLD = {
    "Bath temperature: 25.3 °C": 25.3,
    "Temperature of the electrolyte (°F): 77": 25.0,
    "Badtemperatur: 25,3 °C": 25.3,
    "T: 25.3": 25.3,
    "Room temperature: 19 °C": None,
    "Temperature: RT": None,
}


def test_an_entry_above_the_table_is_the_temperature_of_the_bath(
    lab: Callable[..., LabAtWork],
) -> None:
    """In its unit, °C where none is said; what is of the room, or no number, is passed over."""
    at_work = lab()
    for number, line in enumerate(TOLD, 1):
        at_work.drop(f"{number}.csv", export(24, line, panel=f"RB-014-{number}"))
    at_work.take()
    found = [(row["panel"], row["temperature_c"]) for row in at_work.rows("impedance")]
    assert len(found) == 31 * len(TOLD)
    assert {(panel, told if told is None else round(told, 9)) for panel, told in found} == {
        (f"RB-014-{number}", told) for number, told in enumerate(TOLD.values(), 1)
    }


def test_a_column_is_filed_point_by_point_and_counts_by_its_mean(
    lab: Callable[..., LabAtWork],
) -> None:
    """25.0 to 25.2 °C over a sweep: the permittivity of water at 25.1 °C."""
    at_work = lab()
    title = "T (°C)"
    found = filed(at_work, export(24, title=title, column=lambda row: f"{25 + row % 3 / 10:.1f}"))
    assert set(found) == {25.0, 25.1, 25.2}
    assert "permittivity of water 78.3 at 25.1 °C, told with the spectra" in uptake(at_work.root)[0]


def test_what_may_be_in_fahrenheit_is_remarked(lab: Callable[..., LabAtWork]) -> None:
    """A bath of 77 without a unit is filed as 77 °C, with the question."""
    at_work = lab()
    assert set(filed(at_work, export(24, "Temperature: 77"))) == {77.0}
    remarks = {row["remark"] for row in at_work.rows("impedance")}
    assert {one for text in remarks for one in text.split("; ") if "°F" in one} == {
        "seldom: a bath above 60 °C: is it °F?"
    }


def test_two_temperatures_that_differ_hold_the_file(lab: Callable[..., LabAtWork]) -> None:
    """Nobody knows which of them is that of the bath."""
    at_work = lab()
    at_work.drop("a.csv", export(24, "Bath temperature: 25 °C", "Temperature: 21 °C"))
    at_work.take()
    assert list(at_work.held()) == ["a.csv"]


def uptake(root: Path) -> list[str]:
    """Return the methods of the uptakes, in order of exposure."""
    results = tiecoat.open(root).evaluate("impedance")
    rows = results[(results["quantity"] == "water_uptake") & (results["panel"] != "")]
    return list(rows["method"])


def test_each_uptake_says_whose_temperature_it_took(lab: Callable[..., LabAtWork]) -> None:
    """That of the spectrum where it tells one, else that of the settings, else 80 and a flag."""
    at_work = lab(**{"evaluate.impedance": {"bath_temperature_c": 40.0}})
    filed(at_work, export(1, "Bath temperature: 23 °C"))
    filed(at_work, export(24), "b.csv")
    told, of_settings = uptake(at_work.root)
    # 79.0 at 23 °C and 73.2 at 40 °C: tests/outside/test_uptake_by_fick.py
    assert "permittivity of water 79.0 at 23 °C, told with the spectra;" in told
    assert "permittivity of water 73.2 at 40 °C, set for the spectra;" in of_settings
    at_work.settle()
    assert "permittivity of water 80.0;" in uptake(at_work.root)[1]


def without_the_column(root: Path) -> None:
    """Make the tables of a lab those of the kind before it had a temperature."""
    for path in (root / "archive" / "impedance").glob("*/data.parquet"):
        rows = pq.ParquetFile(path).read().drop_columns(["temperature_c"])
        said = {**rows.schema.metadata, b"tiecoat.kind_version": b"1"}
        pq.write_table(rows.replace_schema_metadata(said), path)


def test_tables_filed_before_are_read_asked_and_evaluated(lab: Callable[..., LabAtWork]) -> None:
    """Old rows are without a temperature, and a table takes a new row up beside its old ones."""
    at_work = lab()
    for batch in ("014", "015"):
        filed(at_work, export(1, panel=f"RB-{batch}-3"), f"{batch}.csv")
    without_the_column(at_work.root)
    old = tiecoat.open(at_work.root)
    assert len(old.read("impedance")) == 62
    assert old.sql("select count(*) as n from impedance")["n"].tolist() == [62]
    assert all("permittivity of water 80.0;" in one for one in uptake(at_work.root))

    assert set(filed(at_work, export(24, "Temperature: 25 °C"), "b.csv")) == {25.0}
    both = tiecoat.open(at_work.root)
    temperatures = both.read("impedance").groupby("source_name")["temperature_c"].first()
    assert temperatures.isna().to_dict() == {"014.csv": True, "015.csv": True, "b.csv": False}
    counted = both.sql("select count(temperature_c) as told, count(*) as n from impedance")
    assert counted.iloc[0].tolist() == [31, 93]
    assert both.arrow("impedance").count_rows() == 93
    assert [("told with" in one) for one in uptake(at_work.root)] == [False, True, False]
