"""Layouts of prints, cameras, controllers and forms that are read at first sight, and what is not.

No source: how gauges and people lay out exports, from common practice.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.schemas.batches import KIND as BATCHES
from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.exposure_rating import one_measure_as_two
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (BATCHES, CHAMBER, DENSITY, RATING, FILM, FOAM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


def read(path: Path, *lines: str, folder: str = "") -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, path, *lines, folder=folder)


@pytest.mark.parametrize(
    ("above", "titles", "volumes"),
    [
        ("Lot;K7-04", "Temps (min);Mousse 1 (ml);Mousse 2 (ml)", "foam_volume_ml"),
        ("Charge: K7-04;;", "tijd [min];schuim A [ml];schuim B [ml]", "foam_volume_ml"),
        ("Batch: K7-04;;", "Time (min);Foam I (mm);Foam II (mm)", "foam_height_mm"),
    ],
)
def test_results_that_a_number_or_letter_tells_apart_are_determinations(
    tmp_path: Path, above: str, titles: str, volumes: str
) -> None:
    """A foam 1 beside a foam 2, whatever its unit makes of it."""
    rows = ("0;46;47", "1;44;45", "5;39;36", "10;30;29")
    found = read(tmp_path / "foam.csv", "Foam, shaken;;", above, titles, *rows)
    assert column(found, "determination") == [1.0] * 4 + [2.0] * 4
    assert column(found, volumes) == [46.0, 44.0, 39.0, 30.0, 47.0, 45.0, 36.0, 29.0]


@pytest.mark.parametrize("ids", [",K7-01.b1,,K7-01.b2,", ",K7-01.b1,K7-01.b1,K7-01.b2,K7-01.b2"])
def test_the_panels_of_a_multiplexer_stand_above_their_columns(tmp_path: Path, ids: str) -> None:
    """Above the first of them, or above each."""
    found = read(
        tmp_path / "mux.csv",
        "Immersion 336 h, area 10.0 cm2",
        ids,
        "f (Hz),Z' (ohm),-Z'' (ohm),Z' (ohm),-Z'' (ohm)",
        *(f"{f},{f / 9:.2f},{f / 7:.2f},{f / 8:.2f},{f / 6:.2f}" for f in (1e5, 1e4, 1e3, 1e2)),
    )
    assert [one.panel for one in found] == ["K7-01.B1", "K7-01.B2"]


@pytest.mark.parametrize(
    ("head", "lines"),
    [
        ("SAMPLE {}       ANGLE 60 deg", ("#1      30.9 GU", "#2      31.0 GU")),
        ("Monster: {}   Hoek: 60°", (" 1   30.9", " 2   31.0")),
    ],
)
def test_numbered_readings_below_a_line_of_entries_are_its_own(
    tmp_path: Path, head: str, lines: tuple[str, str]
) -> None:
    """As printers write a block for each panel, and its mean below; calibration has another day."""
    blocks = [text for n in (1, 2) for text in (head.format(f"K7-01.b{n}"), *lines, "AVG  31.0")]
    found = read(tmp_path / "print.txt", "GLOSS METER   CAL OK 23-09-2026", *blocks)
    assert column(found, "gloss_gu") == [30.9, 31.0] * 2
    assert {one.measured_at for one in found} == {None}


def test_the_number_that_begins_anew_on_each_panel_is_that_of_the_pull(tmp_path: Path) -> None:
    """Beside one that the gauge counts on, in a column or in the head of a block."""
    found = read(
        tmp_path / "pulls.txt",
        *(
            line
            for n, (panel, pull) in enumerate(
                [("K7-01.b1", 1), ("K7-01.b1", 2), ("K7-01.b2", 1)], start=11
            )
            for line in (
                f"[Test {n}]",
                f"Panel = {panel}",
                f"Pull = {pull}",
                "Stud = 20 mm",
                "Peak = 8.5 MPa",
                "Failure = B",
                "",
            )
        ),
    )
    assert column(found, "determination") == [1.0, 2.0, 1.0]
    assert column(found, "dolly_diameter_mm") == [20.0] * 3


@pytest.mark.parametrize("folder", ["nebbia/720 h", "NSS_720h", "dopo 720 ore"])
def test_hours_of_a_folder_count_where_nothing_nearer_tells_any(
    tmp_path: Path, folder: str
) -> None:
    """And contradict others in the file itself."""
    rows = ("Panel;Rust;Blistering", "K7-01.b1;Ri 2;3(S4)", "K7-01.b2;Ri 2;3(S3)")
    found = read(tmp_path / "ratings.csv", "Salt spray, NSS;;", *rows, folder=folder)
    assert column(found, "exposure_h") == [720.0] * 4
    head = ("Salt spray, NSS;;", "Exposure time: 480 h;;")
    with pytest.raises(FileHeld, match="480 h, and 720 h"):
        read(tmp_path / "other.csv", *head, *rows, folder=folder)


def test_ratings_of_several_notations_stand_in_one_column(tmp_path: Path) -> None:
    """A line for each defect, whatever its code is called."""
    found = read(
        tmp_path / "long.csv",
        "test NSS",
        "specimen;insp_h;defect;code",
        "K7-01.b1;720;RUST;Ri1",
        "K7-01.b1;720;BLIST;2(S3)",
        "K7-01.b2;720;RUST;Ri2",
    )
    assert column(found, "property") == ["rust", "blisters", "rust"]
    assert column(found, "exposure_h") == [720.0] * 3


def test_the_ends_of_a_scale_are_no_result(tmp_path: Path) -> None:
    """10 for no rust is told of the grades, and is none of a panel."""
    found = read(
        tmp_path / "rust.csv",
        "Rust grade acc. to ASTM D610 (10 = no rust, 0 = all rust), salt fog",
        "Panel;240 h;480 h",
        "K7-01.b1;10;9",
        "K7-01.b2;9;8",
    )
    assert column(found, "d610_grade") == [10.0, 9.0, 9.0, 8.0]


def test_widths_and_a_creep_that_follows_are_not_two_measures(tmp_path: Path) -> None:
    """Which of the two sorts it is, nobody knows."""
    found = read(
        tmp_path / "scan.csv",
        "exposure_h=1000",
        "test NSS",
        "specimen;wd_mm;w_mm;c_mm",
        "K7-01.b1;7.15;0.99;3.08",
        "K7-01.b2;7.89;1.05;3.42",
    )
    names = ("damage_width_mm", "scribe_width_mm", "creep_mm", "exposure_h", "reading")
    columns = {name: np.array(column(found, name), dtype=float) for name in names}
    columns["panel"] = np.array([one.panel for one in found])
    columns["property"] = np.array(column(found, "property"))
    assert [fault.column for fault in one_measure_as_two(columns)] == ["creep_mm"]
    apart = {**columns, "creep_mm": columns["creep_mm"] / 2}
    assert not [*one_measure_as_two(apart)]


def test_a_column_in_degrees_is_of_what_it_names(tmp_path: Path) -> None:
    """The cabinet's is the temperature; that of its tower is another; lines may name channels."""
    rows = ("2026-10-02;34.7;47.5;1.60;6.81", "2026-10-03;35.0;47.6;1.56;6.75")
    for above, titles in (
        ((), "DATE;CAB_degC;SAT_degC;FALLOUT_ml_h;FALLOUT_pH"),
        ((), "DATE;CHAMBER_degC;TOWER_degC;COLLECT_ml_h;COLLECT_pH"),
        (
            ("CH1 cabinet temperature, degC", "CH2 tower, degC", "CH3 fallout, ml/h", "CH4: pH"),
            "DATE;CH1;CH2;CH3;CH4",
        ),
    ):
        found = read(tmp_path / "log.csv", "CHAMBER;SST-2", "LOAD;K7-04", *above, titles, *rows)
        assert column(found, "temperature_c") == [34.7, 35.0]
        assert column(found, "ph") == [6.81, 6.75]


def test_readings_of_each_place_are_counted_on(tmp_path: Path) -> None:
    """The first of the top is another than the first of the middle."""
    for title, places in (
        ("Zone", ("oben", "Mitte", "unten")),
        ("area", ("left", "centre", "right")),
    ):
        rows = [
            f"K7-01.b{panel};{place};{150 + n};{151 + n};{152 + n}"
            for panel in (1, 2)
            for n, place in enumerate(places)
        ]
        head = ("Dry film thickness in µm", f"Panel;{title};Reading 1;Reading 2;Reading 3")
        found = read(tmp_path / "zones.csv", *head, *rows)
        assert column(found, "spot") == [float(n) for n in range(1, 10)] * 2


def test_a_probe_of_steel_is_no_panel(tmp_path: Path) -> None:
    """Where the name of the file is one."""
    rows = ("Nr;Messwert;Uhrzeit", "1;239;09:31:14", "2;243;09:31:28", "3;228;09:31:42")
    found = read(tmp_path / "K7-01.b2.csv", "Sonde;Fe 1.5", "Probe;Fe 1.5 mm", "Einheit;µm", *rows)
    assert column(found, "thickness_um") == [239.0, 243.0, 228.0]
    assert {one.panel for one in found} <= {None, "K7-01.b2"}


@pytest.mark.parametrize(
    "day", ["24-10-2026 / J. de Wit", "24-10-2026 (J. de Wit)", "J. de Wit, 24-10-2026"]
)
def test_a_name_beside_a_day_is_none_of_it(tmp_path: Path, day: str) -> None:
    """A person signs what was measured on that day."""
    found = read(
        tmp_path / "cup.csv",
        "Uitloopbeker ISO 2431 4 mm, 23 °C;",
        f"Datum: {day};",
        "Charge;Uitlooptijd (s)",
        "K7-04;33,6",
        "K7-05;35,3",
    )
    assert {f"{one.measured_at:%Y-%m-%d}" for one in found if one.measured_at} == {"2026-10-24"}


@pytest.mark.parametrize(
    "titles", ["FILLER|FILLER_PCT", "ADDITIVE|ADD_PCT", "Füllstoff|Füllstoff_%"]
)
def test_the_share_of_a_material_is_its_dose(tmp_path: Path, titles: str) -> None:
    """Its name stands in the column beside it."""
    found = read(
        tmp_path / "batches.txt",
        f"BATCH_NO|RECIPE|{titles}|ROLE|MIX_DATE|QTY_KG",
        "K7-04|EP 4.2|talc M10|10.0|candidate|2026-09-08|5.0",
        "K7-05|EP 4.2|talc M10|8.0|candidate|2026-09-08|2.5",
    )
    assert column(found, "dose_percent") == [10.0, 8.0]


def test_what_a_camera_tells_of_its_picture_is_passed_over(tmp_path: Path) -> None:
    """Grey values lie among the heights, and are none."""
    found = read(
        tmp_path / "run.txt",
        "sample=K7-04",
        "foaming=stirring, 2000 rpm",
        "t / s\tHfoam / mm\tframe\tgrey\tbrightness",
        *(
            f"{t}\t{h}\t{2 * t + 1}\t{g}\t{g}"
            for t, h, g in ((0, 64, 127), (10, 60, 62), (20, 56, 57))
        ),
    )
    assert column(found, "foam_height_mm") == [64.0, 60.0, 56.0]


def test_shares_of_cohesive_and_adhesive_failure_stand_side_by_side(tmp_path: Path) -> None:
    """In which coat they were, nothing says."""
    found = read(
        tmp_path / "shares.csv",
        "Dolly dia 20 mm",
        "Panel;Pull no;Strength MPa;Cohesive %;Adhesive %;Glue %",
        "K7-01.b1;1;7.2;80;20;0",
        "K7-01.b1;2;6.4;60;30;10",
    )
    assert column(found, "failure") == [
        "80 % cohesive, 20 % interface",
        "60 % cohesive, 30 % interface, 10 % Y",
    ]
