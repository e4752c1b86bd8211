"""Notes with an id, a word for the determination and a value in a line; cells and means in words.

No source: how people type notes, from common practice.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import HABITS, column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Export, Measurement
from tiecoat.reasons import Reason
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.phrases import phrases
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (FILM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)})


def read(folder: Path, *lines: str) -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / "notes.txt", *lines)


@pytest.mark.parametrize(
    ("heading", "word"),
    [
        ("Efflux time, cup ISO 2431 6 mm, sample at 23.0 °C", "run"),
        ("Auslaufzeit, Becher ISO 2431 6 mm, Probe bei 23,0 °C", "Versuch"),
        ("Temps d'écoulement, coupe ISO 2431 6 mm, échantillon à 23,0 °C", "essai"),
        ("Tiempo de flujo, copa ISO 2431 6 mm, muestra a 23,0 °C", "ensayo"),
        ("Tempi di efflusso, tazza ISO 2431 da 6 mm, 23,0 °C", "prova"),
        ("Czas wypływu, kubek ISO 2431 6 mm, próbka 23,0 °C", "próba"),
        ("Uitlooptijd, beker ISO 2431 6 mm, monster 23,0 °C", "meting"),
        ("Doba výtoku, pohárek ISO 2431 6 mm, vzorek 23,0 °C", "měření"),
    ],
)
def test_a_word_and_a_number_behind_an_id_count_its_determinations(
    tmp_path: Path, heading: str, word: str
) -> None:
    """They are the run; the cup and the temperature stand in the heading."""
    rows = [f"K7-0{n} {word} {run}: {n}9,{run} s" for n in (1, 2) for run in (1, 2)]
    found = read(tmp_path, heading, "", *rows)
    assert column(found, "efflux_s") == [19.1, 19.2, 29.1, 29.2]
    assert column(found, "run") == [1.0, 2.0, 1.0, 2.0]
    assert set(column(found, "cup")) == {"ISO 2431 6 mm"}
    assert set(column(found, "temperature_c")) == {23.0}


def test_what_stands_behind_a_value_is_of_that_value(tmp_path: Path) -> None:
    """Each line may tell another cup."""
    found = read(
        tmp_path,
        "Flow cup, paint at 23 °C",
        "",
        "K7-01: 52.0 s in ISO 2431 cup 6 mm",
        "K7-02: 96.5 s in ISO 2431 cup 4 mm",
        "K7-03: 36.5 s in ISO 2431 cup 6 mm",
    )
    assert column(found, "efflux_s") == [52.0, 96.5, 36.5]
    assert column(found, "cup") == ["ISO 2431 6 mm", "ISO 2431 4 mm", "ISO 2431 6 mm"]


def test_words_behind_a_value_that_are_none_of_the_trade_are_not_passed_over(
    tmp_path: Path,
) -> None:
    """Nothing is read of a note whose lines are not understood to their end."""
    rows = ["K7-01: 52.0 s in Karel's opinion", "K7-02: 36.5 s in Karel's opinion"]
    assert read(tmp_path, "Flow cup ISO 2431 6 mm, paint at 23 °C", "", *rows) == []


def test_readings_in_gloss_units_stand_side_by_side(tmp_path: Path) -> None:
    """The unit behind the last is of all, though it has no dimension."""
    found = read(
        tmp_path,
        "Glansmeting onder 60 graden",
        "",
        "paneel K7-01.b1: 38,5 / 47,3 / 37,1 GU",
        "paneel K7-02.b1: 44,8 / 31,7 / 44,2 GU",
    )
    assert column(found, "gloss_gu") == [38.5, 47.3, 37.1, 44.8, 31.7, 44.2]
    assert set(column(found, "angle_deg")) == {60.0}


def test_a_mean_below_readings_is_no_numbered_reading(tmp_path: Path) -> None:
    """`Mean 100.4` is neither the reading 100 nor one of 4."""
    blocks = [
        line
        for n in (1, 2)
        for line in ("", f"Panel K7-0{n}.b3", "  1  99.7", "  2 101.1", "  Mean 100.4")
    ]
    found = read(tmp_path, "Dry film thickness", "Probe FE   Unit um", *blocks)
    assert column(found, "thickness_um") == [99.7, 101.1] * 2


@pytest.mark.parametrize(
    "said",
    [
        "cell of 14.5 cm²",
        "Zelle mit 14,5 cm²",
        "cellule de 14,5 cm2",
        "celda de 14,5 cm2",
        "cella da 14,5 cm2",
        "cela 14,5 cm²",
        "cel van 14,5 cm²",
        "v cele 14,5 cm²",
    ],
)
def test_the_area_of_a_cell_is_that_of_the_film(tmp_path: Path, said: str) -> None:
    """A sentence tells it beside other amounts."""
    rows = [f"K7-01.b1;168;{f};15807;304531" for f in (1000, 464.2, 100, 10)]
    titles = "panel;immersion (h);frequency (Hz);Z' (ohm);-Z'' (ohm)"
    found = read(tmp_path, f"EIS, {said}, NaCl 3,5 %", "", titles, *rows)
    assert set(column(found, "area_cm2")) == {14.5}


def test_the_number_that_begins_an_id_is_no_amount() -> None:
    """`Panel 26K101_P1` has no panel 26, and `area 3.8 cm2` keeps its unit with a digit."""
    assert list(phrases("Panel 26K101_P1 - control")) == []
    assert [one.number for one in phrases("wetted area 3.8cm2")] == ["3.8"]


@pytest.mark.parametrize(
    ("word", "begins"),
    [
        ("Panel", "Averages"),
        ("Platte", "Gesamtmittel"),
        ("plaque", "En moyenne"),
        ("placa", "Promedios"),
        ("lastra", "Valori medi"),
        ("płytka", "Średnio"),
        ("paneel", "Gemiddeld"),
        ("deska", "Průměrně"),
    ],
)
def test_a_row_that_sums_up_may_stand_among_panels(tmp_path: Path, word: str, begins: str) -> None:
    """It is no panel, in whatever case its word stands."""
    rows = [
        f"K7-0{n}.b1;{r};8{n},{r}" if r else f"{begins};;8{n},2" for n in (1, 2) for r in (1, 2, 0)
    ]
    found = read(tmp_path, f"{word};spot;DFT (µm)", *rows)
    assert column(found, "thickness_um") == [81.1, 81.2, 82.1, 82.2]


def test_readings_below_an_id_that_are_not_numbered_are_not_lost(tmp_path: Path) -> None:
    """A line of several numbers below numbered ones is held: nothing tells what they are."""
    rows = ("Panel K7-01.b3", "1) 99.7", "2) 101.1", "98.4 97.2")
    with pytest.raises(FileHeld):
        read(tmp_path, "Dry film thickness, all readings in µm", "", *rows)


def test_a_line_that_is_not_understood_amid_others_is_not_lost(tmp_path: Path) -> None:
    """A value behind an id is held with the file where nothing tells what stands behind it."""
    rows = ("K7-01: 52.0 s", "K7-02: 36.5 s in Karel's opinion", "K7-03: 41.0 s")
    with pytest.raises(FileHeld):
        read(tmp_path, "Flow cup ISO 2431 6 mm, paint at 23 °C", "", *rows)


def test_whole_numbers_behind_an_id_are_readings_all(tmp_path: Path) -> None:
    """Nothing tells that the first of them numbers the others."""
    found = read(tmp_path, "Gloss at 60°", "", "K7-01.b1  85  86", "K7-01.b2: 84  83")
    assert column(found, "gloss_gu") == [85.0, 86.0, 84.0, 83.0]
    assert column(found, "spot") == [1.0, 2.0, 1.0, 2.0]


def test_whole_numbers_below_an_id_are_no_numbers_of_readings(tmp_path: Path) -> None:
    """Of two readings in a line none is read, as nothing tells what they are; 1, 2 count."""
    lines = ("Gloss at 60°", "", "K7-01.b1", "85  86", "87  84", "K7-01.b2", "84  83")
    assert read(tmp_path, *lines) == []
    found = read(tmp_path, "Gloss at 60°", "", "K7-01.b1", "1  86", "2  84", "K7-01.b2", "1  83")
    assert column(found, "gloss_gu") == [86.0, 84.0, 83.0]
    assert column(found, "spot") == [1.0, 2.0, 1.0]


def test_minutes_below_an_id_are_no_number_of_a_run(tmp_path: Path) -> None:
    """What stands below the word for the time is min:s as a whole, the minutes are not lost."""
    blocks = [
        line
        for batch, time in (("K7-01", "1:02"), ("K7-02", "0:44"))
        for line in (f"// Batch no.: {batch}", "// T: 23.3 degC", "Efflux time", "-----", time, "")
    ]
    found = read(tmp_path, "// Flow cup: ISO 2431, 4 mm", "", *blocks)
    assert column(found, "efflux_s") == [62.0, 44.0]


@pytest.mark.parametrize(
    "cup", ["ISO 2431/5 mm", "ISO 2431 / 5 mm", "DIN EN ISO 2431/5 mm", "ISO 2431, 5 mm"]
)
def test_a_standard_and_a_size_are_one_cup(tmp_path: Path, cup: str) -> None:
    """The number of the standard is no size, whatever stands between."""
    lines = ("Auslaufbecher: " + cup, "Charge;Auslaufzeit [s];Temperatur [°C]", "K7-01;85,9;23,1")
    found = read(tmp_path, *lines)
    assert column(found, "cup") == ["ISO 2431 5 mm"]


@pytest.mark.parametrize("sentence", ["Temperatura en C", "Temperatura en °C", "Temperatura en ºC"])
def test_a_unit_may_be_written_in_two_ways(tmp_path: Path, sentence: str) -> None:
    """No temperature is in coulombs: C above a column and °C in its cells are one unit."""
    lines = ("Copa: 6 mm (ISO 2431)", sentence, "Lote;Tiempo de flujo (s);Temperatura")
    found = read(tmp_path, *lines, "K7-01;74,1;22,8 °C", "K7-02;50;22,6 °C")
    assert column(found, "temperature_c") == [22.8, 22.6]


def test_a_decimal_comma_above_quoted_numbers_parts_no_amount(tmp_path: Path) -> None:
    """22,6 is one temperature, though a comma parts the columns."""
    lines = ("Coppa: 5 mm ISO 2431", "", "Lotto K7-01", "Temp. ........ 22,6 °C")
    found = read(tmp_path, *lines, "Tempo di efflusso in sec", '"80,6"')
    assert column(found, "temperature_c") == [22.6]
    assert column(found, "efflux_s") == [80.6]


@pytest.mark.parametrize("gap", ["", "\n"])
def test_an_id_alone_at_the_end_of_a_text_without_a_line_end_is_a_cut_row(
    tmp_path: Path, gap: str
) -> None:
    """Its value was lost with the rest of the file, also where empty lines part the rows."""
    path = tmp_path / "notes.txt"
    head = "Flow cup ISO 2431, 4 mm\nBatch  Efflux time (s)  Temperature (°C)\n"
    rows = f"K7-01  68.7  22.9\n{gap}K7-02  35.0  22.5\n{gap}K7-03"
    path.write_text(head + rows, encoding="utf-8")
    export = Export(path, path.name, "", HABITS)
    list(READER.read(export))
    assert {fault.reason for fault in export.faults} == {Reason.CUT_OFF}
