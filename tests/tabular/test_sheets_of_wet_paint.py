"""Density, foam and viscosity as laboratories write them on the sheet of a day.

No source: how laboratories write, from common practice.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (DENSITY, FOAM, VISCOSITY)})
CUP = ("Batch;State;Temp (°C);Density (g/ml)", "K1-07;as mixed;23;1.360")


@pytest.mark.parametrize(
    "line", ["Cup checked with water, fine.", "mit Wasser kalibriert", "étalonné à l'eau le 2 mai"]
)
def test_what_a_vessel_was_checked_with_is_no_sample(tmp_path: Path, line: str) -> None:
    """Water in a line about the cup says nothing of the paint in it."""
    assert column(read_lines(READER, tmp_path / "d.csv", line, *CUP), "state") == ["as mixed"]


def test_another_state_in_a_line_above_holds(tmp_path: Path) -> None:
    """A line that says of the sample what its column does not is no check of a vessel."""
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "d.csv", "Density of water", *CUP)


RESTS = ("Batch;State;Rest time (s);Temp (°C);Density (g/ml)", "K1-07;rested;600;23;1.340")


def test_a_state_without_a_time_at_rest_is_asked_for_none(tmp_path: Path) -> None:
    """Fresh from the mixer or with the air drawn off a sample has none beside those that rested."""
    others = ("K1-07;as mixed;;23;1.320", "K1-07;vacuum;;23;1.410", "K1-07;vacuum;;23;1.411")
    found = read_lines(READER, tmp_path / "d.csv", *RESTS, *others)
    assert column(found, "state") == ["rested", "as mixed", "deaerated", "deaerated"]
    assert column(found, "elapsed_s") == pytest.approx([600, *[math.nan] * 3], nan_ok=True)


@pytest.mark.parametrize("state", ["rested", "as mixed"])
def test_a_time_that_others_of_its_state_have_was_forgotten(tmp_path: Path, state: str) -> None:
    """A row of a series over time without its time is held."""
    rows = (f"K1-07;{state};60;23;1.330", f"K1-07;{state};;23;1.335", "K1-07;vacuum;;23;1.410")
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "d.csv", *RESTS, *rows)
    assert [fault.row for fault in held.value.faults] == [4]


@pytest.mark.parametrize(
    ("line", "uncertainty", "remarked"),
    [("", False, True), ("standard uncertainty behind the density", True, False)],
)
def test_a_column_called_plus_minus_is_what_the_file_says(
    tmp_path: Path, line: str, uncertainty: bool, remarked: bool
) -> None:
    """It is the uncertainty that a line names; else it is left out with a remark."""
    rows = ("Batch;State;Temp (°C);Density (kg/m³);± (kg/m³)", "K1-07;as mixed;23;1360;0.3")
    (one,) = read_lines(READER, tmp_path / "d.csv", line, *rows)
    assert one.columns["density_g_cm3"] == [pytest.approx(1.36)]
    read = one.columns["uncertainty_g_cm3"]
    assert read == [pytest.approx(0.0003)] if uncertainty else read[0] != read[0]
    assert any("± (kg/m³)" in remark for remark in one.remarks) is remarked


def test_minutes_and_seconds_are_no_time_of_day(tmp_path: Path) -> None:
    """A title with min:s is that of a duration, also below a day and beside batches across."""
    found = read_lines(
        READER,
        tmp_path / "foam.csv",
        "Foam after stirring",
        "Date;25 Sep 2025",
        "",
        "time (min:s);K1-07 foam height (mm);K1-08 foam height (mm)",
        "0:00;47.5;39.5",
        "0:30;44.2;37.7",
        "20:00;3.8;7.0",
    )
    assert [one.batch for one in found] == ["K1-07", "K1-08"]
    assert found[1].columns["elapsed_s"] == [0, 30, 1200]


def test_how_long_air_was_blown_in_is_no_time_since(tmp_path: Path) -> None:
    """A time beside a flow of air is of making the foam, as one beside a speed of stirring is."""
    found = read_lines(
        READER,
        tmp_path / "espuma.csv",
        "Espuma por inyección de aire (200 ml/min, 3 min)",
        "Lote;Ensayo;Tiempo (s);Altura de espuma (cm)",
        "K1-07;1;0;7,6",
        "K1-07;1;20;6,9",
    )
    assert column(found, "method") == ["aerated"] * 2
    assert column(found, "foam_height_mm") == pytest.approx([76, 69])


def test_determinations_across_hold_what_the_line_above_says(tmp_path: Path) -> None:
    """Foam in ml below `Best. 1` to `Best. 2` is no density, and its mean is none of them."""
    found = read_lines(
        READER,
        tmp_path / "schaum.csv",
        "Schaumprüfung (Schütteln)",
        "Charge:;K1-07",
        "",
        "Schaumvolumen in ml",
        "Zeit [min];Best. 1;Best. 2;MW",
        "0;75,0;78,4;76,7",
        "5;44,8;45,4;45,1",
    )
    assert [one.kind for one in found] == ["foam"] * 2
    assert column(found, "foam_volume_ml") == [75, 44.8, 78.4, 45.4]


def test_a_start_is_told_beside_its_day(tmp_path: Path) -> None:
    """`24/09/2025, début 10h20` is a day and the time of its start."""
    found = read_lines(READER, tmp_path / "d.csv", "Date : 24/09/2025, début 10h20", *CUP)
    assert f"{found[0].measured_at:%d.%m. %H:%M}" == "24.09. 10:20"


def test_a_shear_rate_above_single_points(tmp_path: Path) -> None:
    """One point of each batch has the shear rate that stands above the table."""
    found = read_lines(
        READER,
        tmp_path / "v.csv",
        "Gradiente di velocità (1/s);10000",
        "Temperatura (°C);25,0",
        "",
        "N.;Lotto;Viscosità (P)",
        "1;K1-07;2,13",
        "2;K1-08;2,50",
    )
    assert column(found, "shear_rate_per_s") == [10000, 10000]
    assert column(found, "viscosity_pa_s") == pytest.approx([0.213, 0.25])


def test_batches_below_one_title_beside_a_unit(tmp_path: Path) -> None:
    """Ids tell apart the columns that one title spans, and the first has its unit below it."""
    found = read_lines(
        READER,
        tmp_path / "v.csv",
        "Vloeicurves, 23,0 °C",
        "",
        "Afschuifsnelheid;Viscositeit (mPa·s);;",
        "1/s;K1-07;K1-08;K1-09",
        "0,5;14663;21575;15940",
        "10;2273;2754;2204",
    )
    assert [one.batch for one in found] == ["K1-07", "K1-08", "K1-09"]
    assert found[2].columns["viscosity_pa_s"] == pytest.approx([15.94, 2.204])


def test_a_density_at_no_stated_temperature_is_read_with_a_remark(tmp_path: Path) -> None:
    """It lacks nothing else."""
    rows = ("Dichte in kg/m³", "", "t (min);K1-07;K1-08", "5;1136;1114")
    found = read_lines(READER, tmp_path / "d.csv", *rows)
    assert column(found, "density_g_cm3") == [pytest.approx(1.136), pytest.approx(1.114)]
    for one in found:
        assert np.isnan(one.columns["temperature_c"]).all()
        assert any("temperature_c not stated" in remark for remark in one.remarks)


def test_a_temperature_that_other_rows_tell_is_not_left_out(tmp_path: Path) -> None:
    """The cell was forgotten."""
    with pytest.raises(FileHeld, match="temperature"):
        read_lines(READER, tmp_path / "d.csv", *CUP, "K1-08;as mixed;;1.350")


def test_times_under_an_unknown_title_are_asked_for(tmp_path: Path) -> None:
    """They may be those that the paint stood, which a density need not tell."""
    rows = ("Batch;Vila (t:mm);Rho (g/ml)", "K1-07;0:10;1.358", "K1-07;1:30;1.372")
    with pytest.raises(FileHeld, match="Vila"):
        read_lines(READER, tmp_path / "d.csv", *rows)


def test_so_many_shakes_are_no_time(tmp_path: Path) -> None:
    """A shake is a unit of time to physicists, and none at a cylinder with a stopper."""
    found = read_lines(
        READER,
        tmp_path / "foam.csv",
        "Shake test: stoppered cylinder, 40 shakes by hand",
        "Foam volume in ml",
        "minutes;K1-07;K1-08",
        "1;52;61",
        "5;40;44",
        "30;6;n.r.",
    )
    assert column(found, "foam_volume_ml") == [52, 40, 6, 61, 44]


@pytest.mark.parametrize(
    "line",
    [
        "Steel cup 99.97 mL; empty 183.42 g; T = 22.5 C; 2 June 2026",
        "cup no. 2; T: 22.5 °C; stirred well",
        "Becher 3; Leermasse 183,42 g; Temp. = 22.5 C",
    ],
)
def test_one_of_several_parts_of_a_line_tells_the_temperature(tmp_path: Path, line: str) -> None:
    """Semicolons part what a line tells, and a lone letter before a sign is a name."""
    rows = ("Batch,State,Density (g/ml)", "K1-07,as mixed,1.360", "K1-08,as mixed,1.362")
    assert (
        column(read_lines(READER, tmp_path / "d.csv", line, *rows), "temperature_c") == [22.5] * 2
    )


@pytest.mark.parametrize("line", ["all of it near 23 C then", "in the room, 296 K or 73 F"])
def test_a_temperature_in_a_sentence_is_never_passed_over(tmp_path: Path, line: str) -> None:
    """A density is filed without a temperature only where no text of the file speaks of degrees."""
    rows = ("Batch;State;Density (g/ml)", "K1-07;as mixed;1.360", "K1-08;as mixed;1.362")
    with pytest.raises(FileHeld, match="nothing for temperature_c"):
        read_lines(READER, tmp_path / "d.csv", line, *rows)
