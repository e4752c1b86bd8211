"""What gauges write above and beside readings: peaks, probes, counts, letters that a head explains.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (DENSITY, FILM, FOAM, GLOSS, IMPEDANCE, PULL_OFF, RATING, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


def read(folder: Path, *lines: str, name: str = "download.csv") -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / name, *lines)


@pytest.mark.parametrize(
    ("head", "titles", "rows", "strengths"),
    [
        (
            ("Adhesion tester", "Dolly;20 mm", "Unit;MPa"),
            "No;Job;Peak;Rate MPa/s;t s;Fracture",
            ("1;K1-07.b1;7.36;0.73;10.2;B", "2;K1-07.b1;8.38;0.71;11.6;B"),
            [7.36, 8.38],
        ),
        (
            ("Haftzugprüfung", "Stempel;20 mm", "Einheit;N/mm²"),
            "Nr.;Platte;Spitze;Rate (N/mm²/s);Bruch",
            ("1;K1-07.b1;7,36;0,73;B", "2;K1-07.b1;8,38;0,71;B"),
            [7.36, 8.38],
        ),
        (
            ("Pull-off log", "Dolly: 20 mm"),
            "Panel;Pull;Max psi;psi/s;Failure",
            ("K1-07.b1;1;1000;97;B", "K1-07.b1;2;1200;99;B"),
            [6.894757293168, 8.2737087518],
        ),
        (
            ("Essai d'arrachement", "Pastille : 20 mm"),
            "Panneau;Essai;Pic MPa;MPa/s;Rupture",
            ("K1-07.b1;1;7,36;0,7;B", "K1-07.b1;2;8,38;0,7;B"),
            [7.36, 8.38],
        ),
    ],
)
def test_a_peak_is_the_strength_in_the_unit_beside_or_above_it(
    tmp_path: Path, head: tuple[str, ...], titles: str, rows: tuple[str, ...], strengths: object
) -> None:
    """The rate of the pull, in a unit of its own, and its time are none."""
    found = read(tmp_path, *head, "", titles, *rows)
    assert column(found, "strength_mpa") == pytest.approx(strengths)


@pytest.mark.parametrize(
    "titles", ["Panel;Pull;Min psi;Max psi;Failure", "Panel;Pull;Max psi;Mean psi;Failure"]
)
def test_of_two_columns_in_one_unit_none_is_the_peak(tmp_path: Path, titles: str) -> None:
    """They may sum up readings that the file does not hold: no kind claims the table."""
    rows = ("K1-07.b1;1;900;1000;B", "K1-07.b1;2;950;1200;B")
    assert read(tmp_path, "Dolly: 20 mm", "", titles, *rows) == []


def test_the_most_of_readings_of_a_film_is_no_reading(tmp_path: Path) -> None:
    """Only a test that ends at a peak is read by one."""
    rows = ("K1-07.b1;5;110", "K1-07.b2;5;121")
    assert read(tmp_path, "Dry film", "", "Panel;n;Max µm", *rows) == []


@pytest.mark.parametrize(
    ("title", "degrees"),
    [("TempC", 23.0), ("tempC", 23.0), ("TmpC", 23.0), ("TEMPC", 23.0), ("TempF", 73.4)],
)
def test_degrees_may_be_joined_to_a_temperature(tmp_path: Path, title: str, degrees: float) -> None:
    """A title of a short display has no room for a blank."""
    found = read(
        tmp_path,
        f"Sample,RPM,cP,SS dyn/cm2,SR 1/s,{title}",
        f"K1-07,3,940,7.9,0.84,{degrees}",
        f"K1-07,6,790,13.3,1.68,{degrees}",
        f"K1-07,12,665,22.3,3.36,{degrees}",
    )
    assert column(found, "temperature_c") == pytest.approx([23.0] * 3)


@pytest.mark.parametrize(
    ("type_title", "base"),
    [("Type", "Fe"), ("Art", "NE"), ("Tipo", "no ferroso"), ("type", "Fe/NFe")],
)
def test_the_metal_of_a_probe_is_no_state_of_a_film(
    tmp_path: Path, type_title: str, base: str
) -> None:
    """Nor does it say that the film is dry or wet; beside a word that does, it stays as it is."""
    head = f"Batch name\tValue\tUnit\t{type_title}"
    rows = (f"K1-07.b1\t172\tum\t{base}", f"K1-07.b1\t178\tum\t{base}")
    assert column(read(tmp_path, head, *rows, name="a.txt"), "state") == ["dry", "dry"]
    mixed = read(tmp_path, head, *rows, "K1-07.b2\t99\tum\twet", name="b.txt")
    assert column(mixed, "state") == [base, base, "wet"]


@pytest.mark.parametrize(
    ("word", "unit"), [("Readings", "µm"), ("Messwerte", "mil"), ("N.º de medidas", "µm")]
)
def test_a_count_above_the_readings_is_none_of_them(tmp_path: Path, word: str, unit: str) -> None:
    """It says how many follow; where it says another number, the file is held."""
    head = ("Coating thickness gauge", "", "Group;K1-07.b1;K1-07.b2", f"Units;{unit};{unit}")
    rows = [f"{n};{4.1 + n / 10:.1f};{4.4 + n / 10:.1f}" for n in range(1, 6)]
    found = read(tmp_path, *head, f"{word};5;5", *rows)
    assert len(column(found, "thickness_um")) == 10
    with pytest.raises(FileHeld):
        read(tmp_path, *head, f"{word};6;5", *rows, name="other.csv")


@pytest.mark.parametrize(
    ("legend", "titles", "values", "expected"),
    [
        (
            ("W_corr;overall width of corrosion", "W_scr;width of scribe"),
            "Specimen;Pt;W_corr/mm;W_scr/mm;Focus",
            "2.89;1.00;98",
            {"damage_width_mm": 2.89, "scribe_width_mm": 1.0},
        ),
        (
            ("BK: Gesamtbreite der Korrosion", "BR: Ritzbreite"),
            "Platte;Nr.;BK (mm);BR (mm);Fokus",
            "2.89;1.00;98",
            {"damage_width_mm": 2.89, "scribe_width_mm": 1.0},
        ),
        (
            ("LT = largeur totale de la corrosion", "LR = largeur de la rayure"),
            "Panneau;N°;LT [mm];LR [mm];Focus",
            "2.89;1.00;98",
            {"damage_width_mm": 2.89, "scribe_width_mm": 1.0},
        ),
    ],
)
def test_a_head_explains_the_letters_of_titles(
    tmp_path: Path,
    legend: tuple[str, ...],
    titles: str,
    values: str,
    expected: dict[str, float],
) -> None:
    """A line of a title that is no word of the trade, and of what it stands for."""
    head = ("Exposure;720 h NSS", *legend, "")
    found = read(tmp_path, *head, titles, f"K1-07.b1;1;{values}", f"K1-07.b1;2;{values}")
    for name, value in expected.items():
        assert column(found, name) == [value, value]


@pytest.mark.parametrize(
    ("titles", "unit", "kind", "name"),
    [
        ("Foam, test 1 (mL);Foam, test 2 (mL)", "min", "foam", "foam_volume_ml"),
        ("Schaum, Versuch 1 (ml);Schaum, Versuch 2 (ml)", "min", "foam", "foam_volume_ml"),
        ("Foam, run 1 (mm);Foam, run 2 (mm)", "s", "foam", "foam_height_mm"),
    ],
)
def test_the_unit_says_which_of_two_a_numbered_title_is(
    tmp_path: Path, titles: str, unit: str, kind: str, name: str
) -> None:
    """Foam in millilitres is its volume, in millimetres its height."""
    found = read(
        tmp_path,
        "Shaking test, 250 mL cylinder",
        "Batch;K1-07",
        "",
        f"t after shaking ({unit});{titles};average",
        "0;88;92;90",
        "1;74;78;76",
        "5;41;45;43",
    )
    assert {one.kind for one in found} == {kind}
    assert column(found, name) == [88, 74, 41, 92, 78, 45]


def test_a_letter_and_the_number_of_a_standard_is_no_reading(tmp_path: Path) -> None:
    """D610 is no density of a 610th sample."""
    found = read(
        tmp_path,
        "insp;specimen;test;hours;D610;photo",
        "301;K1-07.b1;ASTM B117;240;10;N",
        "302;K1-07.b1;ASTM B117;480;9;N",
        "303;K1-07.b1;ASTM B117;720;7;Y",
    )
    assert column(found, "d610_grade") == [10, 9, 7]


@pytest.mark.parametrize(
    ("titles", "unit"),
    [
        ("Spot;Reading 1;Reading 2;Reading 3;Spot average", "mils"),
        ("Stelle;Messung 1;Messung 2;Messung 3;Mittelwert", "mil"),
        ("Punto;Lectura 1;Lectura 2;Lectura 3;Media", "mils"),
    ],
)
def test_readings_at_numbered_spots_are_counted_on(tmp_path: Path, titles: str, unit: str) -> None:
    """Spots stand below each other, and several readings beside each; their mean checks them."""
    head = (f"Dry film thickness report ({unit})", "Panel: K1-07.b1", "", titles)
    found = read(tmp_path, *head, "1;7.0;8.0;9.0;8.0", "2;6.0;7.0;8.0;7.0")
    assert column(found, "spot") == [1, 2, 3, 4, 5, 6]
    thickness = [value * 25.4 for value in (7, 8, 9, 6, 7, 8)]
    assert column(found, "thickness_um") == pytest.approx(thickness)
    with pytest.raises(FileHeld):
        read(tmp_path, *head, "1;7.0;8.0;9.0;8.0", "1;6.0;7.0;8.0;7.0", name="twice.csv")


@pytest.mark.parametrize(
    ("labels", "titles", "row"),
    [
        (
            ("Channel,CH1,CH1,CH1,CH2,CH2,CH2", "ID" + ",K1-07.b1" * 3 + ",K1-07.b2" * 3),
            "Freq (Hz),Z' (kohm),Z'' (kohm),E (V),Z' (kohm),Z'' (kohm),E (V)",
            "{f},1.1,-18.4,-0.3,0.9,-14.7,-0.3",
        ),
        (
            ("Probe" + ",K1-07.b1" * 2 + ",K1-07.b2" * 2,),
            "Frequenz/Hz,Z'/kOhm,Z''/kOhm,Z'/kOhm,Z''/kOhm",
            "{f},1.1,-18.4,0.9,-14.7",
        ),
        (
            ("Panneau" + ",K1-07.b1" * 2 + ",K1-07.b2" * 2, "Voie,1,1,2,2"),
            "fréquence [Hz],|Z| [kOhm],phase [°],|Z| [kOhm],phase [°]",
            "{f},18.4,-86.6,14.7,-86.5",
        ),
    ],
)
def test_labels_over_two_channels_say_whose_each_is(
    tmp_path: Path, labels: tuple[str, ...], titles: str, row: str
) -> None:
    """A name before what comes again over the titles of each of two tables that share a column."""
    head = ("Run date,14/09/2026", "Exposure,42 d", "Cell area,10.0 cm2", "")
    rows = [row.format(f=f) for f in ("10000", "1000", "100", "10")]
    found = read(tmp_path, *head, *labels, titles, *rows)
    assert [one.panel for one in found] == ["K1-07.b1", "K1-07.b2"]
    assert column(found, "exposure_h") == [1008.0] * 8


def test_a_table_that_lacks_its_result_is_of_the_kind_that_lacks_nothing(tmp_path: Path) -> None:
    """Volumes of a foam are none of a density; minutes after shaking are in minutes."""
    found = read(
        tmp_path,
        "Shake test in 250 ml cylinders, 23 °C",
        "",
        ";Foam volume (ml);;",
        "min after shaking;K1-07;K1-08;K1-09",
        "0;66;61;75",
        "1;56;54;68",
        "5;30;34;47",
        "",
        "-08: foam stuck to the glass, read at the lower edge",
    )
    assert {one.kind for one in found} == {"foam"}
    assert [one.batch for one in found] == ["K1-07", "K1-08", "K1-09"]
    assert column(found, "elapsed_s") == [0.0, 60.0, 300.0] * 3


@pytest.mark.parametrize(
    "titles",
    [
        "Painel;Horas;Empolamento (4628-2);Enferrujamento (4628-3);Fissuração (4628-4)",
        "Panel;Hours;Blåsor (4628-2);Rost (4628-3);Sprickor (4628-4)",
        "Panel;h;Rakkuloita (EN ISO 4628-2);Ruoste (EN ISO 4628-3);Halkeilu (EN ISO 4628-4)",
    ],
)
def test_the_part_of_the_standard_says_what_is_rated(tmp_path: Path, titles: str) -> None:
    """In whatever language a title names it."""
    found = read(
        tmp_path,
        "Exposure: salt spray",
        "",
        titles,
        "K1-07.b1;168;2(S2);Ri1;0(S0)",
        "K1-07.b1;336;4(S3);Ri3;0(S0)",
    )
    rated = zip(column(found, "property"), column(found, "rating"), strict=True)
    assert [*rated] == [
        *(("blisters", "2(S2)"), ("rust", "Ri1"), ("cracking", "0(S0)")),
        *(("blisters", "4(S3)"), ("rust", "Ri3"), ("cracking", "0(S0)")),
    ]


@pytest.mark.parametrize(
    ("line", "titles"),
    [
        ("# units t:s H:mm T:degC", "t_off;H_foam;H_liq;T_col;I_LED"),
        ("Einheiten: t=s, H=mm, T=°C", "t_aus;H_Schaum;H_liq;T_Zelle;I_LED"),
        ("unités t:s; H:mm; T:degC", "t_arr;H_mousse;H_liq;T_cel;I_LED"),
    ],
)
def test_symbols_have_the_units_that_a_line_lists(tmp_path: Path, line: str, titles: str) -> None:
    """By their case: t is a time and T a temperature; before an underscore they are the same."""
    rows = ("0.0;118.5;61.0;22.9;848", "5.0;114.6;61.5;22.9;845", "10.0;110.8;61.9;22.9;846")
    head = ("sample;K1-07", "method;sparging", line, "")
    found = read(tmp_path, *head, titles, *rows)
    assert column(found, "elapsed_s") == [0.0, 5.0, 10.0]
    assert column(found, "foam_height_mm") == [118.5, 114.6, 110.8]
    assert column(found, "temperature_c") == [22.9] * 3
    twice = [f"{row};{row[0]}" for row in rows]
    with pytest.raises(FileHeld):  # of two times none is the one since the foam was made
        read(tmp_path, *head, f"{titles};t_on", *twice, name="twice.csv")


@pytest.mark.parametrize(
    ("titles", "letters"),
    [
        ("Charge;Duplo;Dichtheid (kg/m³);Temp. (°C)", "ab"),
        ("Batch;Duplicate;Density (kg/m³);Temp. (°C)", "AB"),
        ("Charge;Bestimmung;Dichte (kg/m³);Temp. (°C)", "ab"),
    ],
)
def test_letters_count_determinations(tmp_path: Path, titles: str, letters: str) -> None:
    """Below a word for them: under a word for nothing they may be what was done to the samples."""
    one, two = letters
    rows = [f"K1-07;{one};1538,1;20,0", f"K1-07;{two};1538,8;20,0", f"K1-08;{one};1542,2;20,0"]
    found = read(tmp_path, titles, *rows)
    assert column(found, "determination") == [1, 2, 1]
    assert column(found, "state") == ["not stated"] * 3
    _, word, *_ = titles.split(";")
    with pytest.raises(FileHeld, match="how the sample was treated"):
        read(tmp_path, titles.replace(word, "Xyz"), *rows, name="other.csv")


def test_the_trade_writes_portuguese_too(tmp_path: Path) -> None:
    """Words of a customer beside ours."""
    gloss = read(
        tmp_path,
        "Brilho especular (ISO 2813), unidades de brilho UB",
        "",
        "Ângulo;Leitura;K1-07.b1;K1-07.b2",
        "20°;1;3,9;4,2",
        "20°;2;4,1;4,4",
        "20°;média;4,0;4,3",
        "60°;1;25,8;28,3",
        "60°;2;25,0;27,1",
        "60°;média;25,4;27,7",
    )
    assert sorted(zip(column(gloss, "angle_deg"), column(gloss, "gloss_gu"), strict=True)) == [
        *((20, value) for value in (3.9, 4.1, 4.2, 4.4)),
        *((60, value) for value in (25.0, 25.8, 27.1, 28.3)),
    ]
    rust = read(
        tmp_path,
        "Avaliação após névoa salina neutra",
        "",
        "Painel;Tempo de exposição (h);Enferrujamento",
        "K1-07.b1;240;Ri1",
        "K1-07.b1;480;Ri3",
        name="rust.csv",
    )
    assert column(rust, "exposure") == ["neutral salt spray"] * 2
    film = read(
        tmp_path,
        "Painel;Leitura;Espessura seca (µm)",
        "K1-07.b1;1;118",
        "K1-07.b1;2;121",
        name="film.csv",
    )
    assert column(film, "thickness_um") == [118, 121]
    pulls = read(
        tmp_path,
        "Pastilha: 20 mm",
        "",
        "Painel;Ensaio;Tensão de rotura (MPa);Tipo de rotura",
        "K1-07.b1;1;6,2;B",
        "K1-07.b1;2;5,9;B",
        name="pulls.csv",
    )
    assert column(pulls, "strength_mpa") == [6.2, 5.9]


@pytest.mark.parametrize(
    ("titles", "summary"),
    [
        ("Batch,Pt,Value,Time", "Batch,n,Mean,SD,Min,Max"),
        ("Platte,Nr.,Wert,Uhrzeit", "Platte,n,Mittelwert,Stabw,Min,Max"),
        ("Panneau,N°,Valeur,Heure", "Panneau,n,Moyenne,Écart-type,Min,Max"),
    ],
)
def test_statistics_in_the_unit_of_a_head_have_no_peak(
    tmp_path: Path, titles: str, summary: str
) -> None:
    """Their greatest value is that of the readings above."""
    found = read(
        tmp_path,
        *("DFT GAUGE MEMORY", "Unit,um", "Zero,2026-03-12 08:55", ""),
        titles,
        *("K1-07.b1,1,87.5,09:10:12", "K1-07.b1,2,83.0,09:10:43", "K1-07.b1,3,85.0,09:11:12"),
        "",
        summary,
        "K1-07.b1,3,85.2,2.3,83.0,87.5",
    )
    assert column(found, "thickness_um") == [87.5, 83.0, 85.0]
