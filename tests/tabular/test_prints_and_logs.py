"""What instruments print and log: marked lines, names and values in a line, blocks, units apart.

No source: how instruments write their memories, from common practice.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (DENSITY, FILM, FOAM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})
FAILED = ("cohesive coat 1", "cohesive coat 1", "glue 20 %, cohesive coat 1 80 %")


def read(folder: Path, *lines: str, name: str = "memory.txt") -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / name, *lines)


def panels(found: list[Measurement]) -> list[str | None]:
    """Return the panel of each row of film thickness, as it is kept in capitals or not."""
    told = [(one.panel, row) for one in found for row in one.columns["thickness_um"]]
    return [panel.upper() if panel else panel for panel, _ in told]


@pytest.mark.parametrize("mark", ["*", "$", "#", "%"])
def test_marked_lines_between_readings_say_whose_the_next_are(tmp_path: Path, mark: str) -> None:
    """However many delimiters they have, they are no rows; a word says which holds the titles."""
    found = read(
        tmp_path,
        f"{mark}GAUGE;T-9;SN 17",
        f"{mark}HDR;Pt;Thickness/um;Probe type",
        f"{mark}SET;1;K7-01.b1;2026-04-14 09:12",
        "1;141;A",
        "2;139;A",
        f"{mark}END;N=2;AV=140.0;SD=1.4",
        f"{mark}SET;2;K7-01.b2;2026-04-14 09:20",
        "1;152;A",
        "2;155;A",
        f"{mark}END;N=2;AV=153.5;SD=2.1",
    )
    assert column(found, "thickness_um") == [141.0, 139.0, 152.0, 155.0]
    assert panels(found) == ["K7-01.B1"] * 2 + ["K7-01.B2"] * 2


def test_marked_names_and_values_count_for_the_table_below(tmp_path: Path) -> None:
    """With a unit behind the value, too."""
    found = read(
        tmp_path,
        "$LOT;K7-01",
        "$BATH;22.5;degC",
        "$MADE;stirred",
        "time (s);foam height (mm)",
        "0;31.5",
        "30;20.5",
    )
    assert [one.batch for one in found] == ["K7-01"]
    assert column(found, "foam_height_mm") == [31.5, 20.5]


@pytest.mark.parametrize(
    "line",
    [
        "{n:03d}|panel={id}|dolly=20.0mm|strength={value}MPa|failure={failed}",
        "{n:03d};panel={id};dolly=20.0mm;strength={value}MPa;failure={failed}",
    ],
)
def test_lines_of_names_and_values_are_the_rows_of_a_table(tmp_path: Path, line: str) -> None:
    """The names are its titles, and each cell has its unit."""
    told = [("K7-01.b1", 5.5, "B"), ("K7-01.b1", 6.25, "B"), ("K7-01.b2", 7.0, "A/B")]
    rows = [
        line.format(n=n, id=panel, value=value, failed=failed)
        for n, (panel, value, failed) in enumerate(told, 1)
    ]
    found = read(tmp_path, "** pull-off unit, memory of 14.04.2026 **", *rows, "** 3 tests **")
    assert column(found, "strength_mpa") == [5.5, 6.25, 7.0]
    assert column(found, "dolly_diameter_mm") == [20.0] * 3


def test_a_line_that_lacks_a_name_of_a_log_holds_it(tmp_path: Path) -> None:
    """What was cut off is not left out without a word."""
    rows = [f"panel=K7-01.b1|dolly=20mm|strength={n}.5MPa|failure=B" for n in (5, 6, 7)]
    with pytest.raises(FileHeld):
        read(tmp_path, "pull-off", *rows, "panel=K7-01.b1|dolly=20mm|strength=8.5MPa")


def test_titles_that_are_only_units_say_what_stands_below_them(tmp_path: Path) -> None:
    """1/s is a rate and no time, and min:s runs along a sweep and is no time of day."""
    found = read(
        tmp_path,
        "Sample: K7-01",
        "Run date: 2026-04-23 15:48",
        "pt,min:s,cP,dyn/cm²,1/s,°C",
        "1,00:30,8800,74.8,0.850,23.1",
        "2,01:30,5206,88.5,1.700,23.1",
        "3,02:30,3262,110.9,3.400,23.0",
    )
    assert column(found, "viscosity_pa_s") == pytest.approx([8.8, 5.206, 3.262])
    assert column(found, "shear_stress_pa") == pytest.approx([7.48, 8.85, 11.09])
    assert column(found, "shear_rate_per_s") == pytest.approx([0.85, 1.7, 3.4])
    assert column(found, "temperature_c") == [23.1, 23.1, 23.0]
    assert column(found, "elapsed_s") == [30.0, 90.0, 150.0]


@pytest.mark.parametrize(
    ("unit", "values", "um"),
    [
        (["um"] * 3, ["141.5", "139.0", "152.0"], [141.5, 139.0, 152.0]),
        (["mil"] * 3, ["5.00", "6.00", "5.50"], [127.0, 152.4, 139.7]),
        (["um", "mil", "um"], ["141.5", "6.00", "152.0"], [141.5, 152.4, 152.0]),
    ],
)
def test_a_column_of_units_counts_for_the_numbers_before_it(
    tmp_path: Path, unit: list[str], values: list[str], um: list[float]
) -> None:
    """One unit for all, or each behind its number."""
    rows = [f"{n};K7-01.b1;{v};{u}" for n, (v, u) in enumerate(zip(values, unit, strict=True), 1)]
    found = read(tmp_path, "film: dry, thickness", "No;Panel;Reading;Unit", *rows)
    assert column(found, "thickness_um") == pytest.approx(um)


@pytest.mark.parametrize(
    ("told", "title"),
    [
        ("Units: psi", "Peak"),
        ("Dolly size: 20 mm\tUnit: psi\tRate: 90 psi/s", "Peak"),
        ("PULLER  LOG 3      UNIT psi", "Max"),
        ("Einheit psi", "Spitzenwert"),
    ],
)
def test_a_unit_above_says_what_a_peak_is(tmp_path: Path, told: str, title: str) -> None:
    """In psi it is a strength, though a peak may be one of force."""
    rows = [
        f"{n}\tK7-01.b1\t{psi}\t{failed}"
        for n, (psi, failed) in enumerate(zip((900, 1000, 950), FAILED, strict=True), 1)
    ]
    found = read(
        tmp_path,
        "Adhesion tester memory",
        told,
        "Dolly: 20 mm",
        "",
        f"No\tPanel\t{title}\tFailure",
        *rows,
    )
    # 1 psi = 6894.757 Pa (NIST SP 811, appendix B)
    expected = [psi * 6894.757e-6 for psi in (900, 1000, 950)]
    assert column(found, "strength_mpa") == pytest.approx(expected, rel=1e-6)


def test_capitals_of_an_old_viscometer_are_units(tmp_path: Path) -> None:
    """DYN/CM2 is a tenth of a pascal."""
    found = read(
        tmp_path,
        "LOT,RATE(1/S),STRESS(DYN/CM2),VISC(CP),TEMP(C)",
        "K7-01,2.58,97.4,3775,23.1",
        "K7-01,6.45,134.8,2089,23.0",
    )
    assert column(found, "shear_stress_pa") == pytest.approx([9.74, 13.48])


def test_nouns_and_their_units_in_a_line_count_for_titles_made_of_them(tmp_path: Path) -> None:
    """Heights in mm is of the height of the foam and of the liquid."""
    found = read(
        tmp_path,
        "Rührtest, 1500 U/min",
        "A. Weber   22.04.2026      Höhen in mm, Zeit in min nach dem Rühren",
        "",
        "Charge     Zeit   Schaumhöhe   Flüssigkeitshöhe",
        "K7-01         0         24,5               67,5",
        "K7-01         1         20,6               67,9",
        "K7-01         3         14,6               68,5",
    )
    assert column(found, "elapsed_s") == [0.0, 60.0, 180.0]
    assert column(found, "foam_height_mm") == [24.5, 20.6, 14.6]


def test_blocks_of_names_with_readings_in_a_line_are_a_row_for_each(tmp_path: Path) -> None:
    """What sums them up below is none of them."""
    block = (
        "SPECIMEN  K7-01.b{n}",
        "ANGLE     60 deg",
        "READINGS  48.{n}  47.8  49.1",
        "AVG       48.3",
        "DEV       0.7",
    )
    lines = [line.format(n=n) for n in (1, 2) for line in (*block, "")]
    found = read(tmp_path, "GLOSS PRINTER", "DATE 2026-06-01", "", *lines)
    assert column(found, "gloss_gu") == [48.1, 47.8, 49.1, 48.2, 47.8, 49.1]
    assert column(found, "angle_deg") == [60.0] * 6


def test_lines_of_statistics_below_readings_are_no_rows(tmp_path: Path) -> None:
    """The last of them as little as the others."""
    lines = []
    for n in (1, 2):
        lines += [f"SET {n}  K7-01.b{n}  DFT  25.03.2026", "  160  163  168", "  161  167  172"]
        lines += ["  N 6   MEAN 165.2   SD 4.3   MIN 160   MAX 172", ""]
    found = read(tmp_path, "MEMORY   PROBE F1   UNIT um", "", *lines)
    assert column(found, "thickness_um") == [160.0, 163.0, 168.0, 161.0, 167.0, 172.0] * 2


def test_grids_of_letters_and_numbers_are_places_of_a_panel(tmp_path: Path) -> None:
    """Row by row, each panel from one."""
    grid = ("\tA\tB\tC", "1\t120.3\t125.4\t120.6", "2\t124.4\t122.6\t120.7")
    found = read(
        tmp_path,
        "Dry film thickness map, µm",
        "",
        "Panel K7-01.b1",
        *grid,
        "",
        "Panel K7-01.b2",
        *grid,
    )
    assert column(found, "thickness_um") == [120.3, 125.4, 120.6, 124.4, 122.6, 120.7] * 2
    assert column(found, "spot") == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0] * 2


def test_determinations_numbered_in_brackets_are_rows_each(tmp_path: Path) -> None:
    """The first of them is in no unit of one."""
    block = ("Lot ....: {lot}", "State ....: as mixed", "Temperature ....: 23.0 °C")
    values = ("Density (1) ..: 1.31{n} g/ml", "Density (2) ..: 1.30{n} g/ml")
    lines = [
        line.format(lot=lot, n=n)
        for n, lot in enumerate(("K7-01", "K7-02"), 1)
        for line in (*block, *values, "")
    ]
    found = read(tmp_path, "Test report 88, pycnometer", "", *lines)
    assert column(found, "density_g_cm3") == pytest.approx([1.311, 1.301, 1.312, 1.302])


def test_tests_named_before_their_values_are_told_apart(tmp_path: Path) -> None:
    """`Test 1 – strength` is the strength of the first test."""
    found = read(
        tmp_path,
        "Pull-off; dollies 20 mm",
        "Panel;K7-01.b1;K7-01.b2",
        "Test 1 – strength (MPa);7.54;8.12",
        "Test 1 – failure;100 % B;100 % B",
        "Test 2 – strength (MPa);8.92;5.61",
        "Test 2 – failure;A/B 20 %, B 80 %;100 % B",
        name="tests.csv",
    )
    assert sorted(column(found, "strength_mpa")) == [5.61, 7.54, 8.12, 8.92]


def test_newtons_stand_beside_a_title_that_is_a_unit_too(tmp_path: Path) -> None:
    """N is a force there, and no number of anything."""
    head = (
        "Pull-off, dolly 20 mm",
        "------------",
        "PANEL: K7-01.b1",
        " No.   MPa     N       FAILURE",
    )
    rows = ["  1   5.06   1589    adhesive A/B", "  2   4.81   1511    cohesive B"]
    found = read(tmp_path, *head, *rows)
    assert column(found, "force_n") == [1589.0, 1511.0]


def test_an_angle_between_an_id_and_its_readings_counts_for_them(tmp_path: Path) -> None:
    """A mean behind them is none."""
    found = read(
        tmp_path,
        "Gloss readings of 9 April 2026 (GU)",
        "",
        "K7-01.b1   60° :  36.3   35.6   36.8     mean 36.2",
        "K7-01.b1   85° :  46.8   49.7   48.9     mean 48.5",
    )
    assert column(found, "angle_deg") == [60.0] * 3 + [85.0] * 3
    assert column(found, "gloss_gu") == [36.3, 35.6, 36.8, 46.8, 49.7, 48.9]


def test_what_is_said_of_every_row_and_is_no_id_is_no_panel(tmp_path: Path) -> None:
    """A sample of one letter is the probe of a gauge, where the head names the panel."""
    rows = [f"{n}, {um}, F" for n, um in enumerate((141, 139, 152), 1)]
    found = read(tmp_path, "Units: um", "", "Batch name: K7-01.b1", "#, DFT, Probe", *rows)
    assert panels(found) == ["K7-01.B1"] * 3


def test_a_tolerance_is_no_temperature_and_a_month_no_cup(tmp_path: Path) -> None:
    """23 +/- 0.5 °C is 23 °C, and a cup that is checked in 09.2026 is of no size."""
    found = read(
        tmp_path,
        "Efflux time, ISO 2431 cup no. 4, 23 +/- 0.5 °C",
        "",
        "Batch      Run  Efflux time (min:s)",
        "K7-01      1    1:09",
        "K7-01      2    1:12",
        "",
        "next check of the cup 09.2026",
    )
    assert column(found, "efflux_s") == [69.0, 72.0]
    assert column(found, "temperature_c") == [23.0, 23.0]


@pytest.mark.parametrize(
    "said",
    ["N 5   MEAN 140.7   MAX 152", "N 6   MEAN 138.0   MAX 152", "N 6   MEAN 140.7   MAX 135"],
)
def test_statistics_that_are_not_of_the_readings_above_hold(tmp_path: Path, said: str) -> None:
    """Their count, with it their mean, and their most."""
    lines = ("Film thickness, um", "", "K7-01.b1", "  141  139  152", "  137  136  139")
    right = "N 6   MEAN 140.7   MAX 152"
    assert len(column(read(tmp_path, *lines, right), "thickness_um")) == 6
    with pytest.raises(FileHeld):
        read(tmp_path, *lines, said)


@pytest.mark.parametrize(
    ("said", "method"),
    [
        ("Stirring 90 s at 1800 rpm, then left", "stirred"),
        ("House method 7, 90 s", "not stated"),
        ("not stirred, tilted 3 times", "not stirred, tilted 3 times"),
        ("tumbled", "tumbled"),  # a word that nobody knows may mean what no word of the kind does
    ],
)
def test_a_free_text_beside_method_tells_it_by_one_word_or_not_at_all(
    tmp_path: Path, said: str, method: str
) -> None:
    """What holds no word for a method is none; what denies one stays, and the kind refuses it."""
    found = read(
        tmp_path,
        *("Lot\tK3-11", f"Procedure\t{said}", ""),
        *("t/s\th_foam/mm\tT/°C", "0\t31\t23", "60\t20\t23"),
    )
    assert set(column(found, "method")) == {method}


def test_a_method_that_columns_tell_needs_no_word_in_the_head(tmp_path: Path) -> None:
    """What the head says beside it is the name of a programme."""
    found = read(
        tmp_path,
        "Lot;K3-11",
        "Method;Sweep 25 C, plate 50",
        "",
        "shear rate (1/s);shear stress (Pa);viscosity (Pa·s);T (°C)",
        "1;4;4;25",
        "10;20;2;25",
    )
    assert set(column(found, "method")) == {"rotational"}


def test_units_of_viscometers_in_capitals_and_per(tmp_path: Path) -> None:
    """D/CM2 is a dyne on a square centimetre, 0.1 Pa; g per ml is g/cm³."""
    found = read(
        tmp_path,
        "LOT: K3-11",
        "",
        "RATE 1/SEC;STRESS D/CM2;VISC CP;TEMP C",
        "10.0;100.0;1000.0;25.0",
        "20.0;160.0;800.0;25.0",
    )
    assert column(found, "shear_stress_pa") == [10.0, 16.0]
    found = read(tmp_path, "Lot,density / g per ml,temp / C", "K3-11,1.31,23", "K3-12,1.35,23")
    assert column(found, "density_g_cm3") == [1.31, 1.35]


def test_slips_with_a_nameless_day_one_below_the_other(tmp_path: Path) -> None:
    """The heading names what is determined; the day below it is no value of that."""
    slip = (
        "------ DENSITY ------",
        "{day}-Apr-2026      {clock}",
        "Sample ID    {lot}",
        "Result No.         {tenth}",
        "Sinker vol.  10.0012 ccm",
        "Liquid temp.    23.{tenth} C",
        "Density      1.3{tenth}0 g/ccm",
        "",
        "Signature ..........",
        "",
    )
    told = (("14", "09:10", "K3-11", 1), ("15", "09:20", "K3-12", 2), ("16", "09:40", "K3-13", 4))
    found = read(
        tmp_path,
        *(
            line.format(day=day, clock=clock, lot=lot, tenth=tenth)
            for day, clock, lot, tenth in told
            for line in slip
        ),
    )
    assert column(found, "density_g_cm3") == [1.31, 1.32, 1.34]
    assert column(found, "temperature_c") == [23.1, 23.2, 23.4]
    assert [one.batch for one in found] == ["K3-11", "K3-12", "K3-13"]
    days = [one.measured_at.day for one in found if one.measured_at is not None]
    assert days == [14, 15, 16]


def test_a_time_beside_the_date_of_each_block_is_the_clock(tmp_path: Path) -> None:
    """And no time since mixing: each block is a determination of its own."""
    block = (
        "------------------------",
        "     DENSITY RESULT",
        "------------------------",
        "Date        16.04.2026",
        "Time             {clock}",
        "ID               {lot}",
        "Condition    deaerated",
        "Temp. liquid  23.0 deg C",
        "DENSITY       1.3{tenth} g/cm3",
        "Signature: ..........",
        "",
    )
    told = (("10:07", "K3-11", 1), ("10:16", "K3-11", 2), ("10:25", "K3-12", 4))
    found = read(
        tmp_path,
        *(line.format(clock=c, lot=lot, tenth=n) for c, lot, n in told for line in block),
    )
    assert column(found, "density_g_cm3") == [1.31, 1.32, 1.34]
    assert all(value != value for value in column(found, "elapsed_s"))  # noqa: PLR0124 - NaN


def test_runs_below_each_other_share_what_the_top_tells(tmp_path: Path) -> None:
    """How the foam was made stands above all; a current is no reading, whatever its symbol is."""
    head = "t/s\tVfoam/mL\tT/°C\tI/mA"
    found = read(
        tmp_path,
        "FOAM export",
        "sample\tK3-11",
        "gas\tair, 0.20 L/min for 30 s (sparging)",
        *("", "[run 1]", head, "0\t120\t23\t4.01", "60\t90\t23\t4.05"),
        *("", "[run 2]", head, "0\t110\t23\t4.02", "60\t80\t23\t4.11"),
    )
    assert column(found, "foam_volume_ml") == [120.0, 90.0, 110.0, 80.0]
    assert column(found, "determination") == [1.0, 1.0, 2.0, 2.0]
    assert set(column(found, "method")) == {"aerated"}


def test_blocks_of_a_gauge_share_its_mode(tmp_path: Path) -> None:
    """Their statistics, of fewer fields, are none of the readings."""
    block = (
        "",
        "NAME;{0}",
        "N;VALUE;UNIT",
        "1;{1}1;um",
        "2;{1}5;um",
        "MEAN;{1}3;um",
        "SDEV;2.8;um",
    )
    blocks = (("K7-01.b1", 11), ("K7-01.b2", 12))
    lines = [line.format(*of) for of in blocks for line in block]
    found = read(tmp_path, "GAUGE;SN 17", "MODE;DFT", *lines, name="dump.csv")
    assert column(found, "thickness_um") == [111.0, 115.0, 121.0, 125.0]
    assert set(column(found, "state")) == {"dry"}


def test_times_as_titles_begin_at_once(tmp_path: Path) -> None:
    """A word for none is 0 s; what the cells hold, and in which unit, is told above."""
    found = read(
        tmp_path,
        "Schütteltest",
        "Schaumhöhe in cm nach",
        "Charge;sofort;1 min;5 min",
        "K3-11;5,8;4,6;1,8",
        "K3-12;6,5;5,4;2,5",
        name="foam.csv",
    )
    assert column(found, "elapsed_s") == [0.0, 60.0, 300.0] * 2
    assert column(found, "foam_height_mm") == [58.0, 46.0, 18.0, 65.0, 54.0, 25.0]


def test_flow_times_beside_each_other_are_runs(tmp_path: Path) -> None:
    """Their mean is none."""
    named = ";".join(f"Temps d'écoulement essai {n} (s)" for n in (1, 2))
    found = read(
        tmp_path,
        "Coupe d'écoulement ISO 2431, 5 mm",
        "",
        f"Lot;Température °C;{named};Moyenne (s)",
        "K3-11;23,0;51,7;52,3;52,0",
        "K3-12;23,1;57,7;57,1;57,4",
        name="coupe.csv",
    )
    assert column(found, "efflux_s") == [51.7, 52.3, 57.7, 57.1]
    assert column(found, "run") == [1.0, 2.0, 1.0, 2.0]


def test_a_log_of_a_cup_with_the_cell_of_its_battery(tmp_path: Path) -> None:
    """Tc is the temperature of what is in the cup."""
    found = read(
        tmp_path,
        "TIMER 3 / cup: ISO 6 mm",
        "Date      |Time    |Lot  |Run|Tc  |Efflux (m:ss.s)|Batt",
        "2026-04-16|15:03:10|K3-11|  1|23.4|0:43.9         |2.89V",
        "2026-04-16|15:07:34|K3-11|  2|23.1|1:04.0         |2.89V",
    )
    assert column(found, "efflux_s") == [43.9, 64.0]
    assert column(found, "temperature_c") == [23.4, 23.1]


def test_a_name_before_a_colon_set_apart_tells_whose_the_readings_are(tmp_path: Path) -> None:
    """Each block has its own, whatever stands between it and them."""
    block = (
        "Specimen : {id}",
        "Geometry : 60 deg",
        " 1   {a} GU",
        " 2   {b} GU",
        "Mean : {m} GU",
        "",
    )
    found = read(
        tmp_path,
        "GLOSS PRINT",
        "",
        *(line.format(id="K7-01.b1", a=82.4, b=81.8, m=82.1) for line in block),
        "------------------",
        *(line.format(id="K7-01.b2", a=79.4, b=80.2, m=79.8) for line in block),
    )
    told = [(one.panel, one.columns["gloss_gu"]) for one in found]
    assert told == [
        *(("K7-01.b1", [value]) for value in (82.4, 81.8)),
        *(("K7-01.b2", [value]) for value in (79.4, 80.2)),
    ]


def test_what_a_block_says_before_its_readings_is_its_own(tmp_path: Path) -> None:
    """Below a day and a ruler, too: the second batch was no longer as warm."""
    slip = (
        "{clock}",
        "LOT  {lot}",
        "CUP  ISO 6",
        "TEMP {warm} C",
        "RUN 1   {time} s",
        "RUN 2   41 s",
    )
    told = (("12-05-26  08:14", "K7-01", 23.1, 42), ("12-05-26  08:25", "K7-02", 22.4, 36))
    lines = []
    for clock, lot, warm, time in told:
        lines += ["--------", *(s.format(clock=clock, lot=lot, warm=warm, time=time) for s in slip)]
    found = read(tmp_path, "FLOW CUP TIMER", *lines)
    assert column(found, "temperature_c") == [23.1, 23.1, 22.4, 22.4]
    assert column(found, "efflux_s") == [42, 41, 36, 41]


def test_panels_with_texts_are_no_columns_of_a_day(tmp_path: Path) -> None:
    """What stands behind the ids is not lost beside a day that looks like a thickness."""
    ids = ("K7-01.b1", "K7-01.b2")
    lines = [f"{one}: 141, 139, 144 (n=3, mean 141)" for one in ids]
    try:
        found = read(tmp_path, "dft 14.05.; gauge zeroed on blasted plate", *lines, "all in um")
    except FileHeld:
        return
    assert 14.05 not in column(found, "thickness_um")


def test_titles_in_capitals_with_their_units_are_read(tmp_path: Path) -> None:
    """T is a time where it is in minutes; a time of the run as MMSS is no number of a run."""
    (one,) = read(
        tmp_path, "#SMP;K7-01", "#PRE;stirred", "T_MIN;RHO_GCC;TEMP_C;N_AVG", "5,0;1,3763;23,0;20"
    )
    told = [one.columns[name] for name in ("elapsed_s", "density_g_cm3", "temperature_c")]
    assert told == [[300], [1.3763], [23]]
    (run,) = read(
        tmp_path,
        "SMP,K7-01",
        "RPM,CP,DYN/CM2,SR_1/S,T_C,RUN_MMSS",
        "1,6184,57.5,0.93,23.0,00:45",
        "5,3235,150.4,4.65,23.3,02:15",
    )
    assert list(run.columns["elapsed_s"]) == [45, 135]
    assert run.columns["viscosity_pa_s"] == pytest.approx([6.184, 3.235])


def test_channels_of_several_batches_hold(tmp_path: Path) -> None:
    """Nothing is filed under the first of them alone."""
    with pytest.raises(FileHeld, match="K7-0"):
        read(
            tmp_path,
            "Foam camera",
            "CH1,K7-01",
            "CH2,K7-02",
            "T_S,FOAM1_CM,FOAM2_CM",
            "0,3.79,4.32",
            "10,3.62,4.14",
        )


def test_colons_below_each_other_part_names_from_values(tmp_path: Path) -> None:
    """They are no columns of a table, though two blanks stand before them and behind a value."""
    found = read(
        tmp_path,
        "ROTATIONAL VISCOMETER            print 0118",
        "Sample    : K1-07",
        "Spindle   : 25  small sample cup",
        "Date      : 05.03.2026   10:41",
        "Limits    : 10 ... 100 %",
        "-" * 50,
        "   U/min      %         cP     D/cm2     1/s     °C",
        "-" * 50,
        "     0.5   10.3      42364      46.6    0.11   22.9",
        "     1.0   10.6      24636      54.2    0.22   23.1",
        "     2.5   11.6      12800      70.4    0.55   23.0",
        "-" * 50,
        "end of measurement",
    )
    assert [one.batch for one in found] == ["K1-07"]
    assert column(found, "viscosity_pa_s") == pytest.approx([42.364, 24.636, 12.8])
    assert column(found, "shear_stress_pa") == pytest.approx([4.66, 5.42, 7.04])


@pytest.mark.parametrize("word", ["Lauf", "Durchgang", "passage", "pasada", "passata", "przebieg"])
def test_a_word_in_the_head_counts_for_every_run_below(tmp_path: Path, word: str) -> None:
    """How the foam was made stands at the top, beside an amount; each run has its number."""
    head = ("FOAM TESTER   FW 3.02", "Sample\tK1-07", "Sparging\tair 0,20 l/min, 60 s", "")
    titles = "t [min:s]\tV foam [ml]\tV Flüss. [ml]"
    first = (f"{word} 1", titles, "00:00\t142\t86", "00:15\t132\t87", "00:30\t123\t88", "")
    second = (f"{word} 2", titles, "00:00\t147\t85", "00:15\t137\t86", "00:30\t127\t87")
    found = read(tmp_path, *head, *first, *second)
    assert column(found, "foam_volume_ml") == [142, 132, 123, 147, 137, 127]
    assert column(found, "determination") == [1, 1, 1, 2, 2, 2]
    assert set(column(found, "method")) == {"aerated"}


def test_a_name_over_a_name_with_their_values_beside_are_a_form(tmp_path: Path) -> None:
    """`Cup;DIN 53211 4 mm` above `Trigger;optical` are no titles with a row below them."""
    head = ("Flow timer;;;", "SW;1.4.0;;", "Cup;DIN 53211 4 mm;;", "Trigger;optical;;", "")
    rows = ("#;Batch-ID;Flow time [m:s];T [°C]", "1;K1-07;0:45.9;20.1", "2;K1-08;1:03.7;20.1")
    found = read(tmp_path, *head, *rows, name="timer.csv")
    assert column(found, "efflux_s") == pytest.approx([45.9, 63.7])
    assert set(column(found, "cup")) == {"DIN 53211 4 mm"}


def test_numbers_that_underscores_part_in_a_name_are_several(tmp_path: Path) -> None:
    """K1-07_1_168h.txt tells 168 hours, and not 1168."""
    head = ("Specimen=K1-07.b1", "Immersion=168 h", "Area=14.6 cm2")
    points = ("1.0000E+05\t7.6451E+02\t7.0447E+03", "1.0000E+03\t3.1E+03\t1.86410E+05")
    titles = "f_Hz\tReZ_ohm\tnegImZ_ohm"
    found = read(tmp_path, *head, titles, *points, name="K1-07_1_168h.txt")
    assert column(found, "exposure_h") == [168.0, 168.0]
    assert column(found, "z_imag_ohm") == [-7044.7, -186410]


def test_a_row_of_a_word_amid_numbered_readings_is_none_of_them(tmp_path: Path) -> None:
    """How many readings there are stands above them: it is not filed as the first."""
    head = ("Coating thickness gauge F1", "", "Group;K1-07.b1;K1-07.b2", "Units;µm;µm")
    rows = ("1;172.3;176.3", "2;177.8;181.6", "3;189.2;193.3", "Mean;179.8;183.7")
    assert len(column(read(tmp_path, *head, *rows, name="groups.csv"), "thickness_um")) == 6
    counted = read(tmp_path, *head, "Readings;3;3", *rows, name="groups.csv")
    assert len(column(counted, "thickness_um")) == 6
    with pytest.raises(FileHeld, match="'Readings' before values where other rows have a number"):
        read(tmp_path, *head, "Readings;3;4", *rows, name="groups.csv")
