"""Signs behind a symbol, short titles of loggers, and what a tester writes of a limit.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.schemas.batches import KIND as BATCHES
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (BATCHES, DENSITY, FILM, FOAM, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


@pytest.mark.parametrize("title", ["Zim_neg_ohm", "Zim (neg) / ohm", "Zimag neg. [ohm]"])
def test_a_sign_may_stand_behind_a_symbol(tmp_path: Path, title: str) -> None:
    """The column holds the negative of the imaginary part; where it does not, it is held."""
    head = ("Specimen,K1-07.b1", "Immersed_days,7", "Area_cm2,14.60", "")
    titles = f"idx,freq_Hz,Zre_ohm,{title},range"
    rows = [f"{n},{1000 / 10**n:g},{1.1 + n},{{}}{18.4 * 10**n:g},7" for n in range(4)]
    found = read_lines(READER, tmp_path / "a.csv", *head, titles, *[r.format("") for r in rows])
    assert column(found, "z_imag_ohm") == pytest.approx([-18.4, -184.0, -1840.0, -18400.0])
    turned = read_lines(READER, tmp_path / "b.csv", *head, titles, *[r.format("-") for r in rows])
    assert IMPEDANCE.check is not None
    faults = [*IMPEDANCE.check(turned[0].columns)]
    assert faults, "a positive imaginary part is no film"


@pytest.mark.parametrize(
    ("titles", "rows"),
    [
        ("pt,t_min,rho_kgm3,Tp_C,amp,flag", ("0,0,1240.9,22.9,0.83,0", "1,5,1242.9,23.1,0.84,0")),
        (
            "no;Zeit (min);Dichte (kg/m³);T cel (°C);ampl",
            ("0;0;1240.9;22.9;2", "1;5;1242.9;23.1;2"),
        ),
        (
            "n.º;tempo (min);densidade (kg/m³);T célula (°C);lat;lon",
            ("0;0;1240,9;22,9;40,6;-8,7", "1;5;1242,9;23,1;40,6;-8,7"),
        ),
    ],
)
def test_what_a_logger_writes_of_itself_and_of_its_place(
    tmp_path: Path, titles: str, rows: tuple[str, str]
) -> None:
    """An amplitude and where on earth it stood are no results; the cell's temperature is one."""
    found = read_lines(READER, tmp_path / "log.csv", "Sample: K1-07", "", titles, *rows)
    assert column(found, "density_g_cm3") == pytest.approx([1.2409, 1.2429])
    assert column(found, "temperature_c") == pytest.approx([22.9, 23.1])
    assert column(found, "elapsed_s") == [0, 300]


@pytest.mark.parametrize(
    ("check", "state", "expected"),
    [
        ("Verificação água 20 °C;OK (0,99819)", "desgaseificada", "deaerated"),
        ("Kontrolle Wasser 20 °C;OK (0,99819)", "nach Dissolver", "as mixed"),
        ("Calibração com água 20 °C;0,99819", "após mistura", "as mixed"),
    ],
)
def test_water_that_a_tube_was_checked_with_is_no_sample(
    tmp_path: Path, check: str, state: str, expected: str
) -> None:
    """The state of the samples is what their column says."""
    found = read_lines(
        READER,
        tmp_path / "tube.csv",
        check,
        "",
        "N.º;Amostra;T cel /°C;Densidade /(g/cm³);Estado",
        f"1;K1-07;22,98;1,4126;{state}",
        f"2;K1-07;22,99;1,4118;{state}",
    )
    assert column(found, "state") == [expected] * 2


@pytest.mark.parametrize(
    "head", ["espessura do filme húmido (µm)", "película húmida (µm)", "espessura húmida (µm)"]
)
def test_a_wet_film_in_portuguese_is_wet(tmp_path: Path, head: str) -> None:
    """Nothing but its title says so."""
    titles = f"Chapa;{head}"
    found = read_lines(READER, tmp_path / "pente.csv", titles, "K1-07.b1;150", "K1-07.b2;125")
    assert column(found, "state") == ["wet", "wet"]


@pytest.mark.parametrize(
    ("title", "verdict"),
    [("Result", "FAIL"), ("Ergebnis", "n.i.O."), ("Resultado", "não conforme"), ("Result", "pass")],
)
def test_a_verdict_is_no_result(tmp_path: Path, title: str, verdict: str) -> None:
    """A tester says of each pull whether it reached its limit: the peak is the strength."""
    head = ("Gauge;P1", "Units;MPa", "Dolly;20 mm", "")
    titles = f"Job;Test;Pull rate;Limit;Max;{title};Attribute"
    rows = (f"K1-07.b1;1;0.7;off;7.91;{verdict};B/C", f"K1-07.b1;2;0.7;off;8.73;{verdict};B")
    found = read_lines(READER, tmp_path / "memory.csv", *head, titles, *rows)
    assert column(found, "strength_mpa") == [7.91, 8.73]
    assert column(found, "failure") == ["B/C", "B"]


def test_a_number_amid_verdicts_holds_the_file(tmp_path: Path) -> None:
    """Then the column may hold strengths after all."""
    rows = ("K1-07.b1;1;7.91;FAIL;B/C", "K1-07.b1;2;8.73;9.1;B")
    head = ("Units;MPa", "Dolly;20 mm", "", "Job;Test;Max;Result;Attribute")
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "mixed.csv", *head, *rows)
