"""Each file is made again by the settings that it was filed by; today's are told beside."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from bad_exports import density, impedance
from labs import LabAtWork, make_lab

from tiecoat.cli import main


def run(at_work: LabAtWork, *words: str) -> int:
    return main([*words, "--lab", str(at_work.root)])


@pytest.fixture
def filed(tmp_path: Path) -> LabAtWork:
    """A lab in Berlin with a density and a spectrum."""
    made = make_lab(tmp_path / "lab")
    made.drop("density.csv", density())
    made.drop("spectrum.csv", impedance(panel="RB-014-3"))
    assert {one.status for one in made.take().values()} == {"filed"}
    return made


CHANGED: dict[str, tuple[dict[str, dict[str, Any]], str]] = {
    "zone": (
        {"times": {"zone": "America/New_York"}},
        'times.zone: "Europe/Berlin" then, "America/New_York" now',
    ),
    "ids": (
        {"ids": {"batch": "P[0-9]{4}", "panel": "(?P<batch>P[0-9]{4})/[0-9]"}},
        'ids.batch: "RB-[0-9]{3}" then, "P[0-9]{4}" now',
    ),
    "code page": ({"text": {"code_page": "cp437"}}, 'text.code_page: "cp1252" then, "cp437" now'),
}


@pytest.mark.parametrize("which", CHANGED)
def test_a_rebuild_after_a_changed_setting_is_clean(
    filed: LabAtWork, which: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Rows come out as they were, and which setting is another now is told."""
    before = filed.every_row()
    changed, said = CHANGED[which]
    filed.settle(**changed)
    capsys.readouterr()
    assert run(filed, "rebuild") == 0
    assert filed.every_row() == before
    out = capsys.readouterr().out
    assert "settings that files were filed by, and that are others now" in out
    assert said in out
    assert ("would be held by today's settings (2)" in out) == (which == "ids")
    assert ("would be read otherwise by today's settings (2)" in out) == (which == "zone")
    assert run(filed, "verify") == 0


def test_files_of_two_settings_are_made_again_by_their_own(filed: LabAtWork) -> None:
    """Filed in one zone, then in another: each keeps the times that it was filed with."""
    filed.settle(times={"zone": "America/New_York"})
    filed.drop("later.csv", density(at="21.09.2026;08:00"))
    assert filed.take()["later.csv"].status == "filed"
    before = filed.every_row()
    assert run(filed, "rebuild") == 0
    assert filed.every_row() == before


def test_all_is_read_anew_by_the_settings_of_today_when_asked(filed: LabAtWork) -> None:
    """A wrong zone is put right for all that was filed; from then on these settings count."""
    before = {row["source_name"]: row["measured_at"] for row in filed.every_row()}
    filed.settle(times={"zone": "UTC"})
    assert run(filed, "rebuild", "--by-today") == 1
    assert run(filed, "rebuild", "--by-today", "--accept") == 0
    after = {row["source_name"]: row["measured_at"] for row in filed.every_row()}
    assert {(after[name] - before[name]).total_seconds() for name in before} == {7200.0}
    rows = filed.every_row()
    filed.settle()
    assert run(filed, "rebuild") == 0
    assert filed.every_row() == rows
    assert run(filed, "verify") == 0


def test_other_patterns_of_ids_are_named_where_all_would_be_lost_for_them(
    filed: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not a hundred files to be left out: both patterns side by side keep all of them."""
    before = filed.every_row()
    filed.settle(ids={"batch": "P[0-9]{4}", "panel": "(?P<batch>P[0-9]{4})/[0-9]"})
    capsys.readouterr()
    assert run(filed, "rebuild", "--by-today") == 1
    out = capsys.readouterr().out
    assert "the patterns of ids are others than those that files were filed by (2)" in out
    assert '  ids.batch: "RB-[0-9]{3}" then, "P[0-9]{4}" now\n' in out
    assert "--leave-out" not in out
    assert "as a list such as batch = " in out
    filed.settle(
        ids={
            "batch": ["RB-[0-9]{3}", "P[0-9]{4}"],
            "panel": ["(?P<batch>RB-[0-9]{3})-[0-9]", "(?P<batch>P[0-9]{4})/[0-9]"],
        }
    )
    assert run(filed, "rebuild", "--by-today") == 0
    assert filed.every_row() == before
