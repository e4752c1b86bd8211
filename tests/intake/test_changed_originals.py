"""An original that is not what it was is told as damage, and nothing is filed from it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from bad_exports import density, pull_off
from labs import LabAtWork, Service, wait_until
from ordinary_rights import needs_rights, serving

from tiecoat.cli import main
from tiecoat.intake.filing import rounds
from tiecoat.intake.held.files import Held
from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.settings import Lab
from tiecoat.verify.report import Damage
from tiecoat.verify.verify import verify

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
RunAlone = Callable[[Sequence[str]], tuple[int, str]]


def run(at_work: LabAtWork, *arguments: str) -> int:
    """Run a command on the lab and return its exit code."""
    return main([*arguments, "--lab", str(at_work.root)])


def one_held(at_work: LabAtWork) -> tuple[str, Path]:
    """Have an export held that only lacks its batch; return its content, and its original."""
    content = density(batch="RB-14")
    at_work.drop("typo.csv", content)
    at_work.take()
    path = at_work.original(content)
    assert path is not None
    return content, path


@pytest.mark.parametrize("action", ["retry", "assign"])
def test_an_edited_original_is_not_filed(lab: Make, run_alone: RunAlone, action: str) -> None:
    """Trying it again tells the damage, with its path and what to do; the file stays held."""
    at_work = lab()
    content, path = one_held(at_work)
    path.write_text(content.replace("1,39", "9,39"))
    ids = ["--batch", "RB-014"] if action == "assign" else []
    command = [sys.executable, "-m", "tiecoat.cli", "held", action, "typo.csv", *ids]
    code, said = run_alone([*command, "--lab", str(at_work.root)])
    assert "Traceback" not in said
    assert code == 1
    assert f"damaged typo.csv: {path} was changed after it was stored" in said
    assert "take in a copy of the export" in said
    assert at_work.rows("density") == []
    assert at_work.held().keys() == {"typo.csv"}
    assert [one.damage for one in verify(at_work.lab).findings] == [Damage.ORIGINAL_CHANGED]
    # what the message advises heals it, whatever the copy is called
    at_work.drop("another name.csv", content)
    at_work.take()
    assert path.read_text() == content
    assert verify(at_work.lab).findings == ()
    assert run(at_work, "held", "assign", "typo.csv", "--batch", "RB-014") == 0
    assert [row["density_g_cm3"] for row in at_work.rows("density")] == [1.3912]


def test_what_lies_beside_an_original_is_not_read(lab: Make) -> None:
    """A copy that a person made there, or what a system leaves in folders, is not taken for it."""
    at_work = lab()
    content, path = one_held(at_work)
    (path.parent / ".DS_Store").write_bytes(b"\0\0\0\1Bud1")
    (path.parent / "a copy.csv").write_text(content.replace("1,39", "9,39"))
    assert run(at_work, "held", "assign", "typo.csv", "--batch", "RB-014") == 0
    assert [row["density_g_cm3"] for row in at_work.rows("density")] == [1.3912]
    assert [row["source_name"] for row in at_work.rows("density")] == ["typo.csv"]


def test_a_service_passes_over_a_changed_original(lab: Make, serve: Serve) -> None:
    """It tells the damage when it would try the file again, and files what else arrives."""
    at_work = lab(ids={"batch": "RB-[0-9]{3}", "panel": "T[0-9]{5}"})
    content = pull_off(panel="T00001")
    at_work.drop("waits for the register.csv", content)
    at_work.take()
    assert {one["reason"] for one in at_work.held().values()} == {"no-batch"}
    path = at_work.original(content)
    assert path is not None
    path.write_text(content.replace("4.72", "9.72"))
    service = serve(at_work)
    service.expect("was changed after it was stored")
    at_work.drop("next.csv", density())
    wait_until(lambda: len(at_work.rows("density")) == 1, "the next export")
    assert service.stop() == 0
    assert at_work.rows("pull_off") == []


@needs_rights
def test_an_original_that_cannot_be_read_is_kept_once(lab: Make, serve: Serve) -> None:
    """The same bytes under another name put it right in its place, and lie nowhere beside it."""
    at_work = lab()
    at_work.drop("first.csv", density())
    at_work.take()
    path = at_work.original(density())
    assert path is not None
    path.chmod(0)
    service = serve(at_work, serving(at_work.root))
    at_work.drop("again.csv", density())
    service.expect("known   again.csv: filed before, as first.csv")
    assert service.stop() == 0
    assert path.stat().st_mode & 0o400
    assert at_work.original(density()) == path
    assert verify(at_work.lab).findings == ()


def test_a_held_file_is_a_copy_of_what_arrived(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """An original that changes while its file is being held is told, and put right when held."""
    at_work = lab()
    told: list[Outcome] = []
    once: list[int] = []
    write_held = rounds.write_held

    def changed(lab: Lab, held: Held, original: Path) -> None:
        if not once:
            once.append(original.write_text("changed just now"))
        write_held(lab, held, original)

    monkeypatch.setattr(rounds, "write_held", changed)
    at_work.drop("bad.csv", density("x"))
    take(at_work.lab, [], Teller(at_work.said.append, told.append))
    assert [outcome.status for outcome in told] == ["damaged", "held"]
    place = at_work.held()["bad.csv"]["place"]
    assert (place / "bad.csv").read_text() == density("x")
    assert at_work.original(density("x"))
    assert at_work.waiting() == []
    assert at_work.sound()
