"""Corrections by the dozen: measurements listed, retracted, reinstated, as one decision each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from bad_exports import density, impedance, pull_off
from labs import LabAtWork, Service, wait_until
from typed_commands import TypedCommands

from tiecoat.cli import main
from tiecoat.disk import steps

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
DAYS = (22, 23, 24)


class Ended(BaseException):
    """The process is gone."""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> TypedCommands:
    """Runs a command on a lab, with an answer typed if one is given; gives code, output, errors."""
    return TypedCommands(capsys, monkeypatch)


@pytest.fixture
def filed(lab: Make) -> LabAtWork:
    """Spectra of three days of two panels in two batches, a strength, and a density."""
    at_work = lab()
    for panel in ("RB-014-1", "RB-015-1"):
        for day in DAYS:
            spectrum = impedance(panel=panel, at=f"2026-09-{day} 09:00")
            at_work.drop(f"{panel} day {day}.csv", spectrum)
    at_work.drop("pull.csv", pull_off(panel="RB-014-1"))
    at_work.drop("can.csv", density(batch="RB-014"))
    at_work.take()
    assert at_work.held() == {}
    return at_work


def files(out: str) -> list[str]:
    """Return the exports that a list names, in its order."""
    return [
        f"{line.partition('.csv')[0].rpartition('  ')[2]}.csv"
        for line in out.splitlines()
        if ".csv" in line
    ]


def rows(at_work: LabAtWork) -> list[dict[str, Any]]:
    """Return every row, and its mark, as the tables have them."""
    return sorted(at_work.every_row(), key=lambda row: (row["measurement"], row["source_row"]))


def retracted(at_work: LabAtWork) -> set[str]:
    """Return the exports of which something is retracted."""
    return {row["source_name"] for row in rows(at_work) if row["withdrawn"] == "retracted"}


def proved(at_work: LabAtWork, run: TypedCommands) -> bool:
    """Say whether the lab is sound, and the same once it was made again and indexed again."""
    before = rows(at_work)
    codes = [run(at_work, command)[0] for command in ("verify", "rebuild", "reindex", "verify")]
    return codes == [0, 0, 0, 0] and rows(at_work) == before


def test_measurements_are_listed(filed: LabAtWork, run: TypedCommands) -> None:
    """By kind, batch, panel, file, time and remark; the first so many, and how many more."""
    spectra = [f"RB-015-1 day {day}.csv" for day in DAYS]
    for arguments, expected in (
        (["--kind", "impedance", "--batch", "rb-015"], spectra),
        (["--panel", "RB-015-1"], spectra),
        (["--file", "rb-015*"], spectra),
        (["--file", "RB_015%"], []),
        (["--file", "pull.csv"], ["pull.csv"]),
        (["--file", "*day 2?.csv", "--batch", "RB-015", "--until", "2026-09-23"], spectra[:2]),
        (["--kind", "impedance", "--batch", "RB-015", "--since", "2026-09-23"], spectra[1:]),
        (["--remark", "unregistered-batch"], ["can.csv"]),
        (["--remark", "future"], []),
    ):
        code, out, _ = run(filed, "measurements", *arguments)
        assert (code, files(out)) == (0, expected), arguments
    code, out, _ = run(filed, "measurements", "--limit", "3")
    assert code == 0
    assert len(files(out)) == 3
    assert out.splitlines()[-1].startswith("and 5 more; --limit 8 lists all, --kind, --batch")
    (can,) = {row["measurement"] for row in rows(filed) if row["source_name"] == "can.csv"}
    assert files(run(filed, "measurements", "--measurement", can)[1]) == ["can.csv"]
    with pytest.raises(SystemExit, match="2"):
        run(filed, "measurements", "--measurement", can, "--kind", "density")
    code, _, err = run(filed, "measurements", "--panel", "RB-099-1")
    assert code == 2
    assert "no panel 'RB-099-1' in this archive; near it: " in err


def test_many_are_retracted_and_reinstated(filed: LabAtWork, run: TypedCommands) -> None:
    """What fits is shown and asked for, marked as one decision, and counts once reinstated."""
    before = rows(filed)
    command = ["retract", "--file", "* day 2?.csv", "--until", "2026-09-23"]
    command += ["--why", "the cell leaked"]
    wanted = {f"{panel} day {day}.csv" for panel in ("RB-014-1", "RB-015-1") for day in (22, 23)}
    code, out, err = run(filed, *command)
    assert (code, set(files(out)), retracted(filed)) == (2, wanted, set())
    assert "say --yes" in err
    code, out, _ = run(filed, *command, typed="n\n")
    assert (code, retracted(filed)) == (1, set())
    assert out.startswith("4 measurements:\n")
    assert out.endswith("Retract 4 measurements? [y/N] nothing was changed\n")
    code, out, _ = run(filed, *command, typed="y\n")
    assert (code, retracted(filed)) == (0, wanted)
    told = "retracted 4 measurements; the rows stay on record\nto undo it: tiecoat reinstate --file"
    assert told in out
    (record,) = [one for one in filed.journal() if one["event"] == "retracted"]
    assert {(one["why"], one["withdrawn"]) for one in record["withdrawn"]} == {
        ("the cell leaked", "retracted")
    }
    assert len(record["withdrawn"]) == 4
    assert proved(filed, run)
    assert files(run(filed, "measurements", "--panel", "RB-015-1")[1]) == ["RB-015-1 day 24.csv"]
    code, out, _ = run(filed, "measurements", "--panel", "RB-015-1", "--withdrawn")
    assert out.count("  retracted") == 2

    undo = ["reinstate", "--batch", "RB-014", "--why", "it was another cell", "--yes"]
    code, out, _ = run(filed, *undo)
    assert (code, retracted(filed)) == (0, {name for name in wanted if name.startswith("RB-015")})
    assert out.endswith("reinstated 2 measurements; they count again\n")
    record = filed.journal()[-1]
    assert (record["event"], record["why"]) == ("reinstated", "it was another cell")
    assert proved(filed, run)
    names = sorted({row["measurement"] for row in rows(filed) if row["withdrawn"]})
    assert run(filed, "reinstate", *names, "--why", "neither")[0] == 0
    assert rows(filed) == before
    assert proved(filed, run)
    code, _, err = run(filed, "reinstate", "--batch", "RB-014", "--why", "w", "--yes")
    assert (code, err.startswith("tiecoat: no measurement fits")) == (2, True)


def test_what_has_been_replaced_is_not_reinstated(filed: LabAtWork, run: TypedCommands) -> None:
    """Not beside what says the same or its own filing anew, nor what was superseded."""
    (first,) = {row["measurement"] for row in rows(filed) if row["source_name"] == "pull.csv"}
    assert run(filed, "retract", first, "--why", "read wrongly")[0] == 0
    filed.drop("pull again.csv", pull_off(panel="RB-014-1", strength="5.11"))
    assert filed.take()["pull again.csv"].status == "filed"
    code, _, err = run(filed, "reinstate", first, "--why", "it was right")
    assert (code, f"{first} from pull.csv cannot count beside " in err) == (2, True)
    assert "from pull again.csv: retract that first" in err
    assert run(filed, "retract", "--file", "pull again.csv", "--why", "no", "--yes")[0] == 0
    code, _, err = run(filed, "reinstate", "--kind", "pull_off", "--why", "w", "--yes")
    assert (code, "or choose one of the two" in err) == (2, True)
    assert run(filed, "reinstate", first, "--why", "it was right")[0] == 0

    filed.drop("pull third.csv", pull_off(panel="RB-014-1", strength="4.9"))
    filed.take()
    assert run(filed, "supersede", "pull third.csv", "--why", "measured again")[0] == 0
    code, _, err = run(filed, "reinstate", first, "--why", "w")
    assert (code, f"{first} was superseded, not retracted" in err) == (2, True)

    (can,) = {row["measurement"] for row in rows(filed) if row["source_name"] == "can.csv"}
    assert run(filed, "retract", can, "--why", "the other can")[0] == 0
    assert run(filed, "refile", can, "--batch", "RB-015")[0] == 0
    code, _, err = run(filed, "reinstate", can, "--why", "w")
    assert (code, f"{can} from can.csv cannot count beside {can}-2 from can.csv" in err) == (
        2,
        True,
    )
    assert proved(filed, run)


@pytest.mark.every(3)
@pytest.mark.parametrize("step", ["announced", "staged", "published", "indexed"])
@pytest.mark.parametrize("command", ["retract", "reinstate"])
def test_a_decision_cut_short_is_completed(
    filed: LabAtWork, run: TypedCommands, command: str, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ended between the tables of several batches, the next start marks all of them, or none."""
    many = ["--kind", "impedance", "--why", "the bath was drained", "--yes"]
    if command == "reinstate":
        assert run(filed, "retract", *many)[0] == 0
    marked = retracted(filed)
    seen = 0

    def end(reached: str) -> None:
        nonlocal seen
        seen += reached == step
        if seen == (2 if step == "staged" else 1):
            raise Ended

    with monkeypatch.context() as patch:
        patch.setattr(steps, "listener", end)
        with pytest.raises(Ended):
            main([command, *many, "--lab", str(filed.root)])
    filed.take()
    every = {f"{panel} day {day}.csv" for panel in ("RB-014-1", "RB-015-1") for day in DAYS}
    done = every - marked if step != "announced" else marked
    assert retracted(filed) == done
    assert run(filed, "verify")[0] == 0


def test_a_running_service_completes_a_decision(
    filed: LabAtWork, serve: Serve, run: TypedCommands, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a command left undone that was ended is done when the service files something next."""
    serve(filed)
    command = ["retract", "--kind", "impedance", "--why", "w", "--yes"]

    def end(reached: str) -> None:
        if reached == "staged":
            raise Ended

    with monkeypatch.context() as patch:
        patch.setattr(steps, "listener", end)
        with pytest.raises(Ended):
            main([*command, "--lab", str(filed.root)])
    assert retracted(filed) == set()
    filed.drop("another can.csv", density(batch="RB-017"))
    wait_until(lambda: len(filed.rows("density")) == 2, "the density filed")
    assert len(retracted(filed)) == 6
    assert run(filed, "verify")[0] == 0


def test_many_are_filed_anew_under_the_right_id(filed: LabAtWork, run: TypedCommands) -> None:
    """In one step, which is shown and asked for: what was filed is retracted, and filed anew."""
    command = ["refile", "--of-panel", "RB-015-1", "--panel", "RB-015-2"]
    with pytest.raises(SystemExit, match="2"):
        run(filed, *command)  # why?
    command += ["--why", "the cells were mixed up"]
    code, out, err = run(filed, *command)
    assert (code, retracted(filed)) == (2, set())
    first = "impedance of RB-015-1, 2026-09-22 09:00, exposure_h 24 from RB-015-1 day 22.csv"
    assert out.startswith(f"3 measurements:\n  {first}: now of RB-015-2\n")
    assert "say --yes" in err
    code, out, _ = run(filed, *command, typed="y\n")
    assert code == 0, out
    assert [out.count(f"filed   RB-015-1 day {day}.csv: ") for day in DAYS] == [1, 1, 1]
    now = {(row["panel"], row["withdrawn"]) for row in filed.rows("impedance", withdrawn=True)}
    assert now == {("RB-014-1", None), ("RB-015-1", "retracted"), ("RB-015-2", None)}
    (record,) = [one for one in filed.journal() if one["event"] == "retracted"]
    assert {one["name"] for one in record["to_file"]} == retracted(filed)
    assert {one["why"] for one in record["withdrawn"]} == {"the cells were mixed up"}
    for day in DAYS:
        assert filed.original(impedance(panel="RB-015-1", at=f"2026-09-{day} 09:00"))
    assert proved(filed, run)


def test_what_was_retracted_is_filed_anew_by_the_name_of_its_file(
    lab: Make, run: TypedCommands
) -> None:
    """An export of which nothing counts any more is found by its name as by its measurement."""
    at_work = lab()
    at_work.drop("list.csv", density(batch="RB-014"))
    at_work.take()
    of_file = ["--file", "list.csv", "--yes"]
    assert run(at_work, "retract", *of_file, "--why", "not homogenised")[0] == 0
    assert at_work.rows("density") == []
    code, out, err = run(at_work, "refile", *of_file)
    assert code == 0, out + err
    assert len(at_work.rows("density")) > 0


def test_only_the_wrong_id_of_a_list_is_replaced(lab: Make, run: TypedCommands) -> None:
    """A list of many batches is filed anew with one of its ids put right; the others stay.

    Beside it, what was retracted before and has no such id.
    """
    at_work = lab()
    first = density(batch="RB-014")
    *_, second = density(batch="RB-015").rstrip("\n").splitlines()
    at_work.drop("list.csv", f"{first}{second}\n")
    at_work.take()
    at_work.drop("other.csv", density(batch="RB-014", at="18.09.2026;08:00"))
    at_work.take()
    names = {row["source_name"]: row["measurement"] for row in at_work.rows("density")}
    assert run(at_work, "retract", names["other.csv"], "--why", "not of this lab")[0] == 0
    command = [
        "refile",
        *names.values(),
        "--of-batch",
        "rb-015",
        "--batch",
        "RB-016",
        "--why",
        "mistyped",
    ]
    code, _, err = run(at_work, *command)
    assert (code, err) == (0, "")
    filed_now = sorted((row["source_name"], row["batch"]) for row in at_work.rows("density"))
    assert filed_now == [("list.csv", "RB-014"), ("list.csv", "RB-016"), ("other.csv", "RB-014")]
    assert len(at_work.rows("density", withdrawn=True)) == 6
    assert proved(at_work, run)


def test_what_could_not_be_filed_anew_stays_as_it_is(filed: LabAtWork, run: TypedCommands) -> None:
    """Where the new id is none, is taken, or is the one it has, nothing is changed."""
    filed.drop("pull 2.csv", pull_off(panel="RB-015-1", strength="5.11"))
    filed.take()
    before = rows(filed)
    for arguments, said in (
        (["--file", "pull.csv", "--panel", "foo"], "pull.csv would be held: "),
        (["--file", "pull.csv", "--panel", "RB-015-1"], "other values for pull_off of RB-015-1"),
        (["--file", "pull.csv", "--panel", "RB-014-1"], "would keep the ids that it has"),
        (["--file", "none.csv", "--panel", "RB-014-2"], "no measurement fits"),
    ):
        code, _, err = run(filed, "refile", *arguments, "--why", "w", "--yes")
        assert (code, said in err) == (2, True), err
    assert rows(filed) == before
    assert "retracted" not in {one["event"] for one in filed.journal()}


@pytest.mark.every(2)
@pytest.mark.parametrize("step", ["staged", "indexed", "begun", "published", "recorded"])
def test_filing_many_anew_is_completed(
    filed: LabAtWork, run: TypedCommands, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ended at any step after it was decided, the next start retracts and files all of it, once."""

    def end(reached: str) -> None:
        if reached == step:
            raise Ended

    command = ["refile", "--of-panel", "RB-015-1", "--panel", "RB-015-2", "--why", "w", "--yes"]
    with monkeypatch.context() as patch:
        patch.setattr(steps, "listener", end)
        with pytest.raises(Ended):
            main([*command, "--lab", str(filed.root)])
    filed.take()
    now = [(row["panel"], row["withdrawn"]) for row in filed.rows("impedance", withdrawn=True)]
    assert set(now) == {("RB-014-1", None), ("RB-015-1", "retracted"), ("RB-015-2", None)}
    assert len(now) == 3 * now.count(("RB-014-1", None))
    assert run(filed, "verify")[0] == 0
