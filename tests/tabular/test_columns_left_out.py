"""A column of numbers is read, passed over for what it is called, or holds its file: never dropped.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.reasons import Reason
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (FILM, IMPEDANCE, RATING)})


def read(folder: Path, *lines: str) -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / "film.csv", *lines)


@pytest.mark.parametrize(
    "titles",
    [
        "Panel;WFT 1 (um);WFT 2 (um);DFT 1 (um);DFT 2 (um)",
        "Probe;NSD 1 [µm];NSD 2 [µm];TSD 1 [µm];TSD 2 [µm]",
        "Plaque;EPH 1 (µm);EPH 2 (µm);EPS 1 (µm);EPS 2 (µm)",
        "Vzorek;mokrý film 1 (µm);mokrý film 2 (µm);suchý film 1 (µm);suchý film 2 (µm)",
    ],
)
def test_readings_of_wet_and_dry_stand_side_by_side(tmp_path: Path, titles: str) -> None:
    """Readings numbered for the wet and again for the dry film are all read, each of its state."""
    found = read(tmp_path, titles, "K1-07.b2;200;210;101;102", "K1-07.b3;215;220;111;112")
    assert column(found, "thickness_um") == [200, 210, 101, 102, 215, 220, 111, 112]
    assert column(found, "state") == ["wet", "wet", "dry", "dry"] * 2
    assert column(found, "spot") == [1, 2] * 4


@pytest.mark.parametrize(
    ("titles", "cells", "told"),
    [
        ("WFT 1 (um);WFT 2 (um);thickness 1 (um);thickness 2 (um)", "200;210;101;102", "thickness"),
        ("Thickness (um);1;2", "140;101;102", "Thickness (um)"),
        ("WFT (um);DFT 1 (um);DFT 2 (um)", "200;101;102", "WFT (um)"),
        ("WFT 1 (um);WFT 2 (um);DFT (um)", "200;210;101", "DFT (um)"),
    ],
)
def test_readings_that_others_would_hide_hold(
    tmp_path: Path, titles: str, cells: str, told: str
) -> None:
    """A column whose values others tell too, without a word that parts them, holds the file."""
    with pytest.raises(FileHeld) as held:
        read(tmp_path, f"Panel;{titles}", f"K1-07.b2;{cells}", f"K1-07.b3;{cells}")
    assert {fault.reason for fault in held.value.faults} == {Reason.INCONSISTENT}
    assert all(str(fault.column).startswith(told) for fault in held.value.faults)


@pytest.mark.parametrize(
    "cells",
    [
        ("0", "1", "1", "2"),  # degrees that grow
        ("<5", "<5", "7", "12"),
        ("112/113/112", "114/113/113", "111/112/112", "112/112/112"),
        ("12 ± 1", "13 ± 2", "n. d.", "12 ± 1"),
    ],
)
def test_unknown_columns_of_numbers_hold(tmp_path: Path, cells: tuple[str, ...]) -> None:
    """Numbers under a title of no meaning hold, also where they grow or several stand in a cell."""
    rows = [f"K1-07.b{n};1{7 * n % 9}0;{cell}" for n, cell in enumerate(cells)]
    with pytest.raises(FileHeld) as held:
        read(tmp_path, "Panel;DFT (um);Zork", *rows)
    assert [fault.reason for fault in held.value.faults] == [Reason.UNTAKEN_COLUMN]
    assert held.value.faults[0].column == "Zork"


def test_a_number_of_the_row_is_passed_over(tmp_path: Path) -> None:
    """What counts the rows needs no title of the trade."""
    rows = [f"{n};K1-07.b{n};10{n}" for n in range(1, 5)]
    found = read(tmp_path, "Zork;Panel;DFT (um)", *rows)
    assert column(found, "thickness_um") == [101, 102, 103, 104]


_SWEEP = (  # a film that is a capacitance nearly: frequency, modulus, phase, and both a week later
    ("100000", "5151", "-84.2", "5174", "-84.0"),
    ("1000", "411500", "-85.5", "410600", "-85.5"),
    ("10", "34200000", "-85.2", "34100000", "-83.1"),
    ("0.1", "2170000000", "-54.2", "1510000000", "-34.2"),
)


def spectra(folder: Path, delimiter: str, head: list[str], order: list[int]) -> list[Measurement]:
    """Return what is read where the columns of the two sweeps stand in this order."""
    rows = [delimiter.join(row[n] for n in order) for row in _SWEEP]
    return read(folder, *head, *rows)


@pytest.mark.parametrize(
    ("delimiter", "head", "order"),
    [
        (
            ",",
            [
                "Panel,K1-07.b2",
                "Exposed area,13.85 cm2",
                "",
                "Frequency (Hz),|Z| 24 h (ohm),phase 24 h (deg),|Z| 168 h (ohm),phase 168 h (deg)",
            ],
            [0, 1, 2, 3, 4],
        ),
        (
            ";",
            [
                "Platte;K1-07.b2",
                "Messfläche;13,85 cm²",
                "",
                "f [Hz];|Z| [Ω] nach 1 d;|Z| [Ω] nach 7 d;Phase nach 1 d [°];Phase nach 7 d [°]",
            ],
            [0, 1, 3, 2, 4],
        ),
        (
            ",",
            [
                "# Pannello: K1-07.b2",
                "# Area bagnata: 13.85 cm2",
                "Immersione 24 h,,,Immersione 168 h,,",
                "Frequenza (Hz),|Z| (ohm),Fase (gradi),Frequenza (Hz),|Z| (ohm),Fase (gradi)",
            ],
            [0, 1, 2, 0, 3, 4],
        ),
        (
            ";",
            [
                "Panel;K1-07.b2",
                "Área mojada;13,85 cm²",
                "",
                "Frecuencia (Hz);Módulo |Z| (Ω);;Ángulo de fase (°);",
                ";1 d;7 d;1 d;7 d",
            ],
            [0, 1, 3, 2, 4],
        ),
    ],
)
def test_sweeps_side_by_side_are_told_apart_by_their_hours(
    tmp_path: Path, delimiter: str, head: list[str], order: list[int]
) -> None:
    """Modulus and phase for each time in the bath are a sweep each, whichever way they stand."""
    found = spectra(tmp_path, delimiter, head, order)
    assert [set(one.columns["exposure_h"]) for one in found] == [{24.0}, {168.0}]
    assert [one.panel for one in found] == ["K1-07.b2"] * 2
    assert all(sorted(one.columns["frequency_hz"]) == [0.1, 10, 1000, 100000] for one in found)
    real = [
        dict(zip(c["frequency_hz"], c["z_real_ohm"], strict=True))
        for c in (m.columns for m in found)
    ]
    # modulus x cos(phase), by hand
    assert real[0][0.1] == pytest.approx(2170000000 * 0.584958, rel=1e-5)
    assert real[1][0.1] == pytest.approx(1510000000 * 0.827081, rel=1e-5)


def test_the_sign_of_a_sweep_side_by_side_is_kept(tmp_path: Path) -> None:
    """A minus before an imaginary part counts though hours stand in its title."""
    found = read(
        tmp_path,
        "Panel,K1-07.b2",
        "Area,14.6 cm2",
        "",
        "f (Hz),Z' 24 h (ohm),-Z'' 24 h (ohm),Z' 168 h (ohm),-Z'' 168 h (ohm)",
        "100000,349,4988,350,4988",
        "1000,37955,433825,39469,433690",
        "10,3964650,37721100,4227890,37692500",
        "0.1,402591000,3278840000,436905000,3274450000",
    )
    assert column(found, "z_imag_ohm")[0] == -4988
    assert len(found) == 2


def test_a_sweep_without_its_phase_holds(tmp_path: Path) -> None:
    """Where one of several times lacks the phase, nothing is filed."""
    with pytest.raises(FileHeld):
        read(
            tmp_path,
            "Panel,K1-07.b2",
            "Area,14.6 cm2",
            "",
            "f (Hz),|Z| 24 h (ohm),phase 24 h (deg),|Z| 24 h (ohm),phase 24 h (deg)",
            "100000,5151,-84.2,5174,-84.0",
            "1000,411500,-85.5,410600,-85.5",
            "10,34200000,-85.2,34100000,-83.1",
        )


FAR = "Panel;1;2;3;Mean;Min;Max"


@pytest.mark.parametrize(
    ("summaries", "held"),
    [("188.4;171;204", True), ("344.3;330;355", False), ("344.3;336;350", False)],
)
def test_readings_outside_their_own_least_and_most_hold(
    tmp_path: Path, summaries: str, held: bool
) -> None:
    """Where no reading lies between the least and most beside it, one of both is wrong."""
    lines = ("Dry film thickness (µm)", FAR, f"K1-07.b2;343;340;350;{summaries}")
    if not held:
        assert column(read(tmp_path, *lines), "thickness_um") == [343, 340, 350]
        return
    with pytest.raises(FileHeld, match="readings from 340 to 350, beside a least of 171"):
        read(tmp_path, *lines)
