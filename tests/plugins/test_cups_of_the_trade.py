"""Flow cups as laboratories name them, read by the one reader of tables."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Read = Callable[[Path], tuple[Any, dict[str, list[dict[str, Any]]]]]

NAMED = [
    ("DIN 4", "DIN 53211 4 mm"),
    ("DIN-Becher 4 mm", "DIN 53211 4 mm"),
    ("DIN 53 211", "DIN 53211 4 mm"),
    ("Zahn 2", "ASTM D4212 Zahn no. 2"),
    ("Zahn cup #2", "ASTM D4212 Zahn no. 2"),
    ("Zahn cup No. 3", "ASTM D4212 Zahn no. 3"),
    ("ASTM D4212 Zahn #4", "ASTM D4212 Zahn no. 4"),
    ("Zahn-Becher Nr. 5", "ASTM D4212 Zahn no. 5"),
    ("coupe Zahn n° 1", "ASTM D4212 Zahn no. 1"),
    ("Shell 2", "ASTM D4212 Shell no. 2"),
    ("Shell cup No. 2.5", "ASTM D4212 Shell no. 2.5"),
    ("Shell cup 2½", "ASTM D4212 Shell no. 2.5"),
    ("Shell #3 1/2", "ASTM D4212 Shell no. 3.5"),
    ("Shell 3,5", "ASTM D4212 Shell no. 3.5"),
    ("Shell-Becher Nr. 2,5", "ASTM D4212 Shell no. 2.5"),
    ("copa Shell 6", "ASTM D4212 Shell no. 6"),
    ("ISO 2431 4 mm", "ISO 2431 4 mm"),
    ("Ford cup no. 4", "ASTM D1200 no. 4"),
]


@pytest.mark.parametrize(("written", "cup"), NAMED)
def test_a_cup_is_known_by_the_name_that_the_trade_gives_it(
    written: str, cup: str, read: Read, tmp_path: Path
) -> None:
    """In a column of its own, in every row."""
    path = tmp_path / "cups.csv"
    path.write_text(
        f'"Batch","Cup","Efflux time (s)","Temp (°C)"\n'
        f'"RB-014","{written}","58.2","23.0"\n"RB-015","{written}","57.9","23.1"\n',
        encoding="utf-8",
    )
    reading, rows = read(path)
    assert rows, reading
    assert [row["cup"] for row in rows["viscosity"]] == [cup] * 2
    assert [row["efflux_s"] for row in rows["viscosity"]] == [58.2, 57.9]


@pytest.mark.parametrize("written", ["Zahn 2", "Shell 3.5", "DIN 4"])
def test_a_cup_named_in_the_title_of_its_times_is_known(
    written: str, read: Read, tmp_path: Path
) -> None:
    """`Zahn 2 [s]`: the column holds the efflux times of that cup."""
    path = tmp_path / "cups.csv"
    path.write_text(
        f"Batch;Temp. [°C];{written} [s]\nRB-014;23.0;31.5\nRB-015;23.1;33.0\n", encoding="utf-8"
    )
    reading, rows = read(path)
    assert rows, reading
    assert [row["efflux_s"] for row in rows["viscosity"]] == [31.5, 33.0]
    assert {row["cup"].split()[-3] for row in rows["viscosity"]} <= {"Zahn", "Shell", "53211"}


def test_a_zahn_cup_without_its_number_is_asked_for(read: Read, tmp_path: Path) -> None:
    """`Zahn` alone names five cups: held, not guessed."""
    path = tmp_path / "cups.csv"
    path.write_text(
        "Batch,Cup,Efflux time (s),Temp (°C)\nRB-014,Zahn,38.2,23.0\nRB-015,Zahn,37.9,23.1\n",
        encoding="utf-8",
    )
    _, rows = read(path)
    assert rows == {}
