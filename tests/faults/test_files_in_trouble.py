"""Files whose trouble is their own: others go on, in number too, and each is tried again."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

from bad_exports import density
from labs import LabAtWork, Service, wait_until
from ordinary_rights import needs_rights, serving
from truth import Truth, status

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
RunAlone = Callable[[Sequence[str]], tuple[int, str]]
PATIENCE_S = 90.0
FEW = """
from tiecoat.intake import intake
from tiecoat.intake.inboxes import again
from tiecoat.service import health
intake.ON_THE_WAY = intake.PRESERVED = intake.ROUND_FILES = 4
again.LONGEST_S = 1.0
health.BEAT_S = 1.0
"""
STUCK = 14  # more than may be on their way


@needs_rights
def test_files_that_cannot_be_moved_block_nothing(lab: Make, serve: Serve) -> None:
    """Exports of a folder that may not be changed are filed and told; those of others go on."""
    at_work = lab(inbox=[{"path": "inbox"}, {"path": "second"}])
    folder = at_work.inbox / "read only"
    for n in range(STUCK):
        at_work.drop(f"stuck {n:02}.csv", density(at=f"14.09.2026;08:{n:02}"), folder.name)
    folder.chmod(0o555)
    service = serve(at_work, serving(at_work.root, FEW))
    truth = Truth(at_work.root)
    try:
        told = f"trouble  {STUCK} files cannot be taken out of the inbox, trying again"
        all_filed = lambda: len(at_work.rows("density")) == STUCK  # noqa: E731
        said = truth.until(1, all_filed, "all filed", PATIENCE_S)
        wait_until(lambda: told in status(at_work.root)[1], "all told by the status", PATIENCE_S)
        assert str(folder / "stuck 00.csv") in said
        for number, inbox in enumerate(("inbox", "second")):
            name = at_work.root / inbox / "free.csv"
            name.write_text(density(at=f"14.09.2026;09:{number:02}"))
            wait_until(lambda one=name: not one.exists(), f"free.csv of {inbox}", PATIENCE_S)
        at_work.drop("bad.csv", density("x"))
        wait_until(lambda: "bad.csv" in at_work.held(), "another one is held", PATIENCE_S)
        lines = [line for line in service.output.splitlines() if "cannot be taken out" in line]
        assert 1 <= len(lines) <= STUCK
        assert len([line for line in service.output.splitlines() if " filed " in line]) == STUCK + 2
    finally:
        folder.chmod(0o755)
    wait_until(lambda: at_work.waiting() == [folder.name], "an inbox that is empty", PATIENCE_S)
    wait_until(lambda: "trouble" not in status(at_work.root)[1], "no trouble", PATIENCE_S)
    assert len(at_work.rows("density", withdrawn=True)) == STUCK + 2
    assert service.stop() == 0


@needs_rights
def test_a_hold_that_cannot_be_deleted_blocks_nothing(
    lab: Make, serve: Serve, run_alone: RunAlone
) -> None:
    """What the register frees is filed though its held folder cannot be deleted yet."""
    at_work = lab()
    at_work.drop("typo.csv", density(batch="RB-14"))
    at_work.take()
    held = at_work.held()["typo.csv"]["place"]
    serve(at_work, serving(at_work.root, FEW))
    settings = at_work.root / "tiecoat.toml"
    settings.write_text(settings.read_text().replace("RB-[0-9]{3}", "RB-[0-9]{2,3}"))
    held.parent.chmod(0o555)
    command = [*serving(at_work.root)[:-3], "held", "retry", "--lab", str(at_work.root)]
    try:
        _, said = run_alone(command)
        assert "Traceback" not in said
        assert "filed   typo.csv" in said
        assert f"{held} is held no longer and cannot be deleted" in said
    finally:
        held.parent.chmod(0o755)
    assert [row["batch"] for row in at_work.rows("density")] == ["RB-14"]
    assert json.loads((held / "reason.json").read_text())["name"] == "typo.csv"
    at_work.take()  # the next start completes it
    assert at_work.held() == {}
