"""What was filed and is not in the tables any more is damage: nothing is worked out without it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from bad_exports import density, pull_off
from labs import LabAtWork
from undrawn import undrawn

import tiecoat
from tiecoat.cli import main
from tiecoat.errors import ArchiveDamaged

PLACE = "archive/pull_off/RB-014/data.parquet"


def delete(root: Path) -> None:
    (root / PLACE).unlink()


def forget_index(root: Path) -> None:
    for path in root.glob("index.sqlite*"):
        path.unlink()


def without_index(root: Path) -> None:
    delete(root)
    forget_index(root)


def reindexed(root: Path) -> None:
    delete(root)
    main(["reindex", "--lab", str(root)])


def seen_by_a_writer(root: Path) -> None:
    delete(root)
    main(["take", "--lab", str(root)])


def an_older_copy(root: Path) -> None:
    """The table as it was before its second filing, put back later."""
    path = root / PLACE
    newer = path.read_bytes()
    path.write_bytes((root / "older copy").read_bytes())
    assert path.read_bytes() != newer


WAYS = [delete, without_index, reindexed, seen_by_a_writer, an_older_copy]


@pytest.fixture(scope="module")
def filed_twice(eventful: LabAtWork, tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab whose table of pull-off tests was filed in twice, with a copy from in between."""
    made = eventful.copy(tmp_path_factory.mktemp("filed twice") / "lab")
    shutil.copy(made.root / PLACE, made.root / "older copy")
    made.drop("third.csv", pull_off(panel="RB-014-4"))
    assert made.take()["third.csv"].status == "filed"
    return made


@pytest.fixture
def lab(filed_twice: LabAtWork, tmp_path: Path) -> LabAtWork:
    """A copy of it, to be damaged."""
    return filed_twice.copy(tmp_path / "lab")


@pytest.mark.parametrize("damage", WAYS)
def test_no_command_computes_without_a_table(
    lab: LabAtWork, damage: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """Commands that compute or list end with 2, name the table, and say what mends it."""
    damage(lab.root)
    for command in (["evaluate", "pull_off"], ["compare"], ["report"], ["contents"]):
        capsys.readouterr()
        assert main([*command, "--lab", str(lab.root)]) == 2, command
        told = capsys.readouterr().err
        assert PLACE in told
        assert "tiecoat rebuild" in told
    assert not (lab.root / "reports").exists()


@pytest.mark.parametrize("damage", WAYS)
def test_no_question_is_answered_without_a_table(
    lab: LabAtWork, damage: Callable[[Path], None]
) -> None:
    """`tiecoat.open` raises for every question that the lacking rows belong to, and no other."""
    damage(lab.root)
    archive = tiecoat.open(lab.root)
    questions: list[Callable[[], object]] = [
        lambda: archive.read("pull_off"),
        lambda: archive.read("pull_off", batch="RB-014"),
        lambda: archive.read("pull_off", panel="RB-014-3"),
        lambda: archive.arrow("pull_off"),
        lambda: archive.sql("select count(*) from pull_off"),
        archive.measurements,
        lambda: archive.evaluate("pull_off"),
        lambda: archive.kinds() if damage is not an_older_copy else archive.read("pull_off"),
    ]
    for ask in questions:
        with pytest.raises(ArchiveDamaged, match=f"(?s){re.escape(PLACE)}.*tiecoat rebuild"):
            ask()
    assert len(archive.read("density", batch="RB-014"))


@pytest.mark.parametrize("damage", [delete, an_older_copy])
def test_what_the_message_says_heals(lab: LabAtWork, damage: Callable[[Path], None]) -> None:
    """`tiecoat rebuild` makes the rows again that were there."""
    before = lab.every_row()
    damage(lab.root)
    assert main(["rebuild", "--lab", str(lab.root)]) == 0
    assert lab.every_row() == before
    assert main(["verify", "--lab", str(lab.root)]) == 0
    assert main(["contents", "--lab", str(lab.root)]) == 0


def test_an_export_taken_in_again_brings_its_rows_back(lab: LabAtWork) -> None:
    """It is not "known" while its rows are lacking, and nothing else goes into such a table."""
    before = [row for row in lab.rows("pull_off", withdrawn=True) if row["panel"] == "RB-014-4"]
    an_older_copy(lab.root)
    lab.drop("other.csv", pull_off(panel="RB-014-5"))
    with pytest.raises(ArchiveDamaged, match="is not whole: it lacks 1 measurement "):
        lab.take()
    (lab.inbox / "other.csv").unlink()
    lab.drop("third.csv", pull_off(panel="RB-014-4"))
    assert lab.take()["third.csv"].status == "filed"
    after = [row for row in lab.rows("pull_off", withdrawn=True) if row["panel"] == "RB-014-4"]
    assert after == before
    assert main(["verify", "--lab", str(lab.root)]) == 0
    assert main(["contents", "--lab", str(lab.root)]) == 0


def test_a_report_names_the_state_of_the_archive(lab: LabAtWork) -> None:
    """It says after which entry of the journal it was made; one more filing shows in it."""
    told = []
    for number in (1, 2):
        last = lab.journal()[-1]
        with undrawn():
            told_of = ["report", "--to", str(lab.root / f"r{number}"), "--lab", str(lab.root)]
            assert main(told_of) < 2
        page = (lab.root / f"r{number}" / "report.html").read_text(encoding="utf-8")
        time = last["at"][:19].replace("T", " ")
        said = f"after the entry of {time} in its journal, whose hash begins {last['hash'][:12]}."
        assert said in re.sub(r"</?span[^>]*>", "", page)
        told.append(said)
        lab.drop("later.csv", density(at="21.09.2026;08:00"))
        lab.take()
    assert told[0] != told[1]
