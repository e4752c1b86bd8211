"""Amounts that belong to one of several: a record of a panel, a collector; notes on units.

No source: how laboratories write, from common practice.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.panels import KIND as PANELS
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (CHAMBER, PANELS, RATING, VISCOSITY)})
FLOW = (
    "Batch,K1-07",
    "Temperature,23.0 °C",
    "Shear rate (1/s),Viscosity (mPa·s)",
    "0.5,23.3",
    "5,3.9",
    "50,1.02",
)


@pytest.mark.parametrize(
    ("panel", "hours", "grade", "area"),
    [
        ("Provino", "Ore di esposizione", "Arrugginimento", "Area arrugginita"),
        ("Panel", "Exposure time in hours", "Rusting", "Rusted area"),
        ("Platte", "Prüfdauer h", "Rostgrad", "Rostfläche"),
    ],
)
def test_each_record_has_the_amount_of_its_own_line(
    tmp_path: Path, panel: str, hours: str, grade: str, area: str
) -> None:
    """A rusted area is that of its own panel, and not that of the first for all."""
    lines = ["Neutral salt spray (NSS)", ""]
    for number, share in enumerate(("0.05", "0.04", "0.03"), 1):
        lines += [f"{panel} K1-07.b{number}", f"  {hours}: 720", f"  {grade}: Ri 1"]
        lines += [f"  {area}: {share} %", ""]
    found = read_lines(READER, tmp_path / "inspection.txt", *lines)
    assert column(found, "area_percent") == [0.05, 0.04, 0.03]
    assert column(found, "rating") == ["Ri 1"] * 3


def test_a_note_in_another_unit_than_the_title_holds(tmp_path: Path) -> None:
    """A note is a sentence like any: that all values are in Pa·s contradicts a title in mPa·s."""
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "flow.csv", *FLOW, "Note: all viscosities in Pa·s")
    assert [(fault.reason, fault.row, fault.found) for fault in held.value.faults] == [
        (Reason.INCONSISTENT, 3, "the unit mPa·s here, and Pa·s for it elsewhere in the file")
    ]


@pytest.mark.parametrize("note", ["all viscosities in mPa·s", "checked with an oil of 5 Pa·s"])
def test_a_note_in_the_same_unit_or_of_something_else_does_not(tmp_path: Path, note: str) -> None:
    """What says the same, or an amount of something else, changes nothing."""
    found = read_lines(READER, tmp_path / "flow.csv", *FLOW, f"Note: {note}")
    assert column(found, "viscosity_pa_s") == [0.0233, 0.0039, 0.00102]


def test_an_empty_column_of_a_creep_gives_no_row(tmp_path: Path) -> None:
    """Which of two a creep is of nobody says: it is a creep, where one was written down."""
    titles = "Panel,Hours,Rusting (ISO 4628-3),Creep from scribe (mm)"
    found = read_lines(
        READER, tmp_path / "a.csv", "Neutral salt spray (NSS)", titles, "K1-07.b1,240,Ri 0,"
    )
    assert column(found, "rating") == ["Ri 0"]
    found = read_lines(
        READER, tmp_path / "b.csv", "Neutral salt spray (NSS)", titles, "K1-07.b1,240,Ri 0,0.4"
    )
    assert column(found, "property") == ["rust", "scribe creep"]


def test_two_collectors_side_by_side_hold(tmp_path: Path) -> None:
    """A letter at the end of a title names which of several: neither of the two is dropped."""
    with pytest.raises(FileHeld) as held:
        read_lines(
            READER,
            tmp_path / "book.csv",
            "Batches: K1-07 K1-08",
            "Date;Collector A (ml/h);Collector B (ml/h);pH;Temp (°C);Salt (g/l)",
            "2026-10-20 08:00;1.50;1.62;6.9;35.1;50",
            "2026-10-21 08:00;1.48;1.60;6.8;35.0;51",
        )
    assert held.value.faults[0].found == (
        "two columns for collected_ml_h (spray collected in an hour on 80 cm2): "
        "'Collector A (ml/h)' and 'Collector B (ml/h)'"
    )


def test_a_value_that_blanks_part_from_its_name_may_have_commas(tmp_path: Path) -> None:
    """`Substrate   steel, blasted` says both, where another line has nothing but dots between."""
    lines = ["Coat system .......... 2 x EP primer"]
    for batch in ("K1-07", "K1-08"):
        lines += ["", "Substrate and preparation  steel, blasted", "Applied on ........ 2025-03-12"]
        lines += ["Panel", "=====", f"{batch}.b1", f"{batch}.b2"]
    found = read_lines(READER, tmp_path / "panels.txt", *lines)
    assert column(found, "substrate") == ["steel, blasted"] * 4


@pytest.mark.parametrize(
    "line", ["Coat system: {}", "Sistema di rivestimento = {}", "Verfsysteem\t{}", "Système = {}"]
)
def test_thicknesses_in_the_name_of_a_system_are_of_that_name(tmp_path: Path, line: str) -> None:
    """How thick a coat is meant to be belongs to the name of the system: nothing was measured."""
    system = "EP primer 160 µm / PUR 60 µm"
    rows = ("Panel\tBatch", "K1-07.b1\tK1-07", "K1-07.b2\tK1-07")
    found = read_lines(READER, tmp_path / "panels.txt", line.format(system), "", *rows)
    assert column(found, "coat_system") == [system] * 2


@pytest.mark.parametrize(
    ("heading", "line"),
    [
        ("Enthaftung am Ritz nach 720 h NSS", "gesamte Breite der Enthaftung über den Ritz in mm"),
        ("Delamination at the scribe after 720 h NSS", "total width over the scribe in mm"),
        ("Décollement à la rayure, 720 h NSS", "largeur totale décollée en mm"),
        ("Delaminatie, 720 h NSS", "total width of delamination, in mm"),
    ],
)
def test_readings_without_a_title_are_what_the_nearest_line_says(
    tmp_path: Path, heading: str, line: str
) -> None:
    """A width over the scribe is no creep from it, though the heading speaks of delamination."""
    rows = ("Panel;1;2;3", "K1-07.b1;3,7;4,9;5,5")
    above = (heading, f"scribe width 0,5 mm; {line}")
    found = read_lines(READER, tmp_path / "scribe.csv", *above, *rows)
    assert column(found, "damage_width_mm") == [3.7, 4.9, 5.5]
    assert all(value != value for value in column(found, "creep_mm"))  # noqa: PLR0124 - NaN
