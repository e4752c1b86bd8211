"""Channels that the head gives to panels, branches side by side, times from 0, places in short.

And determinations across whose rows are of several quantities. No source: layouts of our own
invention.
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
from tiecoat.tabular.places import is_place
from tiecoat.tabular.reader import AnyTable

KINDS = (DENSITY, FILM, FOAM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


def read(folder: Path, *lines: str) -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / "export.csv", *lines)


@pytest.mark.parametrize(
    ("lines", "title", "cells"),
    [
        (("Ch1=K1-07.b2", "Ch2=K1-07.b3"), "Ch", ("1", "2")),
        (("Kanal 1: K1-07.b2", "Kanal 2: K1-07.b3"), "Kanal", ("01", "02")),
        (("voie 1 : K1-07.b2", "voie 2 : K1-07.b3"), "Voie", ("1", "2")),
        (("canale n. 1 - pannello K1-07.b2", "canale n. 2 - pannello K1-07.b3"), "CH", None),
    ],
)
def test_a_column_of_channels_is_read_as_the_panels_that_the_head_gives_to_them(
    tmp_path: Path, lines: tuple[str, ...], title: str, cells: tuple[str, str] | None
) -> None:
    """By number or letter; a column of another name is none of them."""
    table = (
        f"{title};Thickness (um)",
        *(f"{one};{140 + n}" for n, one in enumerate(cells or "12")),
    )
    if cells is None:
        table = tuple(line.replace("CH", "Line", 1) for line in table)
        unnamed = read(tmp_path, "Dry film", *lines, "", *table)
        assert {one.panel for one in unnamed} == {None}  # and is held by whoever asks for one
        return
    found = read(tmp_path, "Dry film", *lines, "", *table)
    assert [(one.panel, *one.columns["thickness_um"]) for one in found] == [
        ("K1-07.b2", 140),
        ("K1-07.b3", 141),
    ]


@pytest.mark.parametrize(
    ("head", "rows"),
    [
        (("Ch1=K1-07.b2", "Ch2=K1-07.b3"), ("1;140", "3;141")),  # of which the third is nobody's
        (("Ch1=K1-07.b2", "Ch1=K1-07.b3"), ("1;140", "1;141")),  # which is both
        (("Ch1=K1-07.b2", "Ch2=K1-07.b2"), ("1;140", "2;141")),  # twice the same
    ],
)
def test_channels_that_the_head_does_not_tell_apart_hold(
    tmp_path: Path, head: tuple[str, ...], rows: tuple[str, ...]
) -> None:
    """Nothing is filed under a panel that was guessed."""
    try:
        found = read(tmp_path, "Dry film", *head, "", "Ch;Thickness (um)", *rows)
    except FileHeld:
        return
    assert head[1].endswith("b2")
    assert {one.panel for one in found} == {"K1-07.b2"}


@pytest.mark.parametrize(
    ("titles", "name"),
    [
        ("Shear rate (1/s);Viscosity up (Pa.s);Viscosity down (Pa.s)", "viscosity_pa_s"),
        (
            "Scherrate [1/s];Schubspannung aufwärts [Pa];Schubspannung abwärts [Pa]",
            "shear_stress_pa",
        ),
        (
            "vitesse de cisaillement (s-1);montée viscosité (Pa.s);descente viscosité (Pa.s)",
            "viscosity_pa_s",
        ),
    ],
)  # fmt: skip
def test_up_and_down_side_by_side_are_the_branches_of_one_loop(
    tmp_path: Path, titles: str, name: str
) -> None:
    """The rate stands once for both."""
    (loop,) = read(tmp_path, "Batch;K1-07", "Temp.;23 °C", "", titles, "1;12.4;9.6", "10;3.1;2.5")
    told = zip(
        loop.columns["step"], loop.columns["shear_rate_per_s"], loop.columns[name], strict=True
    )
    assert sorted(told) == [("down", 1, 9.6), ("down", 10, 2.5), ("up", 1, 12.4), ("up", 10, 3.1)]


def test_two_columns_of_one_branch_hold(tmp_path: Path) -> None:
    """Which of them is the branch, nobody knows."""
    titles = "Shear rate (1/s);Viscosity up (Pa.s);Viscosity up (Pa.s)"
    with pytest.raises(FileHeld):
        read(tmp_path, "Batch;K1-07", "Temp.;23 °C", "", titles, "1;12.4;9.6", "10;3.1;2.5")


@pytest.mark.parametrize(
    ("title", "first", "second"),
    [("Zeit", "sofort", "1 min"), ("tijd (min)", "direct", "1"), ("time", "at start", "60 s"),
     ("temps (min:s)", "début", "1:00"), ("t (s)", "t = 0", "60")],
)  # fmt: skip
def test_a_row_at_once_is_that_of_no_time(
    tmp_path: Path, title: str, first: str, second: str
) -> None:
    """In the unit of the others, whatever word it is."""
    titles = f"{title};foam height (mm);liquid level (mm)"
    (foam,) = read(tmp_path, "Batch;K1-07", "", titles, f"{first};34;90", f"{second};31;92")
    assert list(foam.columns["elapsed_s"]) == [0, 60]


@pytest.mark.parametrize("first", ["sofort", "direct", "azonnal"])
def test_a_first_row_at_once_is_no_entry_in_a_narrow_table(tmp_path: Path, first: str) -> None:
    """A word that can name nothing; a start with a time beside it stays an entry."""
    (foam,) = read(
        tmp_path, "Batch;K1-07", "Start;2026-03-05 10:20", "",
        "time;foam height (mm)", f"{first};34", "1 min;31", "5 min;20",
    )  # fmt: skip
    assert list(foam.columns["elapsed_s"]) == [0, 60, 300]
    assert foam.measured_at is not None


@pytest.mark.parametrize("title", ["t = 0", "t0", "direct", "début"])
def test_a_column_at_once_stands_beside_those_of_later_times(tmp_path: Path, title: str) -> None:
    """Of the first in seconds and the others in minutes, each says its own."""
    (foam,) = read(
        tmp_path, "Foam height (cm)", "", f"Batch;{title};30 s;2 min", "K1-07;3.4;3.1;2.2"
    )
    assert list(foam.columns["elapsed_s"]) == [0, 30, 120]
    assert list(foam.columns["foam_height_mm"]) == [34, 31, 22]


def test_another_word_among_times_holds(tmp_path: Path) -> None:
    """Later is no time, and the first is not named twice."""
    for title in ("later", "t = 5"):
        with pytest.raises(FileHeld):
            read(tmp_path, "Foam height (cm)", "", f"Batch;{title};30 s;2 min", "K1-07;3.4;3.1;2.2")
    with pytest.raises(FileHeld):
        read(tmp_path, "Batch;K1-07", "", "time (min);foam height (mm)", "later;34", "1;31")


@pytest.mark.parametrize(
    "places",
    [
        "Top L;Top R;Centre;Bottom L",
        "oben l.;oben r.;Mitte;unten l.",
        "haut G;haut D;centre;bas G",
    ],
)
def test_places_in_short_are_readings_of_a_panel(tmp_path: Path, places: str) -> None:
    """A letter stands for left and right beside the word for above; alone it is no place."""
    found = read(
        tmp_path, "DFT, all in mil", "", f"Panel;{places};Average", "K1-07.b2;6.0;6.2;6.4;6.6;6.3"
    )
    assert column(found, "thickness_um") == pytest.approx([152.4, 157.48, 162.56, 167.64])
    assert [is_place(text) for text in ("L", "top coat", "L R", "top left")] == [False] * 3 + [True]


@pytest.mark.parametrize(
    "words",
    [
        "Essai,Température (°C),Pycno vide (g),Pycno plein (g),Volume (ml),Densité (g/ml),Moyenne",
        "Messung,Temperatur [°C],Pykno leer [g],Pykno voll [g],Volumen [ml],Dichte [g/ml],Mittel",
        "Prova,Temperatura (°C),Picno vuoto (g),Picno pieno (g),Volume (ml),Densità (g/ml),Media",
    ],
)
def test_rows_of_several_quantities_lie_below_their_determinations(
    tmp_path: Path, words: str
) -> None:
    """No temperature and no mass of a vessel is a density, and the mean is none of them."""
    tests, temperature, empty, full, volume, value, mean = words.split(",")
    found = read(
        tmp_path, "K1-07", "", f";{tests} 1;{tests} 2;{mean}", f"{temperature};22.9;23;23",
        f"{empty};171.36;171.37;", f"{full};307.87;307.72;", f"{volume};99.94;99.94;",
        f"{value};1.3659;1.3644;1.3652",
    )  # fmt: skip
    assert column(found, "density_g_cm3") == [1.3659, 1.3644]
    assert column(found, "temperature_c") == [22.9, 23]


def test_rows_of_one_quantity_stay_readings_of_their_panels(tmp_path: Path) -> None:
    """Readings across beside panels are upright, as ever."""
    found = read(
        tmp_path, "Gloss 60°", "", "Panel;Reading 1;Reading 2;Mean", "K1-07.b2;41;42;41.5",
        "K1-07.b3;51;52;51.5",
    )  # fmt: skip
    assert column(found, "gloss_gu") == [41, 42, 51, 52]


@pytest.mark.parametrize("mean", ["x quer", "Mittel", "Ø"])
def test_commas_of_statistics_below_part_no_table(tmp_path: Path, mean: str) -> None:
    """`s;4,45;5,86` is a row parted by semicolons, of which none stands alone."""
    below = (f"{mean};171,5;157,6", "s;4,45;5,86", "Min;162,2;150,8", "n;2;2")
    found = read(
        tmp_path, "Größe;Trockenschichtdicke", "Einheit;µm", "", "Messreihe;K1-07.b2;K1-07.b3",
        "1;164,9;151,0", "2;163,5;160,9", *below,
    )  # fmt: skip
    assert column(found, "thickness_um") == [164.9, 151.0, 163.5, 160.9]


@pytest.mark.parametrize(
    "line",
    [
        "then left to stand (23 °C)",
        "danach stehen gelassen bei 23 °C",
        "daarna laten staan (23 C)",
    ],
)
def test_what_a_sample_stands_at_is_its_temperature_while_it_is_followed(
    tmp_path: Path, line: str
) -> None:
    """Beside times since mixing; without them it is that of a time before."""
    head = ("Density after stirring, batch K1-07", f"dissolver 10 min 2000 tpm, {line}", "")
    found = read(tmp_path, *head, "time after stirring (min);density (g/ml)", "0;1.318", "5;1.334")
    assert column(found, "temperature_c") == [23, 23]
    assert column(found, "elapsed_s") == [0, 300]
    with pytest.raises(FileHeld):
        read(tmp_path, *head, "density (g/ml)", "1.318", "1.334")


@pytest.mark.parametrize(
    "title", ["Ép. sèche (µm)", "Schichtd. trocken (µm)", "Sp. secco (µm)", "Gr. sucha (µm)"]
)
def test_a_thickness_cut_short_tells_its_state(tmp_path: Path, title: str) -> None:
    """Ep. sèche is the dry film, as épaisseur sèche is."""
    found = read(tmp_path, f"Panel;{title}", "K1-07.b2;76,8", "K1-07.b3;78,1")
    assert column(found, "state") == ["dry", "dry"]


@pytest.mark.parametrize(
    ("head", "value", "name"),
    [
        ("Unit,um", "Value", "thickness_um"),
        ("Unit,GU\nAngle,60°", "Gloss", "gloss_gu"),
        ("Unit,MPa\nDolly,20 mm", "Strength", "strength_mpa"),
    ],
)
def test_statistics_with_a_unit_in_the_head_are_no_further_readings(
    tmp_path: Path, head: str, value: str, name: str
) -> None:
    """`Max` beside `Min`, in a table of its own below the readings, is the peak of nothing."""
    found = read(
        tmp_path, head, "", f"Panel,Pt,{value}", "K1-07.b2,1,8.5", "K1-07.b2,2,8.3", "",
        "Panel,n,Mean,SD,Min,Max", "K1-07.b2,2,8.4,0.1,8.3,8.5",
    )  # fmt: skip
    assert column(found, name) == [8.5, 8.3]
