"""A real service process beside a share whose server falls silent, answers again, and is lost."""

from __future__ import annotations

import json
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from bad_exports import density
from hanging_share import Share, share
from labs import LabAtWork, Service, wait_until

from tiecoat.cli import main
from tiecoat.service.health import HEALTH

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
IMPATIENT = """
import sys
from tiecoat.intake.inboxes import boxes
boxes.SILENT_S = 1.0
from tiecoat.cli import main
sys.exit(main(["serve", "--lab", sys.argv[1]]))
"""


@pytest.fixture
def mounted(tmp_path: Path) -> Iterator[Share]:
    """A share that can hang."""
    with share(tmp_path) as found:
        if found is None:
            pytest.skip("no file system of our own can be mounted here: it takes root and FUSE")
        yield found


def troubles(at_work: LabAtWork) -> list[str]:
    """What the health file says is in the way."""
    found: list[str] = json.loads((at_work.root / HEALTH).read_text("utf-8"))["troubles"]
    return found


def test_a_share_that_hangs(
    lab: Make, serve: Serve, mounted: Share, capsys: pytest.CaptureFixture[str]
) -> None:
    """The inbox beside it goes on; it is told and taken up again; stop and start do not wait."""
    on_share = {"path": str(mounted.place), "watch": "native", "after": "leave"}
    at_work = lab(inbox=[on_share, {"path": "inbox"}])
    (mounted.folder / "a.csv").write_text(density(at="14.09.2026;08:00"))
    command = [sys.executable, "-c", IMPATIENT, str(at_work.root)]
    service = serve(at_work, command)
    service.expect("filed   a.csv")

    mounted.fall_silent()
    silent = f"the inbox {mounted.place} is out of reach (it has not answered since 20"
    for hour in (9, 10):  # before the silence is noticed, and after
        at_work.drop(f"{hour}.csv", density(at=f"14.09.2026;{hour:02}:00"))
        service.expect(f"filed   {hour}.csv")
        service.expect(silent)
    wait_until(lambda: any(silent in one for one in troubles(at_work)), "the health file")
    capsys.readouterr()
    assert main(["service", "status", "--lab", str(at_work.root)]) == 1
    assert f"trouble  {silent}" in capsys.readouterr().out

    (mounted.folder / "b.csv").write_text(density(at="14.09.2026;11:00"))
    mounted.answer_again()
    service.expect(f"the inbox {mounted.place} is in reach")
    service.expect("filed   b.csv")
    wait_until(lambda: troubles(at_work) == [], "a health file without the trouble")
    assert service.output.count(silent) == 1

    mounted.fall_silent()
    wait_until(lambda: service.output.count(silent) == 2, "the second silence")
    stopped = time.monotonic()
    assert service.stop(signal.SIGTERM) == 0
    assert time.monotonic() - stopped < 12
    assert "stopped: 4 filed" in service.output
    assert "Traceback" not in service.output

    service = serve(at_work, command)
    at_work.drop("12.csv", density(at="14.09.2026;12:00"))
    service.expect("filed   12.csv")
    service.expect(silent)
    assert service.stop(signal.SIGTERM) == 0
    names = Counter(row["source_name"] for row in at_work.rows("density", withdrawn=True))
    assert names == {"a.csv": 1, "b.csv": 1, "9.csv": 1, "10.csv": 1, "12.csv": 1}
    assert at_work.sound()
