"""What `--json` prints: one object, its fields as they are told in help, and the same for good."""

from __future__ import annotations

import json
import shutil
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from bad_exports import density, pull_off
from build_example import EXAMPLE
from labs import LabAtWork, make_lab

from tiecoat.cli import main
from tiecoat.cli.answers import ANSWERS, COMMON, ERROR, Fields
from tiecoat.extend.loading import load_commands
from tiecoat.reasons import ADDED

EVERY = {  # by command, those of plugins too
    **ANSWERS,
    **{name: dict(one.answers) for name, one in load_commands(None).commands.items()},
}
KEPT = Path(__file__).parent / "answers.json"
TYPES: dict[str, type | tuple[type, ...]] = {
    "text": str,
    "whole": int,
    "number": (int, float),
    "bool": bool,
}


def paths(value: Any, at: str = "") -> Iterator[tuple[str, Any]]:
    """Each field of an answer, and what stands there."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from paths(one, f"{at}.{key}" if at else key)
    elif isinstance(value, list):
        for one in value:
            yield from paths(one, f"{at}[]")
    else:
        yield at, value


def fits(value: Any, told: str) -> bool:
    """Say whether a value is of the type that is told."""
    if value is None:
        return told.endswith("?")
    is_bool = isinstance(value, bool)
    return isinstance(value, TYPES[told.rstrip("?")]) and is_bool is (told == "bool")


def strays(answer: Any, fields: Fields) -> list[tuple[str, Any]]:
    """What stands in an answer and not in its description, or is of another type."""
    known = {**COMMON, **fields}
    return [
        (path, value)
        for path, value in paths(answer)
        if path not in known or not fits(value, known[path][0])
    ]


class Asked:
    """Runs commands with --json, checks each answer, and remembers which fields have been met."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys
        self.met: dict[str, set[str]] = defaultdict(set)

    def __call__(self, root: Path, *words: object) -> Any:
        """Return the answer of a command; its output is that and nothing else."""
        code = main([*map(str, words), "--json", "--lab", str(root)])
        printed = self._capsys.readouterr()
        answer = json.loads(printed.out)
        assert answer["exit_code"] == code
        assert answer["lab"] == str(root)
        assert strays(answer, EVERY[answer["command"]]) == []
        self.met[answer["command"]] |= {path for path, value in paths(answer) if value is not None}
        return answer


@pytest.fixture
def asked(capsys: pytest.CaptureFixture[str]) -> Asked:
    """What runs commands for a script."""
    return Asked(capsys)


def unmet(asked: Asked) -> dict[str, list[str]]:
    """The fields that are described and that no answer has had."""
    return {command: sorted(EVERY[command].keys() - met) for command, met in asked.met.items()}


def test_the_way_of_files(tmp_path: Path, asked: Asked) -> None:
    """take, held, show, assign, retry, supersede, try, contents and tiecoat alone, to the field."""
    at_work: LabAtWork = make_lab(tmp_path / "lab", readers={"processes": 1, "folder": True})
    root = at_work.root
    assert asked(root)["kinds"] == []
    broken = root / "readers" / "broken.toml"
    broken.write_text("name = 1\n")
    bad = at_work.drop("bad.csv", density("x"), folder="week 39")
    tried = asked(root, "try", bad)
    assert tried["held"]["reason"] == "not-a-number"
    assert tried["held"]["faults"] == [
        "row 5, column 'Density [g/cm³]': found 'x'; expected a number"
    ]
    good = at_work.drop("good.csv", density())
    assert asked(root, "try", good)["kinds"] == [{"kind": "density", "rows": 1}]
    at_work.drop("none.csv", pull_off(panel=""))
    taken = asked(root, "take")
    assert taken["counts"] == {"filed": 1, "known": 0, "held": 2, "waiting": 0, "damaged": 0}
    assert taken["exit_code"] == 1
    assert {one["name"]: one["reason"] for one in taken["files"]} == {
        "bad.csv": "not-a-number",
        "none.csv": "no-panel",
        "good.csv": None,
    }
    held = asked(root, "held")
    assert held["total"] == len(held["files"]) == 2
    shown = asked(root, "held", "show", "bad.csv")["file"]
    assert shown["faults"][0]["row"] == 5
    assert shown["folder"] == "week 39"
    assert shown["first_lines"][0] == "Density bench, 100 ml cup"
    assert asked(root, "held", "assign", "none.csv", "--panel", "RB-014-3")["counts"]["filed"] == 1
    at_work.drop("other.csv", pull_off(strength="4.2"))
    asked(root, "take")
    assert asked(root, "supersede", "other.csv", "--why", "slip", "--show")["files"] == []
    assert asked(root, "supersede", "other.csv", "--why", "slip")["counts"]["filed"] == 1
    assert asked(root, "held", "retry", "bad.csv")["counts"]["held"] == 1
    listed = asked(root, "measurements", "--withdrawn")
    assert listed["total"] == 3
    first = listed["measurements"][0]
    assert (first["kind"], first["measured_at"]) == ("density", "2026-09-14T06:12:00+00:00")
    (name,) = (one["measurement"] for one in listed["measurements"] if one["kind"] == "density")
    assert asked(root, "retract", name, "--why", "slip")["measurements"] == [name]
    assert asked(root, "reinstate", name, "--why", "no slip")["measurements"] == [name]
    contents = asked(root, "contents")
    assert [(one["kind"], one["rows"]) for one in contents["kinds"]] == [
        ("density", 1),
        ("pull_off", 1),
    ]
    assert asked(root, "held", "discard", "bad.csv", "--why", "mended")["files"] != []
    at_work.drop("bad.csv", density("y"))
    asked(root, "take")
    rebuilt = asked(root, "rebuild")
    assert (rebuilt["exports"], rebuilt["measurements"]) == (3, 3)
    assert asked(root, "service", "status")["exit_code"] == 2
    alone = asked(root)
    assert (alone["held"], alone["batches"], alone["waiting"]) == (1, 1, 0)
    assert [one["command"] for one in alone["next"]][:2] == ["tiecoat serve", "tiecoat held"]
    lacking = unmet(asked)
    for command in ("held assign", "held retry", "supersede"):
        lacking.pop(command)  # of the same fields as take
    assert lacking.pop("") == lacking.pop("service status") == sorted(OF_A_SERVICE)
    differences = {"gone[]", "added[]", "lost[]", "held[]"}  # none of which there is
    assert set(lacking.pop("rebuild")) <= differences
    assert {path for left in lacking.values() for path in left} <= {
        "files[].faults[].sheet",
        "file.faults[].sheet",
        "contents remarks[]",
        *(f"{one}.faults[].{name}" for one in ("file", "files[]") for name in ADDED),
        "beside[]",
        "awaits.files[]",
        "damage",
    }


OF_A_SERVICE = {
    *(f"service.{name}" for name in ("state", "beat", "since", "pid", "host", "version")),
    *(f"service.{name}" for name in ("settling", "queue", "last_error", "last_error_at")),
    "troubles[]",
}


@pytest.mark.thorough
def test_questions_and_upkeep(tmp_path: Path, asked: Asked) -> None:
    """evaluate, compare, why, report, readers, reindex, verify and rebuild, to the field."""
    root = tmp_path / "lab"
    shutil.copytree(EXAMPLE, root)
    (root / "stage").mkdir()
    study = tmp_path / "study.toml"
    study.write_text(
        'control = "RB-010"\nbatches = ["RB-010", "RB-014", "RB-015", "RB-016"]\n'
        'doses_percent = [10, 20]\nagainst = ["RB-016"]\n'
        '[[property]]\nname = "pull-off strength"\n'
        '[[property]]\nname = "time to a rust grade"\n'
        '[[property]]\nname = "voids"\nkind = "cross_section"\nquantity = "void_fraction"\n'
        "decisive = true\n"
    )
    results = asked(root, "evaluate", "pull_off", "--batch", "RB-014")
    assert {one["batch"] for one in results["results"]} == {"RB-014"}
    modulus = asked(root, "evaluate", "impedance", "--batch", "RB-016", "--quantity", "modulus")
    assert {one["exposure_h"] for one in modulus["results"]} == {1, 24, 72, 168, 240}
    to = tmp_path / "results.csv"
    assert asked(root, "evaluate", "gloss", "--to", to)["to"] == str(to)
    compared = asked(root, "compare", study)
    assert compared["control"] == "RB-010"
    assert {one["batch"] for one in compared["verdicts"]} == {"RB-014", "RB-016"}
    assert {(one["batch"], one["against"]) for one in compared["pairs"]} == {("RB-014", "RB-016")}
    assert compared["left_out_by_study"][0].startswith("candidates with 5 % (1); filed of it: ")
    why = asked(root, "why", study, "--pair", "film thickness", "pull-off strength")
    assert {one["first"].split(",")[0] for one in why["links"]} == {"film thickness"}
    pairable = asked(root, "why")["can_be_paired"]
    assert {"pull_off", "density"} <= {one["kind"] for one in pairable}
    (recommended,) = compared["recommendations"]
    assert recommended["missing"] == [
        {
            "property": "voids",
            "lack": "untested",
            "condition": "",
            "batches": [],
            "needed": None,
        }
    ]
    slides, workbook = tmp_path / "study.pptx", tmp_path / "study.xlsx"
    files = ("--slides", slides, "--workbook", workbook)
    reported = asked(root, "report", study, "--to", tmp_path / "report", *files)
    assert all(Path(reported[one]).is_file() for one in ("page", "slides", "workbook"))
    page = Path(reported["page"]).read_text(encoding="utf-8")
    for words in ("How strong, how weak", "Candidate against candidate", "What goes together"):
        assert page.count(f">{words}</h2>") == 1
    assert ">Left out by the study</h3>" in page
    assert "any_table" in [one["name"] for one in asked(root, "readers")["readers"]]
    indexed = asked(root, "reindex")
    (table,) = (root / "archive" / "gloss").glob("RB-010/data.parquet")
    table.write_bytes(b"")
    proved = asked(root, "verify")
    assert {one["code"] for one in proved["findings"]} >= {"table-unreadable"}
    assert proved["tables"] <= indexed["tables"]
    assert len(asked(root, "reindex")["damaged"]) == 1
    told = {f"{command} {path}" for command, left in unmet(asked).items() for path in left}
    assert told <= {
        "evaluate left_out[]",
        "compare left_out[]",
        "compare problems[]",
        *(f"compare recommendations[].{one}.needed" for one in ("missing[]", "undecided[]")),
        "compare recommendations[].missing[].batches[]",  # of a decisive property that is open
        "why left_out[]",
        "report left_out[]",
        "report problems[]",
        "readers left_out[]",
        *(f"readers figures[].{one}" for one in ("name", "kind", "title", "source")),
        "verify remarks[]",
    }


def test_merging(tmp_path: Path, asked: Asked) -> None:
    """What comes from another lab, what is held of it, and what does not come."""
    here = make_lab(tmp_path / "here")
    there = make_lab(tmp_path / "there", ids={"batch": ["RB-[0-9]{3}", "P[0-9]{4}"]})
    here.drop("mine.csv", pull_off(strength="4.72"))
    here.take()
    there.drop("theirs.csv", pull_off(strength="5.11"))
    there.drop("p.csv", density(batch="P2041"))
    there.drop("good.csv", density())
    there.take()
    shown = asked(here.root, "merge", there.root, "--show")
    assert (shown["files"], shown["in_place"]) == (1, False)
    merged = asked(here.root, "merge", there.root)
    assert (merged["exit_code"], merged["in_place"]) == (1, True)
    assert [one["name"] for one in merged["held"]] == ["theirs.csv"]
    assert [one["name"] for one in merged["left_out"]] == ["p.csv"]
    told = [merged[name] for name in ("files", "known", "waiting", "discarded", "gone_on", "here")]
    assert (merged["there"], told) == (3, [1, 0, 0, 0, 0, 0])  # one is held, and one left out
    assert unmet(asked)["merge"] == ["notices[]", "open[].name", "open[].why"]


def test_an_error_is_an_answer_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What could not be done is told to the script in JSON, and to a person beside it."""
    assert main(["held", "--json", "--lab", str(tmp_path)]) == 2
    printed = capsys.readouterr()
    answer = json.loads(printed.out)
    assert strays(answer, ERROR) == []
    assert answer["error"]["sort"] == "NotALab"
    assert printed.err == f"tiecoat: {answer['error']['message']}\n"


def test_help_tells_the_fields(capsys: pytest.CaptureFixture[str]) -> None:
    """Each with its type and meaning, below the options of its command."""
    with pytest.raises(SystemExit, match="0"):
        main(["held", "show", "--help"])
    printed = capsys.readouterr().out
    for path, (sort, said) in (COMMON | ANSWERS["held show"]).items():
        assert [f"{path} {sort} {said}"] == [
            " ".join(line.split()) for line in printed.splitlines() if line.split()[:1] == [path]
        ]


def test_fields_stay() -> None:
    """What a script relies on is there for good: fields are added to this list, never taken out.

    With another `format` they may be; `answers.json` then begins anew.
    """
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    now = {
        command: {path: told for path, (told, _) in fields.items()}
        for command, fields in {**EVERY, "every": COMMON, "error": ERROR}.items()
    }
    gone = [
        (command, path, told)
        for command, fields in kept.items()
        for path, told in fields.items()
        if now.get(command, {}).get(path) != told
    ]
    assert gone == []
    assert now == kept, "add what is new to tests/cli/answers.json"
