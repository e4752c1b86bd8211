"""Notes in sections and grids, determinations behind an id, and tables of one thing each.

No source: how people type notes and lay out sheets, from common practice.
"""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.failure_words import in_notation
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.id_looks import as_typed
from tiecoat.tabular.reader import AnyTable
from tiecoat.tabular.title_parts import parted, readings

KINDS = (CHAMBER, DENSITY, FILM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


def read(folder: Path, *lines: str) -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / "notes.txt", *lines)


@pytest.mark.parametrize(
    ("heading", "wet", "dry"),
    [
        ("Film thickness in µm", "wet (comb)", "dry"),
        ("Schichtdicken, Angaben in µm", "nass (Kamm), 14.04.2026", "trocken, 24.04.2026"),
        ("Épaisseurs (µm)", "humide", "sec"),
        ("Espesores (µm)", "húmedo", "seco"),
        ("Spessori (µm)", "umido", "secco"),
        ("Grubość powłoki (µm)", "na mokro", "na sucho"),
        ("Laagdikte (µm)", "nat", "droog"),
        ("Tloušťka (µm)", "za mokra", "za sucha"),
    ],
)
def test_a_line_above_some_rows_of_a_note_counts_for_these(
    tmp_path: Path, heading: str, wet: str, dry: str
) -> None:
    """Behind an empty line it heads what follows, until another does."""
    rows = ("K7-01.b1: 160 / 150 / 170", "K7-01.b2: 155 / 150 / 165")
    found = read(tmp_path, heading, "", wet, *rows, "", dry, rows[0].replace("1", "2", 1))
    assert column(found, "state") == ["wet"] * 6 + ["dry"] * 3
    assert column(found, "spot") == [1.0, 2.0, 3.0] * 3


def test_an_angle_alone_heads_the_rows_below_it(tmp_path: Path) -> None:
    """Also without an empty line before it."""
    rows = ("K7-01.b1: 32,4 33,2", "K7-01.b2: 30,9 32,6")
    found = read(tmp_path, "Brillo", "20°", *rows, "60°", *rows)
    assert column(found, "angle_deg") == [20.0] * 4 + [60.0] * 4


def test_a_remark_between_rows_takes_nothing_from_the_heading(tmp_path: Path) -> None:
    """What stood directly below the title still counts for the rows behind the remark."""
    found = read(
        tmp_path,
        "Pull-off, dolly 20 mm",
        "",
        "K7-01.b1, dolly 1: 9.5 MPa, 100% B",
        "K7-01.b1, dolly 2: 9.1 MPa, 60% B, 40% -/Y",
        "",
        "new batch of glue",
        "K7-01.b2, dolly 1: 9.3 MPa, 100% B",
    )
    assert column(found, "dolly_diameter_mm") == [20.0] * 3
    assert column(found, "determination") == [1.0, 2.0, 1.0]
    assert column(found, "failure") == ["100% B", "60% B, 40% -/Y", "100% B"]


@pytest.mark.parametrize(
    "word", ["dolly", "Stempel", "plot", "sufridera", "pistoncino", "krążek", "terč"]
)
def test_a_dolly_named_behind_an_id_is_a_determination(tmp_path: Path, word: str) -> None:
    """Behind a comma or a blank."""
    rows = [f"K7-01.b{n}{mark} {word} {n}: 9.{n} MPa, 100% B" for n, mark in ((1, ","), (2, ""))]
    found = read(tmp_path, "dolly 20 mm", "", *rows)
    assert column(found, "determination") == [1.0, 2.0]
    assert column(found, "strength_mpa") == [9.1, 9.2]


def test_a_grid_of_readings_below_an_id_is_numbered_row_by_row(tmp_path: Path) -> None:
    """Three by three spots are nine."""
    grid = ("115  112  118", "116  120  123", "119  126  101")
    found = read(tmp_path, "DFT in µm", "", "K7-01.b1", *grid, "", "Vzorek K7-01.b2", *grid)
    assert column(found, "spot") == [float(n) for n in range(1, 10)] * 2
    assert column(found, "thickness_um")[:4] == [115.0, 112.0, 118.0, 116.0]


@pytest.mark.parametrize(
    "grid",
    [
        ("1  115  112", "2  116  120"),  # the number of the row
        ("115  112  118", "116  120"),
        ("115  112  118  115.0", "116  120  123  119.7"),  # the mean
        ("115  112  118  115", "116  120  123  120"),
    ],
)
def test_a_grid_with_a_number_or_a_mean_in_each_row_is_held(
    tmp_path: Path, grid: tuple[str, ...]
) -> None:
    """And one whose rows differ in length: nothing tells which numbers are readings."""
    found: list[Measurement] = []
    with suppress(FileHeld):
        found = read(tmp_path, "DFT in µm", "", "K7-01.b1", *grid, "", "K7-01.b2", *grid)
    assert found == []


def test_a_day_before_an_id_is_that_of_the_row(tmp_path: Path) -> None:
    """As in a list of what was measured when."""
    found = read(
        tmp_path,
        "Flow cup ISO 2431 6 mm, 23 °C",
        "",
        "9.2.2026   K7-01   efflux 41,5 s",
        "20.2.2026  K7-02   efflux 48,0 s",
    )
    assert [one.measured_at.day for one in found if one.measured_at] == [9, 20]


@pytest.mark.parametrize(
    ("titles", "states"),
    [
        ("Panel,Wet 1 (um),Wet 2 (um),Dry 1 (um),Dry 2 (um)", "wwdd"),
        ("Panel,Dry 1 (um),Wet 1 (um),Dry 2 (um),Wet 2 (um)", "dwdw"),
        ("płytka,mokra 1 [um],mokra 2 [um],sucha 1 [um],sucha 2 [um]", "wwdd"),
    ],
)
def test_titles_of_a_closed_word_and_a_number_in_the_unit_of_a_kind(
    tmp_path: Path, titles: str, states: str
) -> None:
    """They tell the state and the spot; the unit tells the kind."""
    found = read(tmp_path, titles, "K7-01.b1,175,225,109,106", "K7-01.b2,200,225,106,105")
    said = {"w": "wet", "d": "dry"}
    assert column(found, "state") == [said[letter] for letter in states] * 2
    assert column(found, "thickness_um")[:4] == [175.0, 225.0, 109.0, 106.0]


def test_a_total_beside_a_column_that_nobody_knows_is_never_passed_over(tmp_path: Path) -> None:
    """The other is then no thickness of the whole system."""
    with pytest.raises(FileHeld):
        read(
            tmp_path, "Panel,Spot,Primer (µm),Total (µm)", "K7-01.b1,1,82,140", "K7-01.b1,2,84,141"
        )


def test_columns_of_batches_hold_what_their_unit_is_of(tmp_path: Path) -> None:
    """Where one quantity alone of the kind has it."""
    lines = ("1,8.6,7.7", "10,1.86,1.7", "100,0.91,0.85", "Temperature 23 °C")
    found = read(tmp_path, "Shear rate (1/s),K7-01 (Pa.s),K7-02 (Pa.s)", *lines)
    assert [one.batch for one in found] == ["K7-01", "K7-02"]
    assert column(found, "viscosity_pa_s") == [8.6, 1.86, 0.91, 7.7, 1.7, 0.85]


STACKED = (
    "Hechtproef;dolly 20 mm;",
    "Hechtsterkte (MPa);;",
    "Meting;K7-01.b1;K7-01.b2",
    "1;8,35;6,96",
    "2;6,88;7,32",
    ";;",
    "Breukbeeld;;",
    "Meting;K7-01.b1;K7-01.b2",
    "1;80% B / 20% A/B;100% B",
    "2;100% B;100% A/B",
)


def test_strengths_and_failures_in_two_tables_are_of_the_same_dollies(tmp_path: Path) -> None:
    """They have the same panels side by side and the same numbers."""
    found = read(tmp_path, *STACKED)
    told = {
        (
            one.panel,
            *(one.columns[name][0] for name in ("determination", "strength_mpa", "failure")),
        )
        for one in found
    }
    assert ("K7-01.b1", 1.0, 8.35, "80% B / 20% A/B") in told
    assert ("K7-01.b2", 2.0, 7.32, "100% A/B") in told
    assert len(told) == 4


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("2;100% B;100% A/B", "3;100% B;100% A/B"),
        ("Meting;K7-01.b1;K7-01.b2", "Meting;K7-01.b2;K7-01.b1"),
    ],
)
def test_two_tables_of_other_dollies_are_held(tmp_path: Path, old: str, new: str) -> None:
    """Other numbers, or the panels in another order."""
    lines = [*STACKED]
    lines[len(lines) - 1 - lines[::-1].index(old)] = new
    with pytest.raises(FileHeld):
        read(tmp_path, *lines)


def test_words_of_a_state_under_a_title_for_an_id(tmp_path: Path) -> None:
    """A record calls `Sample` what was done to it; words of nothing are no state."""
    record = (
        "Batch ....... K7-0{0}|Sample ...... {1}|Rest ........ {2} after mixing"
        "|Temperature . 23.1 °C|Density ..... 1.4{0} g/mL|"
    )
    lines = [
        line
        for n, (state, rest) in enumerate((("as mixed", "10 min"), ("degassed", "2 h")), 1)
        for line in record.format(n, state, rest).split("|")
    ]
    found = read(tmp_path, *lines)
    assert column(found, "state") == ["as mixed", "deaerated"]
    assert column(found, "elapsed_s") == [600.0, 7200.0]
    with pytest.raises(FileHeld):
        read(tmp_path, *(line.replace("degassed", "left") for line in lines))


@pytest.mark.parametrize(
    ("title", "collected"),
    [
        ("Niederschlag (ml/24 h)", 36.0),
        ("Raccolta (ml in 24 h su 80 cm²)", 36.0),
        ("Niederschlag in 24 h (ml)", 36.0),
        ("opad [ml/h]", 1.5),
    ],
)
def test_what_is_collected_in_a_day_is_an_hours_24_times(
    tmp_path: Path, title: str, collected: float
) -> None:
    """In whatever way the day is said."""
    found = read(tmp_path, f"Charge;Datum;{title};pH", f"K7-01;27.05.2026;{collected};6,9")
    assert column(found, "collected_ml_h") == [1.5]


def test_a_volume_alone_is_not_collected_in_an_hour(tmp_path: Path) -> None:
    """Nothing says in which time."""
    with pytest.raises(FileHeld):
        read(tmp_path, "Charge;Datum;Niederschlag (ml);pH", "K7-01;27.05.2026;36;6,9")


def test_units_of_titles_of_scripts() -> None:
    """Underscores part them too: shear_rate_1/s, temp_c."""
    assert parted("shear_rate_1/s").unit == "1/s"
    assert [other.unit for other in readings(parted("temp_c"))] == ["°C"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("B 90% Y 10%", "90 % B, 10 % Y"),
        ("70% coesiva nel primer, 30% adesivo (colla)", "70 % B, 30 % Y"),
        ("A/B 20 % B 80 %", "20 % A/B, 80 % B"),
    ],
)
def test_failures_with_their_share_behind_or_their_glue_explained(text: str, told: str) -> None:
    """As people write them without a comma."""
    assert in_notation(text) == told


def test_an_id_is_typed_with_blanks_around_its_signs() -> None:
    """Never with other letters or digits."""
    look = re.compile(r"VF\.26\d\d#\d")
    assert as_typed(look, "VF.2610 #2") == as_typed(look, "VF.2610 2") == "VF.2610#2"
    assert as_typed(look, "VF 26 10 #2") is None
