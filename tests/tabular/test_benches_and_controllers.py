"""Density, foam, viscosity and chambers as benches, controllers and suppliers write them.

No source: how laboratories write, from common practice.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.dialect.delimited import Grid
from tiecoat.errors import FileHeld
from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.id_cells import part_ids_from_words
from tiecoat.tabular.reader import AnyTable
from tiecoat.tabular.seen import Seen, SeenColumn

READER = AnyTable({kind.name: kind for kind in (DENSITY, FOAM, VISCOSITY, CHAMBER)})


@pytest.mark.parametrize(
    "titles",
    ["SP_T/degC;PV_T/degC;COLL_ml/h", "T set (°C);T actual (°C);Fallout (ml/h)"],
)
def test_a_controller_measured_one_of_two_and_set_the_other(tmp_path: Path, titles: str) -> None:
    """What was set is no reading, by whichever word it is called."""
    found = read_lines(
        READER,
        tmp_path / "trend.csv",
        "CHAMBER=N2",
        f"Timestamp;Batch;{titles};pH",
        "2026-06-15 06:00;K1-07;35.0;34.6;1.5;6.8",
        "2026-06-16 06:00;K1-07;35.0;35.3;1.6;6.9",
    )
    assert column(found, "temperature_c") == [34.6, 35.3]
    assert column(found, "collected_ml_h") == [1.5, 1.6]


def test_a_batch_and_its_state_in_one_cell(tmp_path: Path) -> None:
    """They are parted where every cell holds an id and a word for a state, and not otherwise."""
    rows = ("Filling;Temp (°C);Density (g/ml)", "K1-07 stirred;23;1.36", "K1-07 degassed;23;1.39")
    found = read_lines(READER, tmp_path / "d.csv", *rows)
    assert [one.batch for one in found] == ["K1-07", "K1-07"]
    assert column(found, "state") == ["as mixed", "deaerated"]
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "e.csv", rows[0], rows[1], "K1-07 somehow;23;1.39", "x")


def test_an_id_that_holds_another_is_not_parted(tmp_path: Path) -> None:
    """K1-07 stands in K1-07.b2 and before a sign that goes on; nobody may cut it out."""
    seen = Seen(Grid([], []), [SeenColumn("Panel", None, ["K1-07.b1", "K1-07.b2"])], 1, [])
    ids = [re.compile(r"K\d-\d\d\.b\d"), re.compile(r"K\d-\d\d")]
    part_ids_from_words(seen, ids, lambda text: True)
    assert [column.cells for column in seen.columns] == [["K1-07.b1", "K1-07.b2"]]
    seen.columns = [SeenColumn("Panel", None, ["K1-07_01 x", "K1-07_02 x"])]
    part_ids_from_words(seen, ids, lambda text: True)
    assert len(seen.columns) == 1


def test_a_state_that_nobody_states(tmp_path: Path) -> None:
    """It is filed as not stated, with a remark; a column of unknown words may be it, and holds."""
    found = read_lines(
        READER, tmp_path / "d.csv", "Batch;Temp (°C);Density (g/ml)", "K1-07;23;1.36"
    )
    assert column(found, "state") == ["not stated"]
    assert any("state not stated" in remark for remark in found[0].remarks)
    titles, *rows = "Batch;Way;Temp (°C);Density (g/ml)", "K1-07;abc;23;1.36", "K1-07;xyz;23;1.39"
    with pytest.raises(FileHeld, match="nothing for state"):
        read_lines(READER, tmp_path / "e.csv", titles, *rows)


@pytest.mark.parametrize(
    "check", ["Check with water 20.00 °C 998.2 kg/m³", "Water check: 0.9982 g/ml"]
)
def test_a_check_of_the_bench_is_no_sample(tmp_path: Path, check: str) -> None:
    """Nor is a column that says of every reading that it is valid a state."""
    rows = ("Batch;Temp (°C);Density (kg/m³);Condition", "K1-07;20.1;1360.4;valid")
    (one,) = read_lines(READER, tmp_path / "d.csv", check, *rows)
    assert one.columns["state"] == ["not stated"]
    assert one.columns["density_g_cm3"] == [pytest.approx(1.3604)]


@pytest.mark.parametrize(("upthrust", "held"), [("13,604", False), ("14,604", True)])
def test_an_immersed_body_and_the_density_agree(tmp_path: Path, upthrust: str, held: bool) -> None:
    """Tickets one below the other; mass over volume is the density (ISO 2811-2, from memory)."""
    ticket = [
        "Charge       : K1-07",
        "Zustand      : entlüftet",
        "Temperatur   : 23,1 °C",
        "Volumen Tauchkörper : 10,003 cm³",
        f"Auftrieb     : {upthrust} g",
        "Dichte       : 1,3600 g/cm³",
        "",
    ]
    if held:
        with pytest.raises(FileHeld):
            read_lines(READER, tmp_path / "t.txt", *ticket, *ticket)
        return
    found = read_lines(READER, tmp_path / "t.txt", *ticket, *ticket)
    assert column(found, "density_g_cm3") == [1.36, 1.36]


def test_a_supplier_writes_units_beside_names(tmp_path: Path) -> None:
    """Characteristics down, batches across, a column of units; the rest is passed over."""
    found = read_lines(
        READER,
        tmp_path / "report.csv",
        "Characteristic;Unit;K1-07;K1-08",
        "Solids content;%;71,2;72,9",
        "Density at 20 °C;kg/l;1,402;1,421",
    )
    assert [(one.batch, *one.columns["density_g_cm3"]) for one in found] == [
        ("K1-07", pytest.approx(1.402)),
        ("K1-08", pytest.approx(1.421)),
    ]


def test_times_below_a_group_that_says_what_they_are_of(tmp_path: Path) -> None:
    """Foam volume over 0 min, 2 min; the unit stands in the group."""
    found = read_lines(
        READER,
        tmp_path / "f.csv",
        "Shaken by hand",
        "Batch;Foam volume [ml] after;;",
        ";0 min;2 min;5 min",
        "K1-07;60;41;20",
        "K1-08;55;38;19",
    )
    assert [column([one], "elapsed_s") for one in found] == [[0.0, 120.0, 300.0]] * 2
    assert [column([one], "foam_volume_ml") for one in found] == [[60, 41, 20], [55, 38, 19]]


def test_heights_and_times_whose_units_a_line_tells(tmp_path: Path) -> None:
    """`heights in cm, time in min` is of all columns that are one."""
    found = read_lines(
        READER,
        tmp_path / "f.csv",
        "Stirred at 1500 rpm; heights in cm, time in min",
        "Batch;Time;Foam height;Liquid height",
        "K1-07;0;4,1;6,0",
        "K1-07;3;2,2;6,1",
    )
    assert column(found, "elapsed_s") == [0.0, 180.0]
    assert column(found, "foam_height_mm") == [pytest.approx(41), pytest.approx(22)]


def test_a_cup_told_in_two_places(tmp_path: Path) -> None:
    """Its hole in a column, its standard above; a tolerance is no temperature."""
    found = read_lines(
        READER,
        tmp_path / "cup.csv",
        "Standard;ISO 2431;;",
        "Target 23 +/- 0.5 °C;;;",
        "Batch;Cup;Temp (°C);Efflux time (s)",
        "K1-07;6 mm;23.1;58.5",
        "K1-07;6 mm;22.9;58.7",
    )
    assert column(found, "cup") == ["ISO 2431 6 mm"] * 2


def test_another_batch_above_all_rows_holds(tmp_path: Path) -> None:
    """The head says one sample, each line another: nobody knows which is right."""
    rows = ("Batch;Time (s);Foam height (mm)", "K1-08;0;41", "K1-08;60;22")
    with pytest.raises(FileHeld) as caught:
        read_lines(READER, tmp_path / "f.csv", "Shaken", "Sample: K1-07", "", *rows)
    assert "K1-07 above the table" in str(caught.value.faults[0].found)


def test_a_flag_that_counts_and_the_number_of_a_vessel_are_no_results(tmp_path: Path) -> None:
    """A reading that is flagged otherwise holds the file, for somebody thought it bad."""
    rows = ["Batch;Cup no.;Cup;Temp (°C);Efflux time (s);OK"]
    rows += [f"K1-07;{number};ISO 4;23.1;{time};1" for number, time in ((2, 61.2), (1, 61.8))]
    assert column(read_lines(READER, tmp_path / "c.csv", *rows), "efflux_s") == [61.2, 61.8]
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "d.csv", *rows, "K1-07;2;ISO 4;23.1;99.9;0")


@pytest.mark.parametrize("unit", ["g per 100 ml", "g in 100 ml", "g/100 ml", "g je 100 ml"])
def test_salt_in_a_hundred_millilitres_is_read(tmp_path: Path, unit: str) -> None:
    """A unit in words is one; a word of the kind over a unit that nobody knows is not left out."""
    head = ("Cabinet 1", "On test;K1-07", "")
    rows = ("01/10/2026;08:10;35.1;6.9;5.03", "13/10/2026;08:15;35.0;7.0;5.03")
    titles = "Date;Time;Temp (°C);pH;Salt ({})"
    found = read_lines(READER, tmp_path / "c.csv", *head, titles.format(unit), *rows)
    assert column(found, "salt_g_l") == pytest.approx([50.3, 50.3])
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "c.csv", *head, titles.format("zz/qq"), *rows)
