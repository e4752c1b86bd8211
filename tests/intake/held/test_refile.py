"""Exports that were filed under a wrong id: retracted, and filed anew by what is told."""

from __future__ import annotations

import re
from collections.abc import Callable

import duckdb
import pytest
from bad_exports import density, impedance, pull_off
from labs import LabAtWork, Service, wait_until
from truth import status

from tiecoat.cli import main
from tiecoat.disk import steps
from tiecoat.verify.verify import verify

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command on a lab and gives exit code, output and errors."""

    def run(lab: LabAtWork, *arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main([*arguments, "--lab", str(lab.root)])
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return run


def as_told(said: str, *more: str) -> list[str]:
    """Return the command that a text names, without the "tiecoat" before it."""
    found = re.search(r"tiecoat (refile \S+)", said)
    assert found, said
    return [*found[1].split(), *more]


def measurement(at_work: LabAtWork, kind: str = "impedance") -> str:
    """Return the one measurement that counts."""
    (found,) = {row["measurement"] for row in at_work.rows(kind)}
    return str(found)


def panels(at_work: LabAtWork) -> dict[str, str]:
    """Return panel -> withdrawn or "", of all rows of impedance, without tiecoat."""
    pattern = at_work.root / "archive" / "impedance" / "*" / "data.parquet"
    query = f"select distinct panel, coalesce(withdrawn, '') from read_parquet('{pattern}')"
    with duckdb.connect() as connection:
        return dict(connection.execute(query).fetchall())


def test_an_id_is_not_assigned_while_another_fault_stands(lab: Make, run: Run) -> None:
    """A file that is held for a wrong number takes no id, which nobody would check."""
    at_work = lab()
    at_work.drop("bad.csv", pull_off(strength="much"))
    at_work.take()
    before = at_work.held()["bad.csv"]
    code, out, err = run(at_work, "held", "assign", "bad.csv", "--panel", "foo")
    assert (code, out) == (2, "")
    assert err == (
        f"tiecoat: bad.csv is held for another reason: {before['text']}; an id mends that not."
        f" See: tiecoat held show {before['id']}\n"
    )
    assert at_work.held()["bad.csv"] == before
    assert before["assigned"] == {"batch": None, "panel": None}


def test_a_wrong_assignment_is_put_right(lab: Make, serve: Serve, run: Run) -> None:
    """Assigned wrongly, retracted, filed anew by the command that the service names."""
    at_work = lab()
    service = serve(at_work)
    export = impedance(panel=None)
    at_work.drop("day 1.csv", export)
    wait_until(at_work.held, "the export without an id held")
    assert run(at_work, "held", "assign", "day 1.csv", "--panel", "RB-014-1")[0] == 0
    code, out, _ = run(at_work, "retract", measurement(at_work), "--why", "it was panel 2")
    assert code == 0
    assert as_told(out) == ["refile", *re.findall(r"retracted (\S+);", out)]
    assert panels(at_work) == {"RB-014-1": "retracted"}

    at_work.drop("day 1 again.csv", export)
    service.expect("known   day 1 again.csv: filed before, as day 1.csv, and retracted; ")
    line = next(line for line in service.output.splitlines() if "and retracted" in line)
    code, out, _ = run(at_work, *as_told(line, "--panel", "RB-014-2"))
    said = (
        "filed   day 1.csv: impedance RB-014 (1 measurement), 3 rows; remarked: unregistered-panel"
    )
    assert (code, out.rpartition(": ")[0]) == (0, said)
    assert panels(at_work) == {"RB-014-1": "retracted", "RB-014-2": ""}

    at_work.drop("day 1 once more.csv", export)
    service.expect("known   day 1 once more.csv: filed before, as day 1.csv\n")
    assert service.stop() == 0
    assert verify(at_work.lab).findings == ()
    code, _, err = run(at_work, *as_told(line))
    assert code == 2
    assert f"some of it still counts; first: tiecoat retract {measurement(at_work)} " in err

    # also a second time, and a rebuild and an index made anew come to the same
    assert run(at_work, "retract", measurement(at_work), "--why", "no, panel 3")[0] == 0
    assert run(at_work, *as_told(line, "--panel", "RB-014-3"))[0] == 0
    final = {"RB-014-1": "retracted", "RB-014-2": "retracted", "RB-014-3": ""}
    assert panels(at_work) == final
    code, out, _ = run(at_work, "rebuild")
    assert (code, "made again from 3 exports" in out) == (0, True)
    assert panels(at_work) == final
    assert run(at_work, "reindex")[0] == 0
    assert verify(at_work.lab).findings == ()
    assert status(at_work.root)[0] == 2  # not running, and nothing held


def test_an_id_that_the_file_names_wrongly_is_put_right(lab: Make, run: Run) -> None:
    """An export whose own words name the wrong batch gets another one when it is filed anew."""
    at_work = lab()
    at_work.drop("can.csv", density(batch="RB-014"))
    at_work.take()
    code, out, _ = run(
        at_work, "retract", measurement(at_work, "density"), "--why", "the other can"
    )
    assert code == 0
    assert run(at_work, *as_told(out, "--batch", "RB-015"))[0] == 0
    assert [row["batch"] for row in at_work.rows("density")] == ["RB-015"]


def test_what_is_filed_anew_may_be_held(lab: Make, run: Run) -> None:
    """A wrong id holds it; from there it is assigned, and discarded, like any other."""
    at_work = lab()
    at_work.drop("day 1.csv", impedance(panel="RB-014-1"))
    at_work.take()
    name = measurement(at_work)
    assert run(at_work, "retract", name, "--why", "wrong panel")[0] == 0
    assert run(at_work, "refile", name, "--panel", "foo")[0] == 1
    assert at_work.held()["day 1.csv"]["reason"] == "id-not-in-pattern"
    code, _, err = run(at_work, "refile", name)
    assert (code, "it is held already; see: tiecoat held show" in err) == (2, True)
    assert run(at_work, "held", "assign", "day 1.csv", "--panel", "RB-014-2")[0] == 0
    assert panels(at_work) == {"RB-014-1": "retracted", "RB-014-2": ""}

    assert run(at_work, "retract", measurement(at_work), "--why", "wrong again")[0] == 0
    assert run(at_work, "refile", name, "--panel", "foo")[0] == 1
    assert run(at_work, "held", "discard", "day 1.csv", "--why", "lost track")[0] == 0
    assert run(at_work, "rebuild")[0] == 0
    assert panels(at_work) == {"RB-014-1": "retracted", "RB-014-2": "retracted"}
    assert verify(at_work.lab).findings == ()


def test_what_was_never_filed_is_not_filed_anew(lab: Make, run: Run) -> None:
    """Only what was filed and retracted; everything else has its own way."""
    at_work = lab()
    at_work.drop("bad.csv", pull_off(strength="much"))
    at_work.drop("good.csv", density())
    at_work.take()
    held = at_work.held()["bad.csv"]
    for name, said in {
        held["sha256"]: "it is held already; see: tiecoat held show",
        measurement(at_work, "density"): "some of it still counts; first: tiecoat retract",
        "0" * 64: "no original",
    }.items():
        code, _, err = run(at_work, "refile", name)
        assert (code, said in err) == (2, True), err


@pytest.mark.parametrize("step", ["begun", "staged", "published", "indexed", "recorded"])
def test_filing_anew_is_completed_after_a_crash(
    lab: Make, run: Run, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ended at any step, the next start files it once, with the ids that were given."""

    class Ended(BaseException):
        """The process is gone."""

    def end(reached: str) -> None:
        if reached == step:
            raise Ended

    at_work = lab()
    at_work.drop("day 1.csv", impedance(panel="RB-014-1"))
    at_work.take()
    name = measurement(at_work)
    assert run(at_work, "retract", name, "--why", "wrong panel")[0] == 0
    with monkeypatch.context() as patch:
        patch.setattr(steps, "listener", end)
        with pytest.raises(Ended):
            main(["refile", name, "--panel", "RB-014-2", "--lab", str(at_work.root)])
    at_work.take()
    assert panels(at_work) == {"RB-014-1": "retracted", "RB-014-2": ""}
    assert verify(at_work.lab).findings == ()
