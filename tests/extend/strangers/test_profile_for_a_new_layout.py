"""A new instrument without code: a table profile in the lab's readers folder is enough.

densimetre.toml beside this file is the example of the manual; densimetre.csv is an export whose
unit no built-in reader can know.
"""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import duckdb
import pytest

from tiecoat.cli import main
from tiecoat.lab.new_lab import new_lab

HERE = Path(__file__).parent
PROFILE = HERE / "densimetre.toml"
EXPORT = HERE / "densimetre.csv"
SETTINGS = """\
[intake]
settle_s = 0.1

[times]
zone = "Europe/Paris"

[readers]
folder = true
"""
ROWS = [  # as the export says, in the units of the archive; Paris is two hours ahead of UTC
    ("RB-014", datetime(2026, 9, 14, 6, 12, tzinfo=UTC), 22.8, 1.3912, "as mixed", 0.0),
    ("RB-014", datetime(2026, 9, 14, 6, 40, tzinfo=UTC), 23.0, 1.4375, "deaerated", 0.0),
    ("RB-015", datetime(2026, 9, 14, 7, 5, tzinfo=UTC), 23.1, 1.4021, "as mixed", 90.0),
]
KNOWN = """\
Batch;Date;Time;State;Sample temp. [°C];Density [g/cm³];Rest [min]
RB-016;14.09.2026;08:12;as mixed;22,8;1,39;0
"""


@pytest.fixture
def lab(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A new lab whose own readers folder is in use."""
    monkeypatch.setenv("COLUMNS", "200")  # else long lines are folded
    return new_lab(tmp_path / "lab", SETTINGS).root


def test_a_short_profile_adds_a_layout(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`try` shows who claims the file and its rows and files nothing; then `take` files them."""
    assert len(PROFILE.read_text(encoding="utf-8").splitlines()) < 25
    assert main(["try", str(EXPORT), "--lab", str(lab)]) == 1
    said = capsys.readouterr().out
    assert "It would be held: a value is outside what is possible for its column." in said
    assert "row 5, column 'density_g_cm3': found 1391.2 g/cm3; expected between 0.5 and 4" in said

    shutil.copy(PROFILE, lab / "readers")
    assert main(["try", str(EXPORT), "--lab", str(lab)]) == 0
    said = capsys.readouterr().out
    claims = said.split("density: 3 rows")[0]
    assert "densimetre" in claims
    assert "all 6 needed columns and 'Densimètre' in the first lines" in claims
    for value in ("RB-014", "2026-09-14 06:40:00+00:00", "1.3912", "deaerated", "90"):
        assert value in said
    assert "Nothing was filed now." in said
    assert [
        path for name in ("archive", "originals", "held") for path in (lab / name).iterdir()
    ] == []

    shutil.copy(EXPORT, lab / "inbox")
    assert main(["take", "--lab", str(lab)]) == 0
    assert filed(lab) == ROWS
    assert [*(lab / "inbox" / "done").glob(f"*/{EXPORT.name}")]


def test_what_is_wrong_with_a_profile_is_told_and_the_lab_goes_on(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each mistake is told with its line and key; other files are filed as before."""
    text = PROFILE.read_text(encoding="utf-8")
    mistakes = {
        'version = "1"': ("version = 1", "version = 1: allowed is a valid string"),
        'titles = ["Lot"]': ('titels = ["Lot"]', "batch.titels"),
        'unit = "kg/m³"': ('unit = "kg"', "columns.density_g_cm3.unit: found 'kg'"),
    }
    for good, (wrong, _) in mistakes.items():
        text = text.replace(good, wrong)
    (lab / "readers" / "densimetre.toml").write_text(text, encoding="utf-8")
    assert main(["readers", "--lab", str(lab)]) == 1
    said = capsys.readouterr().out.replace("\n", " ")
    for wrong, told in mistakes.values():
        (line,) = (n for n, line in enumerate(text.splitlines(), 1) if wrong in line)
        assert f"line {line}: {told}" in said

    shutil.copy(EXPORT, lab / "inbox")
    (lab / "inbox" / "bench.csv").write_text(KNOWN, encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 1
    said = capsys.readouterr().out
    assert "filed   bench.csv: density RB-016 (1 measurement), 1 row" in said
    assert "held    densimetre.csv: a value is outside what is possible for its column" in said


def filed(lab: Path) -> list[tuple[object, ...]]:
    """Return what the tables hold, read without the program."""
    with duckdb.connect() as connection:
        connection.execute("set timezone = 'UTC'")
        found = connection.execute(
            "select batch, measured_at at time zone 'UTC', temperature_c, density_g_cm3, state,"
            f" elapsed_s from read_parquet('{lab}/archive/density/*/data.parquet') order by 1, 2"
        ).fetchall()
    return [(batch, at.replace(tzinfo=UTC), *values) for batch, at, *values in found]
