"""`tiecoat rebuild` beside a service that files on: nothing is lost, or filed twice."""

from __future__ import annotations

from collections.abc import Callable

from bad_exports import density
from labs import LabAtWork, Service, wait_until

from tiecoat.cli import main
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.verify.verify import verify

Serve = Callable[..., Service]
PATIENCE_S = 60.0


def filed(at_work: LabAtWork, name: str) -> bool:
    """Say whether the journal has an export as filed."""
    return any(one["event"] == "filed" and one["name"] == name for one in at_work.journal())


def test_what_is_filed_meanwhile_is_in_the_new_archive(at_work: LabAtWork, serve: Serve) -> None:
    """The service files while the archive is made again, and goes on with the new one."""
    service = serve(at_work)
    service.expect("watching", PATIENCE_S)
    at: list[str] = []

    def told(what: str, done: int, total: int) -> None:
        if what == "filing again" and not at:
            at.append(what)
            at_work.drop("meanwhile.csv", density(at="20.09.2026;08:00"))
            wait_until(lambda: filed(at_work, "meanwhile.csv"), "it is filed", PATIENCE_S)

    rebuilt = rebuild(at_work.lab, "M. Keller", told=told)
    assert at == ["filing again"]
    assert (rebuilt.swapped, bool(rebuilt.differences)) == (True, False)
    at_work.drop("afterwards.csv", density(at="21.09.2026;08:00"))
    at_work.drop("known.csv", density(at="20.09.2026;08:00"))
    wait_until(lambda: filed(at_work, "afterwards.csv"), "it is filed", PATIENCE_S)
    wait_until(lambda: "known.csv" not in at_work.waiting(), "it is known", PATIENCE_S)
    assert service.stop() == 0
    names = [row["source_name"] for row in at_work.rows("density")]
    assert (names.count("meanwhile.csv"), names.count("afterwards.csv")) == (1, 1)
    assert verify(at_work.lab).findings == ()


def test_what_is_reinstated_meanwhile_counts_in_the_new_archive(at_work: LabAtWork) -> None:
    """A decision on what was filed before is not lost: the archive is then made once more."""
    retracted = [one for one in at_work.journal() if one["event"] == "retracted"]
    (name,) = retracted[0]["measurements"]
    times: list[int] = []

    def told(what: str, done: int, total: int) -> None:
        if what == "filing again" and done == 1:
            times.append(total)
            if len(times) == 1:
                again = ["reinstate", name, "--why", "it was sound", "--lab", str(at_work.root)]
                assert main(again) == 0

    rebuilt = rebuild(at_work.lab, "M. Keller", told=told)
    assert len(times) == 2
    assert (rebuilt.swapped, bool(rebuilt.differences)) == (True, False)
    assert verify(at_work.lab).findings == ()
    (mark,) = {row["withdrawn"] for row in at_work.every_row() if row["measurement"] == name}
    assert mark is None
