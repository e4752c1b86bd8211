"""Titles that tell closed words, values with what they may be off, states with how they were made.

No source: how laboratories write tables, from common practice.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.film_thickness import same_words
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.pull_off import swapped
from tiecoat.tabular.lexicon import lexicon_of
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (DENSITY, FILM, GLOSS, RATING, PULL_OFF)})


def read(folder: Path, *lines: str) -> list[Measurement]:
    """Return what is read of an export with these lines."""
    return read_lines(READER, folder / "export.csv", *lines)


@pytest.mark.parametrize(
    "titles",
    [
        "Capa 1 seca (µm);Sistema completo seco (µm)",
        "First coat (µm);Whole system (µm)",
        "1. Schicht trocken [µm];Gesamtschicht trocken [µm]",
        "Eerste laag droog (µm);Totaal droog (µm)",
        "Warstwa 1 sucha (µm);Cały system (µm)",
        "1. vrstva suchá (µm);Celý systém suchý (µm)",
        "Couche 1 sèche (µm);Système complet sec (µm)",
        "Strato 1 secco (µm);Totale secco (µm)",
    ],
)
def test_a_coat_beside_the_whole_system_is_two_readings(tmp_path: Path, titles: str) -> None:
    """Each column is of the coat that its title names, in every language."""
    found = read(tmp_path, f"panel;spot;{titles}", "K7-04.b1;1;80,4;155,6")
    assert column(found, "coat") == ["coat 1", "system"]
    assert column(found, "thickness_um") == [80.4, 155.6]
    assert column(found, "state") == ["dry", "dry"]


@pytest.mark.parametrize(
    ("titles", "values"),
    [
        ("Wet coat 1 (µm);Whole system (µm)", "80,4;155,6"),  # the system wet too?
        ("Coat 1 (µm);Coat 2 (µm);Mean coat 1 (µm)", "80,4;155,6;81"),
    ],
)
def test_columns_that_leave_open_what_they_are_are_held(
    tmp_path: Path, titles: str, values: str
) -> None:
    """What one title tells is not taken for another, and no mean for a coat."""
    with pytest.raises(FileHeld):
        read(tmp_path, f"panel;spot;{titles}", f"K7-04.b1;1;{values}")


def test_a_density_keeps_its_value_and_tells_what_is_left_out(tmp_path: Path) -> None:
    """Behind ± stands once or twice the uncertainty: it is not filed, and remarked."""
    found = read(
        tmp_path,
        "batch;state;time (h);density (g/ml);temperature",
        "K7-04;stirred;0,25;1,372 ± 0,002;23 ± 2 °C",
        "K7-04;deaerated;1,5;(1,402 +/- 0,002);23 ± 2 °C",
    )
    assert column(found, "density_g_cm3") == [1.372, 1.402]
    assert column(found, "temperature_c") == [23.0, 23.0]
    assert all(any("±" in text for text in one.remarks) for one in found)


def test_a_mean_of_several_readings_is_no_reading(tmp_path: Path) -> None:
    """Behind the thickness of a spot ± tells that it is the mean of several."""
    with pytest.raises(FileHeld, match="no mean"):
        read(tmp_path, "panel;spot;DFT (µm)", "K7-04.b1;1;85 ± 3")


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("stirred 2 min at 1500 rpm", "as mixed"),
        ("gerührt 5 min bei 1500 U/min", "as mixed"),
        ("dégazé 30 min sous vide", "deaerated"),
        ("mícháno 2 min", "as mixed"),
        ("nicht entlüftet, 10 min", "as mixed"),
        ("stirred 2 min then deaerated 10 min", "stirred 2 min then deaerated 10 min"),
        ("not stirred 2 min", "not stirred 2 min"),
    ],
)
def test_how_long_and_fast_is_no_part_of_a_state(text: str, state: str) -> None:
    """Amounts around a word of the kind are left out; two words or a negation stay as they are."""
    assert lexicon_of(DENSITY).in_words_of_kind("state", text) == state


@pytest.mark.parametrize(
    "titles",
    [
        "blistering quantity(size);cracking quantity(size)",
        "Blasen Menge(Größe);Risse Menge (Größe)",
        "cloquage quantité/taille;fissures quantité/taille",
        "pęcherze ilość(rozmiar);spękania ilość(rozmiar)",
    ],
)
def test_titles_that_tell_the_notation_are_of_their_ratings(tmp_path: Path, titles: str) -> None:
    """A quantity with a size in brackets is a rating of ISO 4628."""
    found = read(tmp_path, "ISO 9227 NSS", f"panel;h;{titles}", "K7-04.b1;720;2(S3);0(S0)")
    assert column(found, "property") == ["blisters", "cracking"]
    assert column(found, "rating") == ["2(S3)", "0(S0)"]


@pytest.mark.parametrize(
    ("diameters", "strengths", "held"),
    [
        ([8.8, 9.2], [20.0, 20.0], True),
        ([20.0, 20.0], [8.8, 8.8], False),
        ([19.9, 20.1], [8.8, 8.9], False),
    ],
)
def test_dollies_that_differ_at_one_strength_are_held(
    diameters: list[float], strengths: list[float], held: bool
) -> None:
    """Dollies are of one size, and strengths scatter: else the two columns are swapped."""
    columns = {
        "panel": np.array(["K7-04.b1"] * 2, dtype=object),
        "row": np.array([2, 3]),
        "dolly_diameter_mm": np.array(diameters),
        "strength_mpa": np.array(strengths),
    }
    assert [fault.column for fault in swapped(columns)] == ["dolly_diameter_mm"] * held


def test_a_day_parted_by_commas_is_that_of_measuring(tmp_path: Path) -> None:
    """A day beside a word of its own is not."""
    rows = ["panel;no;strength (MPa);failure", "K7-04.b1;1;8,8;100% B"]
    (found,) = read(tmp_path, "Pull-off, 13.04.2026, dolly 20 mm", *rows)
    assert found.measured_at is not None
    (other,) = read(tmp_path, "Pull-off, coated 13.04.2026, dolly 20 mm", *rows)
    assert other.measured_at is None


def test_a_name_that_holds_an_equals_sign_in_brackets_keeps_its_value(tmp_path: Path) -> None:
    """What stands behind the colon is the value, whatever is equal to what in the name."""
    record = ("Batch: K1-07", "Toestand: ontlucht", "Rusttijd: 2 min", "Temperatuur: 23,2 °C")
    found = read(
        tmp_path, *record, "Dichtheid: 1,437 g/ml", "Onzekerheid (k=1): 0,002 g/ml", "", ""
    )
    assert column(found, "uncertainty_g_cm3") == [pytest.approx(0.002)]


@pytest.mark.parametrize(
    ("title", "uncertainty"),
    [
        ("U (k=2) [g/cm3]", 0.0015),
        ("Erweiterte Messunsicherheit (k=2) (g/cm³)", 0.0015),
        ("niepewność rozszerzona (k=2) [g/cm3]", 0.0015),
        ("u (k=1) [g/cm3]", 0.003),
    ],
)
def test_an_expanded_uncertainty_is_divided_by_its_factor(
    tmp_path: Path, title: str, uncertainty: float
) -> None:
    """Where its title says that the factor is 2, half of it is the standard uncertainty."""
    found = read(
        tmp_path,
        f"batch;state;minutes since mixing;temperature (°C);density (g/cm3);{title}",
        "K7-04;degassed;30;20,0;1,4120;0,0030",
    )
    assert column(found, "uncertainty_g_cm3") == [pytest.approx(uncertainty)]
    assert column(found, "elapsed_s") == [1800]


def test_a_mean_beside_readings_that_is_not_theirs_is_remarked(tmp_path: Path) -> None:
    """A mean is passed over; one that contradicts the readings of its row is told with them."""
    found = read(
        tmp_path,
        "batch;state;time (h);temperature;density 1 (g/ml);density 2 (g/ml);mean (g/ml)",
        "K7-04;stirred;0,25;23;1,372;1,376;1,374",
        "K7-05;stirred;0,25;23;1,381;1,383;1,482",
    )
    told = [
        "seldom: a mean of 1.482 beside readings whose mean is 1.382" in one.remarks
        for one in found
    ]
    assert told == [False, False, True, True]


def test_a_diameter_of_a_word_that_means_mean_too_is_no_mean(tmp_path: Path) -> None:
    """What is read as the diameter of a dolly is not compared with the mean of the strengths."""
    found = read(
        tmp_path,
        "Vzorek plechu;Průměr (cm);Zkouška č.;Lom;Odtrhová pevnost",
        *(f"K7-04.b6;2.00;{n};100% B;{9 + n}.5" for n in (1, 2, 3)),
    )
    assert column(found, "dolly_diameter_mm") == [20.0] * 3
    assert [one.remarks for one in found] == [()] * 3


def test_a_mean_in_the_place_of_determinations_is_remarked(tmp_path: Path) -> None:
    """A density by its title a mean is filed, with that; how many it is of is no number of one."""
    (found,) = read(
        tmp_path,
        "batch;state;time (h);temperature;mean density (g/ml);n",
        "K7-04;stirred;0;23;1,372;3",
    )
    assert found.columns["determination"] == [1.0]
    assert found.remarks == (
        "assumed: 'mean density (g/ml)' as one determination, by its title a mean of several",
    )


@pytest.mark.parametrize(
    "lines",
    [
        ["panel;hours;exposure;rusting;creep from scribe (mm)", "K7-04.b1;240;NSS;Ri 0;0,4"],
        ["panel;hours;exposure;creep from scribe (mm)", "K7-04.b1;240;NSS;0,4"],
    ],
)
def test_a_creep_that_does_not_say_of_what_is_neither(tmp_path: Path, lines: list[str]) -> None:
    """Delamination and corrosion are measured alike: what is not told is not made up."""
    *others, creep = read(tmp_path, *lines)
    assert [*creep.columns["property"]] == ["scribe creep"]
    assert [*creep.columns["creep_mm"]] == [0.4]
    assert [[*one.columns["property"]] for one in others] in ([], [["rust"]])


@pytest.mark.parametrize(
    "heading",
    [
        "Dry film thickness, first coat, in µm. Measured 10 June 2026, all ok",
        "Spessore del film secco (µm), primo strato",
        "Trockenschichtdicke der ersten Schicht in µm, alle i. O.",
        "grubość suchej powłoki, pierwszej warstwy (µm)",
        "tloušťka suchého prvního nátěru (µm)",
    ],
)
def test_a_coat_in_a_heading_is_that_of_the_readings(tmp_path: Path, heading: str) -> None:
    """In the cases and genders of sentences; "all" is the whole system in a cell alone."""
    found = read(tmp_path, heading, "panel;P1;P2", "K7-04.b1;106;107")
    assert column(found, "coat") == ["coat 1", "coat 1"]
    (cell,) = column(read(tmp_path, "panel;coat;dry thickness (µm)", "K7-04.b1;all;180"), "coat")
    assert same_words(pd.DataFrame({"coat": [cell], "state": ["dry"]}))["coat"][0] == "system"


def test_one_column_of_two_angles_is_held(tmp_path: Path) -> None:
    """Nobody can tell which of them was measured."""
    rows = ("K7-04.b1;1;24,1", "K7-04.b1;2;23,6")
    assert column(read(tmp_path, "panel;spot;gloss 20° (GU)", *rows), "angle_deg") == [20, 20]
    with pytest.raises(FileHeld):
        read(tmp_path, "panel;spot;gloss 20°/60° (GU)", *rows)
