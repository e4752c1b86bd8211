"""Superseding shows what it replaces, and never leaves fewer measurements than it was shown to."""

from __future__ import annotations

from pathlib import Path

import pytest
from bad_exports import pull_off
from labs import LabAtWork, make_lab

from tiecoat.cli import main
from tiecoat.intake.filing.entry import Decision
from tiecoat.intake.held.files import find_held
from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.superseding import superseding
from tiecoat.intake.taking_in import retry

WHY = ["--why", "measured again"]


def strengths(*values: str, start: int = 1) -> str:
    """A pull-off export with one determination for each strength."""
    title = pull_off().splitlines()[0]
    each = [pull_off(number=n, strength=v) for n, v in enumerate(values, start)]
    return "\n".join([title, *(one.splitlines()[1] for one in each)]) + "\n"


def one_for_all(*values: str) -> str:
    """An export in which every row says it is determination 1."""
    title = pull_off().splitlines()[0]
    return "\n".join([title, *(pull_off(strength=v).splitlines()[1] for v in values)]) + "\n"


def valid(at_work: LabAtWork) -> dict[float, float]:
    return {row["determination"]: row["strength_mpa"] for row in at_work.rows("pull_off")}


@pytest.fixture(scope="module")
def three_filed(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab with three strengths filed."""
    made = make_lab(tmp_path_factory.mktemp("three") / "lab")
    made.drop("first.csv", strengths("4.1", "4.2", "4.3"))
    made.take()
    return made


@pytest.fixture
def at_work(three_filed: LabAtWork, tmp_path: Path) -> LabAtWork:
    """A copy of it."""
    return three_filed.copy(tmp_path / "lab")


def test_it_shows_what_it_replaces_before_it_does(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each replaced measurement is named with its file; with --show nothing is changed."""
    at_work.drop("second.csv", strengths("4.1", "5.2", "5.3", "5.4"))
    at_work.take()
    root = ["--lab", str(at_work.root)]
    for more, after in (
        (["--show"], {1: 4.1, 2: 4.2, 3: 4.3}),
        ([], {1: 4.1, 2: 5.2, 3: 5.3, 4: 5.4}),
    ):
        assert main(["supersede", "second.csv", *WHY, *more, *root]) == 0
        out = capsys.readouterr().out
        assert out.startswith("second.csv supersedes 2 measurements and adds 1:\n")
        assert out.count("from first.csv") == 2
        assert "determination 2: 1 row from first.csv" in out
        assert ("filed   second.csv" in out) == (not more)
        assert valid(at_work) == after
    assert at_work.held() == {}


def test_a_file_that_contradicts_itself_supersedes_nothing(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Five values under one determination do not become one, whatever a person decides."""
    at_work.drop("again.csv", one_for_all("5.1", "5.2", "5.3", "5.4", "5.5"))
    at_work.take()
    held = at_work.held()["again.csv"]
    assert held["reason"] == "given-twice"
    assert "tiecoat supersede" not in held["told"]
    before = at_work.every_row()
    assert main(["supersede", "again.csv", *WHY, "--lab", str(at_work.root)]) == 1
    assert "supersedes" not in capsys.readouterr().out
    assert at_work.every_row() == before
    assert at_work.held().keys() == {"again.csv"}


def test_what_was_not_shown_is_not_superseded(at_work: LabAtWork) -> None:
    """What another export has filed meanwhile keeps the file held, and nothing of it goes in."""
    at_work.drop("second.csv", strengths("5.1", "5.2", start=3))
    at_work.take()
    lab = at_work.lab
    held = find_held(lab, "second.csv")
    would = superseding(lab, held, "M. Keller", "measured again")
    assert len(would.existing) == 1
    at_work.drop("meanwhile.csv", strengths("4.4", start=4))
    at_work.take()
    outcomes: list[Outcome] = []
    decision = Decision("M. Keller", "measured again", would.existing)
    retry(lab, [held], Teller(print, outcomes.append), decision=decision)
    assert [one.status for one in outcomes] == ["held"]
    assert valid(at_work) == {1: 4.1, 2: 4.2, 3: 4.3, 4: 4.4}


@pytest.mark.parametrize("count", [1, 3, 5])
def test_it_never_leaves_fewer(at_work: LabAtWork, count: int) -> None:
    """Each superseded measurement has one of the file in its place."""
    at_work.drop("second.csv", strengths(*(f"6.{n}" for n in range(count)), start=2))
    at_work.take()
    before = valid(at_work)
    main(["supersede", "second.csv", *WHY, "--lab", str(at_work.root)])
    after = valid(at_work)
    assert after.keys() >= before.keys()
    assert len(after) == max(3, count + 1)
    old = [row for row in at_work.rows("pull_off", withdrawn=True) if row["withdrawn"]]
    assert len({row["superseded_by"] for row in old}) == len(old)
