"""Impedance comes out the same, whatever of the trade's ways the station wrote it in."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.extend.loading import Plugins
from tiecoat.intake.workers.answers import Reading
from tiecoat.lab.settings import IdPatterns
from tiecoat.plugin import Measurement, Reader

Read = Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]

IMPEDANCE = Path(__file__).parent.parent / "exports" / "impedance"


def utc(text: str) -> datetime:
    """Return an aware time."""
    return datetime.fromisoformat(text + "+00:00")


def by_row(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the rows in the order of the original; the archive sorts by frequency."""
    return sorted(rows, key=lambda row: int(row["source_row"]))


def test_one_spectrum_with_minus_imaginary(read: Read) -> None:
    """A title with a minus has its sign turned, and everything above the table is read."""
    reading, rows = read(IMPEDANCE / "re_im_minus.csv")
    assert [(keys.panel, keys.batch) for keys in reading.keys] == [("RB-014-3", None)]
    found = by_row(rows["impedance"])
    assert [row["source_row"] for row in found] == list(range(10, 18))
    assert [row["frequency_hz"] for row in found] == [1e5, 1e4, 1e3, 100, 10, 1, 0.1, 0.01]
    assert found[0]["z_real_ohm"] == 215.3
    assert found[0]["z_imag_ohm"] == -1893.1
    assert found[2]["z_real_ohm"] == 3125.25
    assert found[7]["z_imag_ohm"] == -1290000
    for row in found:
        assert (row["area_cm2"], row["thickness_um"], row["exposure_h"]) == (14.6, 182, 24)
        assert row["measured_at"] == utc("2026-09-22T07:14:05")
        assert (row["instrument"], row["spot"]) == ("bath 2", None)


def test_plain_imaginary_in_kilo_ohm(read: Read) -> None:
    """A title without a minus is the trade's Im; days of immersion become hours."""
    _, rows = read(IMPEDANCE / "re_im_plain.csv")
    found = by_row(rows["impedance"])
    _, reference = read(IMPEDANCE / "re_im_minus.csv")
    for row, same in zip(found, by_row(reference["impedance"]), strict=True):
        assert row["z_real_ohm"] == pytest.approx(same["z_real_ohm"], rel=1e-15)
        assert row["z_imag_ohm"] == pytest.approx(same["z_imag_ohm"], rel=1e-15)
        assert (row["exposure_h"], row["spot"]) == (24, "edge")


@pytest.mark.parametrize(
    "name", ["modulus_phase_blocks.csv", "modulus_minus_phase.csv", "modulus_phase_no_unit.csv"]
)
def test_blocks_of_modulus_and_phase(name: str, read: Read) -> None:
    """Each block is a spectrum with its own immersion and time; the phase may have either sign.

    Without a unit it is taken for degrees, as nothing in the file speaks of another unit.
    """
    reading, rows = read(IMPEDANCE / name)
    assert [keys.panel for keys in reading.keys] == ["RB-014-3"] * 2
    found = by_row(rows["impedance"])
    assert [row["source_row"] for row in found] == [12, 13, 14, 15, 23, 24, 25, 26]
    assert [row["exposure_h"] for row in found] == [48] * 4 + [72] * 4
    assert {row["measured_at"] for row in found} == {
        utc("2026-09-23T08:02"),
        utc("2026-09-24T08:05"),
    }
    impedance = cmath.rect(18825.8, math.radians(-88.774))
    assert found[0]["z_real_ohm"] == pytest.approx(impedance.real, rel=1e-12)
    assert found[0]["z_imag_ohm"] == pytest.approx(impedance.imag, rel=1e-12)
    assert {row["area_cm2"] for row in found} == {14.6}


def test_phase_in_radian(read: Read) -> None:
    """A phase in rad and a modulus in megaohm are read as such."""
    _, rows = read(IMPEDANCE / "modulus_phase_rad.csv")
    found = by_row(rows["impedance"])
    assert found[1]["z_real_ohm"] == pytest.approx(1791350 * math.cos(1.5366), rel=1e-12)
    assert found[1]["z_imag_ohm"] == pytest.approx(-1791350 * math.sin(1.5366), rel=1e-12)


def test_long_form_times_area(read: Read) -> None:
    """A new value in the time column starts a new spectrum; ohm cm2 are divided by the area."""
    reading, rows = read(IMPEDANCE / "long_form_area.txt")
    assert len(reading.keys) == 2
    found = by_row(rows["impedance"])
    assert [row["exposure_h"] for row in found] == [1, 1, 1, 24, 24, 24]
    assert [row["z_real_ohm"] for row in found] == [
        36.4e6,
        3125.25,
        1.251e6,
        3010,
        1.196e6,
        29.87e6,
    ]
    assert found[0]["z_imag_ohm"] == -12.1e6
    assert [row["source_row"] for row in found] == [6, 7, 8, 9, 10, 11]


spectra = st.lists(
    st.tuples(
        st.floats(1e-3, 1e6),
        st.floats(1e-2, 1e12),
        st.floats(-1.5, -1e-3),  # a capacitive point: phase in rad
    ),
    min_size=3,
    max_size=12,
    unique_by=lambda point: point[0],
)


def written(
    points: list[tuple[float, float, float]],
    *,
    polar: bool,
    turned: bool,
    degrees: bool,
    per_area: bool,
    prefix: tuple[str, float],
    long_form: bool,
    comma: bool,
) -> str:
    """Return an export of this spectrum on 7.25 cm2."""
    unit, size = prefix
    unit, scale = (f"{unit}Ohm cm2", 7.25 / size) if per_area else (f"{unit}Ohm", 1 / size)
    sign = -1 if turned else 1
    rows = []
    for frequency, modulus, phase in points:
        z = cmath.rect(modulus, phase)
        second = math.degrees(phase) if degrees else phase
        pair = (
            (modulus * scale, second * sign) if polar else (z.real * scale, z.imag * scale * sign)
        )
        rows.append(([24.0] if long_form else []) + [frequency, *pair])
    minus = "-" if turned else ""
    titles = [f"|Z| [{unit}]", f"{minus}Phase [{'deg' if degrees else 'rad'}]"]
    if not polar:
        titles = [f"Z' [{unit}]", f"{minus}Z'' [{unit}]"]
    titles = (["t [h]"] if long_form else []) + ["f [Hz]", *titles]
    lines = ["Panel: RB-014-3", "Area: 7.25 cm2", *([] if long_form else ["Immersion: 24 h"]), ""]
    lines.append(";".join(titles))
    lines += [";".join(repr(value) for value in row) for row in rows]
    text = "\n".join(lines) + "\n"
    return text.replace(".", ",") if comma else text


def read_back(path: Path, text: str, reader: Reader) -> list[Measurement]:
    """Return what the reader makes of this text."""
    path.write_text(text, encoding="utf-8")
    habits = Habits(
        zone=ZoneInfo("UTC"), panel_ids=IdPatterns().panel, batch_ids=IdPatterns().batch
    )
    export = Export(path, path.name, "", habits)
    claim = reader.recognise(export)
    assert claim is not None
    assert claim.sure > 0.5
    found = list(reader.read(export))
    assert export.faults == []
    return found


@given(
    points=spectra,
    polar=st.booleans(),
    turned=st.booleans(),
    degrees=st.booleans(),
    per_area=st.booleans(),
    prefix=st.sampled_from([("", 1.0), ("k", 1e3), ("M", 1e6)]),
    long_form=st.booleans(),
    comma=st.booleans(),
)
def test_every_way_to_write_it_reads_the_same(
    tmp_path_factory: pytest.TempPathFactory,
    plugins: Plugins,
    points: list[tuple[float, float, float]],
    **way: Any,
) -> None:
    """Any spectrum in any form, sign, unit, prefix and decimal mark reads back as it was."""
    path = tmp_path_factory.getbasetemp() / "spectrum.csv"
    (found,) = read_back(path, written(points, **way), plugins.readers["any_table"])
    assert found.kind == "impedance"
    assert found.panel == "RB-014-3"
    columns = found.columns
    assert set(columns["exposure_h"]) == {24.0}
    assert set(columns["area_cm2"]) == {7.25}
    assert list(columns["frequency_hz"]) == [frequency for frequency, _, _ in points]
    for real, imaginary, (_, modulus, phase) in zip(
        columns["z_real_ohm"], columns["z_imag_ohm"], points, strict=True
    ):
        # radians to degrees and back, and the prefix, cost a few last bits of the modulus
        assert abs(complex(real, imaginary) - cmath.rect(modulus, phase)) <= 1e-14 * modulus
