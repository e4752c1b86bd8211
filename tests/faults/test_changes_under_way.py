"""What changes under a running service: its settings, and the room on its disk."""

from __future__ import annotations

import shutil
from collections.abc import Callable

import pytest
from bad_exports import density
from labs import LabAtWork, Service, settings_text, wait_until
from truth import status

from tiecoat.cli import main
from tiecoat.lab.settings import SETTINGS

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]


def test_changed_settings_are_taken_up(lab: Make, serve: Serve) -> None:
    """A new inbox is watched and a new zone counts without a restart; what is wrong is told."""
    at_work = lab(times={"zone": "UTC"})
    service = serve(at_work)
    at_work.drop("before.csv", density(at="14.09.2026;08:00"))
    service.expect("filed   before.csv")
    (at_work.root / SETTINGS).write_text(settings_text({"times": {"zone": "Nowhere"}}))
    service.expect("the changed settings cannot be used, those of before count on: ")
    wait_until(lambda: status(at_work.root)[0] == 1, "told by the status")
    assert "trouble  the changed settings cannot be used" in status(at_work.root)[1]
    assert "times.zone" in status(at_work.root)[1]
    (at_work.root / "more").mkdir()
    inboxes = [{"path": "inbox"}, {"path": "more"}]
    (at_work.root / SETTINGS).write_text(
        settings_text({"times": {"zone": "Europe/Berlin"}, "inbox": inboxes})
    )
    service.expect("the settings have changed: going on with the new ones")
    (at_work.root / "more" / "after.csv").write_text(density(at="14.09.2026;09:00"))
    service.expect("filed   after.csv")
    hours = {row["source_name"]: row["measured_at"].hour for row in at_work.rows("density")}
    assert hours == {"before.csv": 8, "after.csv": 7}
    wait_until(lambda: status(at_work.root)[0] == 0, "well again")
    assert service.stop() == 0


def test_taking_in_where_an_inbox_is_out_of_reach_ends_with_2(
    lab: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    """What waits in the other inboxes is taken in; which one was not looked into is said."""
    at_work = lab(inbox=[{"path": "inbox"}, {"path": "share"}])
    at_work.drop("here.csv", density())
    (at_work.root / "share").rmdir()
    assert main(["take", "--lab", str(at_work.root)]) == 2
    printed = capsys.readouterr()
    assert "filed   here.csv" in printed.out
    assert f"the inbox {at_work.root / 'share'} is out of reach" in printed.err
    (at_work.root / "share").mkdir()
    assert main(["take", "--lab", str(at_work.root)]) == 0


def test_little_room_is_told_and_less_stops_intake(
    lab: Make, serve: Serve, capsys: pytest.CaptureFixture[str]
) -> None:
    """Below the limit the status tells; below a tenth of it files wait, and reading goes on."""
    at_work = lab()
    free_mb = shutil.disk_usage(at_work.root).free / 1e6
    service = serve(at_work)
    at_work.drop("first.csv", density(at="14.09.2026;08:00"))
    service.expect("filed   first.csv")
    at_work.settle(intake={"free_mb": round(2 * free_mb)})
    wait_until(lambda: "MB left, intake.free_mb is" in status(at_work.root)[1], "told")
    at_work.drop("second.csv", density(at="14.09.2026;09:00"))
    service.expect("filed   second.csv")
    at_work.settle(intake={"free_mb": round(20 * free_mb)})
    wait_until(lambda: "nothing is taken in until there is more" in status(at_work.root)[1], "told")
    at_work.drop("third.csv", density(at="14.09.2026;10:00"))
    assert main(["take", "--lab", str(at_work.root)]) == 2
    assert "nothing is taken in until there is more" in capsys.readouterr().err
    assert main(["contents", "--lab", str(at_work.root)]) == 0
    assert at_work.waiting() == ["third.csv"]
    at_work.settle()
    service.expect("filed   third.csv")
    wait_until(lambda: status(at_work.root)[0] == 0, "well again")
    assert service.stop() == 0
