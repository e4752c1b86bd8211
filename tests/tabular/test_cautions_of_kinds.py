"""What a file says of how it was measured, and no number shows, is a remark on its rows."""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import read_lines

from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.exposure_rating import KIND as EXPOSURE
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (CHAMBER, EXPOSURE)})
SCRIBED = ("", "Panel;Hours NSS;Width of delamination (mm);Scribe width (mm)", "K1-07.b1;480;7;1")
COLLECTED = ("Batch;Date;Temperature (°C);{};pH", "K1-07;2026-05-04;35;1.6;6.8")


def remarks(folder: Path, *lines: str) -> str:
    """Return all remarks on what is read of a text with these lines."""
    return "; ".join(one for m in read_lines(READER, folder / "a.csv", *lines) for one in m.remarks)


@pytest.mark.parametrize(
    "line",
    [
        "Measured on one side only",
        "einseitig gemessen",
        "mesuré d'un seul côté",
        "medido de un solo lado",
        "misura da un solo lato",
        "pomiar jednostronny",
        "gemeten aan één kant",
        "měřeno na jedné straně",
    ],
)
def test_a_width_of_one_side_is_remarked(tmp_path: Path, line: str) -> None:
    """A width over the scribe holds both sides; what was measured on one gives half the creep."""
    assert "one side of the scribe" in remarks(tmp_path, line, *SCRIBED)
    assert "one side" not in remarks(tmp_path, "Inspection 1", *SCRIBED)


def test_the_highest_creep_is_remarked(tmp_path: Path) -> None:
    """A creep is the mean along the scribe; the highest is another number."""
    table = ("", "Panel;Hours NSS;Delamination (mm)", "K1-07.b1;480;3")
    assert "highest value" in remarks(tmp_path, "Max creep from the scribe", *table)
    assert "highest value" not in remarks(tmp_path, "Creep from the scribe, 15 max", *table)


@pytest.mark.parametrize(
    ("area", "told"), [("100 cm²", True), ("80 cm²", False), ("80 cm2", False)]
)
def test_a_collector_of_another_area_is_remarked(tmp_path: Path, area: str, told: bool) -> None:
    """The spray is filed per 80 cm²; what another funnel collects is another volume."""
    titles, row = COLLECTED
    found = remarks(tmp_path, f"Funnel {area}", "", titles.format("Collected (ml/h)"), row)
    assert ("another area than 80 cm2" in found) is told
