"""What `tiecoat try` shows on a narrow terminal: no id, number or time is broken within itself."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tiecoat.cli import main
from tiecoat.lab.new_lab import new_lab

EXAMPLE = Path(__file__).parents[2] / "archive_example"
EXPORTS = EXAMPLE / "exports"


@pytest.mark.parametrize("columns", [60, 80, 200])
def test_ids_and_times_stand_whole(
    columns: int,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Six pull-off tests of a panel: columns that do not fit stand below, with their rows."""
    for name, value in {"COLUMNS": str(columns), "LINES": "60", "TERM": "dumb"}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    export = EXPORTS / "pull-off" / "Abreißversuch RB-010-1.csv"
    lab = new_lab(tmp_path / "lab", (EXAMPLE / "tiecoat.toml").read_text(encoding="utf-8"))
    assert main(["try", str(export), "--lab", str(lab.root)]) == 0
    out = capsys.readouterr().out
    words = out.split()
    assert words.count("RB-010-1") == 6
    assert words.count("RB-010") == 6
    assert [word[-5:] for word in words if word.startswith("ba92f952c56b33b1")] == [
        f"-000{place}" for place in range(1, 7)
    ]
    assert "2026-10-05 06:34:00+00:00" in out
    for heading in ("determination", "dolly_diameter_mm", "strength_mpa", "failure"):
        assert heading in words
    assert words.count("8.39701") == 1
    assert max(map(len, out.splitlines())) <= columns
