"""A journal that was lost or cut is damage: no everyday command goes on as if nothing were."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from bad_exports import density
from labs import LabAtWork

import tiecoat
from tiecoat.cli import main
from tiecoat.errors import ArchiveDamaged
from tiecoat.verify.report import Damage
from tiecoat.verify.verify import verify


def lose(root: Path) -> None:
    shutil.rmtree(root / "journal")


def cut(root: Path) -> None:
    (path,) = (root / "journal").iterdir()
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-3]))


def lose_and_index_anew(root: Path) -> None:
    lose(root)
    main(["reindex", "--lab", str(root)])


def cut_and_go_on(root: Path) -> None:
    cut(root)
    at_work = LabAtWork(root)
    at_work.drop("later.csv", density(at="21.09.2026;08:00"))
    assert at_work.take()["later.csv"].status == "filed"


WAYS = [lose, cut, lose_and_index_anew, cut_and_go_on]
EVERYDAY = (["contents"], ["evaluate", "pull_off"], ["compare"], ["report"], ["measurements"])


@pytest.mark.parametrize("damage", WAYS)
def test_no_question_is_answered_without_it(
    at_work: LabAtWork, damage: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """Also after the index was made anew, or more was taken in: it stays known as lacking."""
    damage(at_work.root)
    assert main(["contents", "--lab", str(at_work.root)]) == 2
    told = capsys.readouterr().err
    assert f"{at_work.root / 'journal'} is not whole: it lacks the record " in told
    with pytest.raises(ArchiveDamaged, match=re.escape("Put the journal back from a backup")):
        tiecoat.open(at_work.root).read("pull_off")


def test_everyday_commands_say_so(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """Each ends with 2 and says what to do; done, it heals, and no row is lost."""
    cut_and_go_on(at_work.root)
    before = at_work.every_row()
    for command in EVERYDAY:
        capsys.readouterr()
        assert main([*command, "--lab", str(at_work.root)]) == 2, command
        assert "tiecoat rebuild --accept" in capsys.readouterr().err
    assert main(["rebuild", "--accept", "--lab", str(at_work.root)]) == 0
    assert at_work.every_row() == before
    for command in (["contents"], ["verify"]):
        assert main([*command, "--lab", str(at_work.root)]) == 0


def test_a_journal_put_back_heals(at_work: LabAtWork) -> None:
    """With the copy in its place, all is as before."""
    copy = at_work.root.with_name("journal of before")
    shutil.copytree(at_work.root / "journal", copy)
    lose(at_work.root)
    assert main(["contents", "--lab", str(at_work.root)]) == 2
    shutil.copytree(copy, at_work.root / "journal")
    assert main(["contents", "--lab", str(at_work.root)]) == 0
    assert verify(at_work.lab).findings == ()


def test_verify_names_a_journal_that_was_cut(at_work: LabAtWork) -> None:
    """Also where only a retraction is gone, which no other part of the lab must know; it stays."""
    (name,) = {row["measurement"] for row in at_work.rows("pull_off")}
    retract = ["retract", name, "--why", "slipped", "--lab", str(at_work.root)]
    assert main(retract) == 0
    at_work.drop("later.csv", density(at="21.09.2026;08:00"))
    at_work.take()
    before = at_work.every_row()
    (path,) = (at_work.root / "journal").iterdir()
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:-2]))
    found = [(one.damage, one.where) for one in verify(at_work.lab).findings]
    assert (Damage.NOT_IN_JOURNAL, "journal") in found
    assert main(["rebuild", "--accept", "--lab", str(at_work.root)]) == 0
    assert at_work.every_row() == before
    assert verify(at_work.lab).findings == ()
