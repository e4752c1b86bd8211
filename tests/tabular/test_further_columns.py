"""Further columns of a gauge are left out with a remark, unless they may be readings.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.tabular.reader import AnyTable
from tiecoat.tabular.title_parts import parted

KINDS = (FILM, GLOSS, PULL_OFF, RATING, IMPEDANCE)
READER = AnyTable({kind.name: kind for kind in KINDS})


@pytest.mark.parametrize(
    ("title", "cells", "why"),
    [
        ("Kreep [mV]", ("3,1", "2,9", "3,3", "3,0"), "as no result of this kind is in mV"),
        ("T degC", ("22,8", "22,8", "22,9", "22,8"), "as no result of this kind is in degC"),
        ("Vel. MPa/s", ("0,7", "0,6", "0,7", "0,8"), "as no result of this kind is in MPa/s"),
        ("Zork", ("0,91", "0,93", "0,92", "0,90"), "whose values are far from all readings"),
        ("n_peaks", ("102", "114", "97", "120"), "which is a count by its title"),
    ],
)
def test_what_can_be_no_reading_is_left_out(
    tmp_path: Path, title: str, cells: tuple[str, ...], why: str
) -> None:
    """Another unit, numbers far from all readings, a count: each is told."""
    readings = ("105", "115", "111", "108")
    rows = [
        f"K1-07.b{n};{one};{other}"
        for n, (one, other) in enumerate(zip(readings, cells, strict=True))
    ]
    found = read_lines(READER, tmp_path / "film.csv", f"Platte;TSD (µm);{title}", *rows)
    assert column(found, "thickness_um") == [105, 115, 111, 108]
    said = f"assumed: the column '{title}' is left out, {why}"
    assert all(said in one.remarks for one in found)


@pytest.mark.parametrize(
    ("title", "cells"),
    [
        ("Zork", ("101", "120", "98", "117")),  # as large as the readings
        ("TSD neu", ("0,9", "0,8", "0,7", "0,9")),  # shares a word with their title
        ("Zork", ("2", "1", "2", "1")),  # may be those of a coat
    ],
)
def test_what_may_be_a_reading_holds(tmp_path: Path, title: str, cells: tuple[str, ...]) -> None:
    """Values like the readings, a word of their title, numbers of coats."""
    rows = [f"K1-07.b{n};{10 * n + 100};{cell}" for n, cell in enumerate(cells)]
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "film.csv", f"Platte;TSD (µm);{title}", *rows)
    assert [fault.reason for fault in held.value.faults] == [Reason.UNTAKEN_COLUMN]


def test_names_of_spots_are_counted_in_their_order(tmp_path: Path) -> None:
    """Words where the number of a spot belongs are left out, each panel counted by itself."""
    rows = [
        f"K1-07.b{n};{where};1{n}{m}" for n in (1, 2) for m, where in enumerate(("edge", "middle"))
    ]
    found = read_lines(READER, tmp_path / "film.csv", "Panel;Spot;DFT (µm)", *rows)
    assert column(found, "spot") == [1, 2, 1, 2]
    assert column(found, "thickness_um") == [110, 111, 120, 121]


def test_places_beside_the_quantity_are_readings(tmp_path: Path) -> None:
    """`WFT left`, `WFT right`: the quantity and a place in each title."""
    found = read_lines(
        READER, tmp_path / "w.csv", "Panel;WFT left (µm);WFT right (µm)", "K1-07.b1;200;210"
    )
    assert column(found, "thickness_um") == [200, 210]
    assert column(found, "state") == ["wet", "wet"]


def test_grades_with_letters_are_read(tmp_path: Path) -> None:
    """The letter behind a grade of ASTM D610 is left out, and that is said."""
    lines = ("Salt spray", "Panel;Hours;ASTM D610", "K1-07.b1;240;9-S", "K1-07.b2;240;8 - G")
    found = read_lines(READER, tmp_path / "rust.csv", *lines)
    assert column(found, "d610_grade") == [9, 8]
    assert any("left out" in remark for remark in found[0].remarks)


def test_a_number_amid_grades_with_letters_is_one(tmp_path: Path) -> None:
    """No rust, 10, has no distribution to tell."""
    lines = ("Salt spray", "Panel;Hours;ASTM D610", "K1-07.b1;240;10", "K1-07.b2;240;8-P")
    found = read_lines(READER, tmp_path / "rust.csv", *lines)
    assert column(found, "d610_grade") == [10, 8]


def test_pixels_of_rust_are_no_rating(tmp_path: Path) -> None:
    """A count of something stands for nothing but itself."""
    lines = ("Salt spray", "Panel;t_exp_h;px_rust;Ri", "K1-07.b1;240;1200;1", "K1-07.b2;240;0;0")
    found = read_lines(READER, tmp_path / "rust.csv", *lines)
    assert [str(rating)[-1] for rating in column(found, "rating")] == ["1", "0"]


def test_beside_a_word_of_the_kind_bare_readings_are_enough(tmp_path: Path) -> None:
    """An angle says that numbered columns are gloss; what is far from all of them is left out."""
    lines = (
        "Panel;ANG;1;2;3;4;OFF",
        *(f"K1-07.b{n};60;{n}8,1;{n}8,4;{n}7,9;{n}8,0;0,1" for n in (3, 4)),
    )
    found = read_lines(READER, tmp_path / "gloss.csv", *lines)
    assert column(found, "gloss_gu") == [38.1, 38.4, 37.9, 38.0, 48.1, 48.4, 47.9, 48.0]
    assert column(found, "angle_deg") == [60.0] * 8


def _sweep(title: str, cells: list[str]) -> tuple[str, ...]:
    head = ("Panel;K1-07.b1", "Area;10 cm2", "Immersion;48 h", "")
    points = (f"{10**n};{3 * 10 ** (7 - n)};-{80 - n};{cell}" for n, cell in enumerate(cells))
    return (*head, f"f (Hz);|Z| (Ohm);phase (deg);{title}", *points)


def test_along_a_sweep_another_reading_runs_with_the_first(tmp_path: Path) -> None:
    """A mark from 0 to 100 lies among readings over decades, but not near that of its row."""
    marks = ["97", "99", "94", "12", "96", "98", "7", "9"]
    found = read_lines(READER, tmp_path / "eis.csv", *_sweep("Zork", marks))
    assert len(column(found, "frequency_hz")) == len(marks)
    again = [f"{(2.7 + n % 3 / 4) * 10 ** (7 - n):g}" for n in range(8)]
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "twice.csv", *_sweep("Zork", again))
    assert [fault.reason for fault in held.value.faults] == [Reason.UNTAKEN_COLUMN]


def test_a_result_in_the_unit_of_the_head_is_read(tmp_path: Path) -> None:
    """`UNITS` above, `RES` over the numbers; what the gauge was set to is no reading."""
    head = ("UNITS,MPa", "DOLLY,20 mm", "NO,ID,RES,LIM,MODE")
    rows = ("1,K1-07.b1,7.04,0.00,B", "2,K1-07.b1,6.51,0.00,B", "3,K1-07.b1,7.82,0.00,C")
    found = read_lines(READER, tmp_path / "memory.csv", *head, *rows)
    assert column(found, "strength_mpa") == [7.04, 6.51, 7.82]


def test_rows_below_a_summary_sum_up_too(tmp_path: Path) -> None:
    """Whatever their words: they stand where others have the number of a reading."""
    rows = ("1;60,1;71,2", "2;58,4;70,9", "3;61,7;73,3", "Mean;60,1;71,8")
    below = ("High;61,7;73,3", "Low;58,4;70,9", "Zork %;2,7;1,8")
    lines = ("Film thickness;dry", "Unit;µm", "", "Reading;K1-07.b1;K1-07.b2", *rows, *below)
    found = read_lines(READER, tmp_path / "film.csv", *lines)
    assert sorted(map(float, map(str, column(found, "thickness_um")))) == [
        58.4,
        60.1,
        61.7,
        70.9,
        71.2,
        73.3,
    ]


def test_what_was_not_read_is_no_reading(tmp_path: Path) -> None:
    """`n.r.` in a cell leaves the others."""
    lines = ("Panel;DFT (µm)", "K1-07.b1;110", "K1-07.b2;n.r.", "K1-07.b3;114")
    found = read_lines(READER, tmp_path / "film.csv", *lines)
    assert column(found, "thickness_um") == [110, 114]


def test_a_summary_that_is_none_of_the_readings_holds(tmp_path: Path) -> None:
    """A mean in a row of its own lies among the readings above it."""
    rows = [f"{n};{value}" for n, value in enumerate((121, 118, 125), 1)]
    lines = ("Panel;K1-07.b1", "", "Spot;DFT (µm)", *rows)
    assert len(read_lines(READER, tmp_path / "good.csv", *lines, "Mean;121,3")) == 3
    with pytest.raises(FileHeld, match=r"Mean 81\.3 below 3 readings from 118 to 125"):
        read_lines(READER, tmp_path / "bad.csv", *lines, "Mean;81,3")


@pytest.mark.parametrize(
    ("raw", "name", "unit"),
    [
        ("Zre_ohm_cm2", "Zre", "ohm cm2"),
        ("cell_area_cm2", "cell_area", "cm2"),
        ("rust_area_pct", "rust_area", "%"),
        ("imm_d", "imm", "d"),
        ("density / g per ml", "density", "g per ml"),
        ("run_A", "run_A", None),
        ("scan_id", "scan_id", None),
    ],
)
def test_units_that_underscores_join(raw: str, name: str, unit: str | None) -> None:
    """As programs write titles; the letter of a run is no ampere."""
    assert (parted(raw).name, parted(raw).unit) == (name, unit)


@pytest.mark.parametrize(
    ("title", "logarithms"),
    [
        ("lg f", ("5", "3", "1")),
        ("log10 f", ("5.000", "3.000", "1.000")),
        ("log f (Hz)", ("5", "3", "1")),
    ],
)
def test_a_logarithm_beside_its_number_is_the_same_twice(
    tmp_path: Path, title: str, logarithms: tuple[str, ...]
) -> None:
    """A spreadsheet computes it; where it is no logarithm of the number, one of both is wrong."""
    head = ("Panel;K1-07.b1", "Area;10 cm2", "Immersion;48 h", "")
    points = ("100000;{};110;-2900", "1000;{};3125;-186410", "10;{};1251000;-12410000")

    def read(columns: tuple[str, ...]) -> list[object]:
        rows = [point.format(one) for point, one in zip(points, columns, strict=True)]
        titles = f"f / Hz;{title};Z' (ohm);Z'' (ohm)"
        return column(
            read_lines(READER, tmp_path / "eis.csv", *head, titles, *rows), "frequency_hz"
        )

    assert read(logarithms) == [100000, 1000, 10]
    with pytest.raises(FileHeld):
        read(("5.00", "3.50", "1.00"))


def test_a_number_of_each_panel_counts_the_samples(tmp_path: Path) -> None:
    """A gauge numbers the groups of its memory; a number that changes within a panel is held."""
    head = ("Adhesion tester;A3", "Units;psi", "Dolly;20 mm", "")
    rows = "{};1;K1-07.b1;1311\n{};2;K1-07.b1;1346\n{};1;K1-07.b2;1293\n{};2;K1-07.b2;1395"

    def read(*groups: int) -> list[object]:
        lines = (*head, "Grp;Tst;Panel;Peak", rows.format(*groups))
        return column(read_lines(READER, tmp_path / "pull.csv", *lines), "strength_mpa")

    assert read(1, 1, 2, 2) == pytest.approx([9.039, 9.280, 8.915, 9.618], abs=1e-3)
    with pytest.raises(FileHeld):
        read(1, 2, 1, 1)
