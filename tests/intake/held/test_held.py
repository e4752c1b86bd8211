"""What a person does with held files: assign, retry, discard, supersede, retract."""

from __future__ import annotations

import getpass
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from bad_exports import PROFILE, density, impedance, own_density, panel_row, panels, pull_off
from labs import PANEL, LabAtWork

import tiecoat
from tiecoat.cli import main

Make = Callable[..., LabAtWork]
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command on a lab and gives exit code, output and errors."""

    def run(lab: LabAtWork, *arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main([*arguments, "--lab", str(lab.root)])
        printed = capsys.readouterr()
        assert "Traceback" not in printed.out + printed.err
        return code, printed.out, printed.err

    return run


def test_an_assigned_id_leaves_good_ids_alone(lab: Make, run: Run) -> None:
    """Of a list with one mistyped id only that row gets the id that a person assigns."""
    at_work = lab()
    first = density(batch="RB-014")
    *_, second = density(batch="RB-15").rstrip("\n").splitlines()
    at_work.drop("list.csv", f"{first}{second}\n")
    at_work.take()
    assert at_work.held()["list.csv"]["reason"] == "id-not-in-pattern"
    assert run(at_work, "held", "assign", "list.csv", "--batch", "RB-015")[0] == 0
    assert [row["batch"] for row in at_work.rows("density")] == ["RB-014", "RB-015"]


def test_one_id_is_not_assigned_to_two_wrong_ones(lab: Make, run: Run) -> None:
    """Where two ids are mistyped, one cannot stand for both: the file stays held."""
    at_work = lab()
    first = density(batch="RB-14")
    *_, second = density(batch="RB-15").rstrip("\n").splitlines()
    at_work.drop("list.csv", f"{first}{second}\n")
    at_work.take()
    assert run(at_work, "held", "assign", "list.csv", "--batch", "RB-014")[0] == 1
    assert at_work.held()["list.csv"]["total"] == 2
    assert at_work.rows("density") == []


def test_assigning_ids(lab: Make, run: Run) -> None:
    """An assigned id wins over what the file says; a wrong one leaves the file held."""
    at_work = lab()
    at_work.drop("day 1.csv", impedance(panel=None))
    at_work.drop("typo.csv", density(batch="RB-14"))
    at_work.take()
    held = at_work.held()
    code, out, _ = run(at_work, "held", "assign", held["typo.csv"]["id"], "--batch", "../RB-014")
    assert code == 1
    assert "characters that an id may not have" in out
    assert at_work.held()["typo.csv"]["reason"] == "bad-id"
    code, out, _ = run(at_work, "held", "assign", "typo.csv", "--batch", "rb-014")
    assert (code, out) == (
        0,
        (
            "filed   typo.csv: density RB-014 (1 measurement), 1 row; remarked: unregistered-batch:"
            " the batch is not in the register\n"
        ),
    )
    code, out, _ = run(
        at_work, "held", "assign", held["day 1.csv"]["id"][:6], "--panel", "RB-015-2"
    )
    assert code == 0
    assert {(row["batch"], row["panel"]) for row in at_work.rows("impedance")} == {
        ("RB-015", "RB-015-2")
    }
    assert at_work.held() == {}
    assigned = [line for line in at_work.journal() if "assigned" in line]
    assert [line["assigned"] for line in assigned] == [
        {"batch": "../RB-014", "panel": None},
        {"batch": "rb-014", "panel": None},
        {"batch": None, "panel": "RB-015-2"},
    ]
    # the same bytes again are known; a person does not have to assign twice
    at_work.drop("typo.csv", density(batch="RB-14"))
    assert at_work.take()["typo.csv"].status == "known"
    assert len(at_work.rows("density", withdrawn=True)) == 1


def test_trying_again_after_a_change(lab: Make, run: Run) -> None:
    """After a setting was changed or a profile added, what was held for it can be filed."""
    at_work = lab()
    kg = density("1.250", temperature="23", title="Density [kg/m³]")
    at_work.drop("two readings.csv", kg)
    at_work.drop("new sort.csv", own_density("Column X", "1.39"))
    at_work.drop("still bad.csv", density("x", at="15.09.2026;08:00"))
    at_work.take()
    assert {n: r["reason"] for n, r in at_work.held().items()} == {
        "two readings.csv": "ambiguous-number",
        "new sort.csv": "untaken-column",
        "still bad.csv": "not-a-number",
    }
    assert "Column X" in at_work.held()["new sort.csv"]["told"]
    code, out, _ = run(at_work, "held", "retry")
    assert code == 1
    assert len(at_work.held()) == 3
    at_work.settle(numbers={"decimal": "comma"}, readers={"folder": True, "processes": 1})
    profile = PROFILE.format(name="new_bench", title="Column X", layout='decimal = "point"')
    (at_work.root / "readers" / "new_bench.toml").write_text(profile, encoding="utf-8")
    code, out, _ = run(at_work, "held", "retry")
    assert code == 1
    assert "filed   two readings.csv" in out
    assert "filed   new sort.csv" in out
    assert "held    still bad.csv" in out
    assert sorted(row["density_g_cm3"] for row in at_work.rows("density")) == [1.25, 1.39]
    assert at_work.held().keys() == {"still bad.csv"}


def test_decimal_comma_is_not_guessed(lab: Make) -> None:
    """1.250 kg/m³ alone is held, 1,250 g/cm³ has one reading that can be; "point" is obeyed."""
    at_work = lab()
    kg = density("1.250", temperature="23", title="Density [kg/m³]")
    at_work.drop("alone.csv", kg)
    at_work.drop("beside.csv", density("1,250", temperature="22", at="15.09.2026;08:00"))
    at_work.take()
    assert at_work.held().keys() == {"alone.csv"}
    assert [row["density_g_cm3"] for row in at_work.rows("density")] == [1.25]
    at_work.settle(numbers={"decimal": "point"})
    at_work.drop("as point.csv", density("1,250", temperature="23", at="16.09.2026;08:00"))
    at_work.take()
    record = at_work.held()["as point.csv"]
    assert record["reason"] == "out-of-bounds"
    assert "1250" in record["told"]


def test_discarding(lab: Make, run: Run) -> None:
    """A discarded file is no longer held; its original stays, and the same bytes are known."""
    at_work = lab()
    content = density("x")
    at_work.drop("bad.csv", content)
    at_work.take()
    code, out, _ = run(at_work, "held", "discard", "bad.csv", "--why", "spilled the cup")
    assert code == 0
    assert "discarded bad.csv; its original stays" in out
    assert at_work.held() == {}
    assert at_work.original(content)
    line = at_work.journal()[-1]
    assert (line["event"], line["why"], line["who"]) == (
        "discarded",
        "spilled the cup",
        getpass.getuser(),
    )
    for restart in range(2):
        at_work.drop("bad again.csv", content)
        told = at_work.take()["bad again.csv"]
        assert told.status == "known"
        assert "discarded before, as bad.csv" in told.line
        for path in at_work.root.glob("index.sqlite*"):
            if not restart:
                path.unlink()
    assert run(at_work, "held") == (0, "nothing is held\n", "")


def test_superseding(lab: Make, run: Run) -> None:
    """Superseded rows stay, marked with who, when, why and by what; queries show the new ones."""
    at_work = lab()
    at_work.drop("first.csv", pull_off(strength="4.72"))
    at_work.take()
    at_work.drop("second.csv", pull_off(strength="5.11"))
    at_work.take()
    record = at_work.held()["second.csv"]
    assert record["reason"] == "conflict"
    assert f'tiecoat supersede {record["id"]} --why "..."' in record["told"]
    assert "first.csv" in record["told"]
    assert "held retry" not in record["told"]  # it would only be the same again
    assert [row["strength_mpa"] for row in at_work.rows("pull_off")] == [4.72]
    before = datetime.now(UTC)
    why = ["--why", "dolly was measured again", "--yes"]  # as scripts say to whatever corrects
    code, out, _ = run(at_work, "supersede", record["id"], *why)
    assert code == 0
    assert "filed   second.csv: pull_off RB-014 (1 measurement), 1 row" in out
    assert at_work.held() == {}
    old, new = sorted(at_work.rows("pull_off", withdrawn=True), key=lambda row: row["strength_mpa"])
    assert (old["strength_mpa"], old["withdrawn"]) == (4.72, "superseded")
    assert (old["withdrawn_by"], old["withdrawn_why"]) == (
        getpass.getuser(),
        "dolly was measured again",
    )
    assert old["superseded_by"] == new["measurement"]
    assert before <= old["withdrawn_at"] <= datetime.now(UTC)
    assert (new["strength_mpa"], new["withdrawn"]) == (5.11, None)
    archive = tiecoat.open(at_work.root)
    assert archive.read("pull_off")["strength_mpa"].tolist() == [5.11]
    assert archive.sql("select strength_mpa from pull_off")["strength_mpa"].tolist() == [5.11]
    assert len(archive.read("pull_off", withdrawn=True)) == 2
    # the first file again changes nothing
    at_work.drop("first again.csv", pull_off(strength="4.72"))
    assert at_work.take()["first again.csv"].status == "known"
    assert [row["strength_mpa"] for row in at_work.rows("pull_off")] == [5.11]


def test_retracting(lab: Make, run: Run) -> None:
    """Retracted measurements stay on record and leave every default query."""
    at_work = lab()
    at_work.drop("first.csv", pull_off())
    at_work.take()
    (row,) = at_work.rows("pull_off")
    code, _, err = run(at_work, "retract", row["measurement"], "no-such-one", "--why", "glue")
    assert code == 2
    assert "no-such-one" in err
    assert len(at_work.rows("pull_off")) == 1
    code, out, _ = run(at_work, "retract", row["measurement"], "--why", "glue was too old")
    assert code == 0
    assert "the rows stay on record" in out
    assert at_work.rows("pull_off") == []
    (row,) = at_work.rows("pull_off", withdrawn=True)
    assert (row["withdrawn"], row["withdrawn_why"]) == ("retracted", "glue was too old")


def test_retracting_beside_what_was_retracted_before(lab: Make, run: Run) -> None:
    """A record of the journal names what was asked for, each with its own mark, and no other."""
    at_work = lab()
    for day in (22, 23, 24, 25):
        at_work.drop(f"day {day}.csv", impedance(at=f"2026-09-{day} 09:00"))
    at_work.take()
    names = {row["source_name"]: row["measurement"] for row in at_work.rows("impedance")}
    leaked, dried, mixed_up, sound = (names[f"day {day}.csv"] for day in (22, 23, 24, 25))
    for asked, why in (
        ([leaked], "the cell leaked"),
        ([dried], "the cell dried"),
        ([leaked, mixed_up], "panels were mixed up"),
    ):
        assert run(at_work, "retract", *asked, "--why", why)[0] == 0

    said = [
        {one["measurement"]: one["why"] for one in record["withdrawn"]}
        for record in at_work.journal()
        if record["event"] == "retracted"
    ]
    assert said == [
        {leaked: "the cell leaked"},
        {dried: "the cell dried"},
        {leaked: "the cell leaked", mixed_up: "panels were mixed up"},
    ]
    assert {row["measurement"] for row in at_work.rows("impedance")} == {sound}
    assert run(at_work, "verify")[0] == 0


def test_register_frees_what_waits_for_it(lab: Make) -> None:
    """Files held for want of a batch are filed as soon as the register names their panels."""
    at_work = lab(ids={"panel": f"{PANEL}|P-[0-9]{{3}}"})
    at_work.drop("a.csv", pull_off(panel="P-201"))
    at_work.drop("b.csv", pull_off(panel="P-202"))
    at_work.take()
    assert {record["reason"] for record in at_work.held().values()} == {"no-batch"}
    at_work.drop("register.csv", panels(panel_row("P-201", "RB-014")))
    told = at_work.take()
    assert told["register.csv"].status == "filed"
    assert told["a.csv"].status == "filed"
    assert at_work.held().keys() == {"b.csv"}
    assert [(row["batch"], row["panel"]) for row in at_work.rows("pull_off")] == [
        ("RB-014", "P-201")
    ]


def test_finding_held_files(lab: Make, run: Run) -> None:
    """A held file is found by the start of its id or its name; anything else is told plainly."""
    at_work = lab()
    at_work.drop("bad one.csv", density("x"))
    at_work.drop("bad two.csv", density("y"))
    at_work.take()
    code, out, _ = run(at_work, "held")
    assert code == 1
    assert "bad one.csv" in out
    assert "there is text where a number belongs" in out
    assert "row 5" in out
    code, out, _ = run(at_work, "held", "show", "bad one.csv")
    assert (code, out) == (0, at_work.held()["bad one.csv"]["told"])
    code, _, err = run(at_work, "held", "show", "bad")
    assert code == 2
    assert "'bad' fits 2 held files" in err
    code, _, err = run(at_work, "held", "show", "nonsense")
    assert (code, err) == (2, "tiecoat: no held file 'nonsense'; list them with: tiecoat held\n")
    code, _, err = run(at_work, "held", "assign", "bad one.csv")
    assert code == 2
    assert "--batch ID" in err
    for command in (["supersede", "nonsense"], ["held", "discard", "nonsense"]):
        code, _, err = run(at_work, *command, "--why", "because")
        assert code == 2
        assert "no held file 'nonsense'" in err


def test_retrying_keeps_the_limits(lab: Make, run: Run) -> None:
    """A file above the limit is not read by a retry either, until the limit is raised."""
    at_work = lab(intake={"settle_s": 0.1, "max_file_mb": 0.001})
    content = density() + "\n" * 1000
    at_work.drop("large.csv", content)
    at_work.take()
    assert at_work.held()["large.csv"]["reason"] == "too-large"
    assert run(at_work, "held", "retry")[0] == 1
    assert at_work.held()["large.csv"]["reason"] == "too-large"
    at_work.settle(intake={"settle_s": 0.1})
    assert run(at_work, "held", "retry", "large.csv")[0] == 0
    assert len(at_work.rows("density")) == 1
