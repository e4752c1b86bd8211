"""Files that are meant to do harm, or look like it: each costs itself and nothing else."""

from __future__ import annotations

import csv
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from bad_exports import density
from labs import LabAtWork, make_lab

import tiecoat
from tiecoat.ask.result_files import write_results
from tiecoat.errors import QueryInvalid, TiecoatError, UnknownName

Make = Callable[..., LabAtWork]
CAMPAIGN = "TIECOAT_CAMPAIGN" in os.environ
MILLION = 1_000_000


def million_columns() -> bytes:
    """Return a header and a row of a million cells."""
    return b"a;" * MILLION + b"\n" + b"1;" * MILLION + b"\n"


def long_line() -> bytes:
    """Return one line of 50 MB after a header that a reader looks at."""
    return b"Date;Density [g/cm3];" + b"x" * 50 * MILLION + b"\n1;2;3\n"


def exploding() -> bytes:
    """Return a CSV of 20 MB that wants some hundred bytes of memory for each of its own."""
    return b"Date;Time;Batch\n" + b'a;b,c\td|"' * 2 * MILLION


@pytest.fixture(scope="module")
def hostile_lab(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab with a small limit of memory, into which all of them were dropped with a good file."""
    at_work = make_lab(
        tmp_path_factory.mktemp("hostile") / "lab",
        readers={"processes": 1, "memory_limit_mb": 2048, "time_limit_s": 20},
    )
    at_work.drop("columns.csv", million_columns())
    at_work.drop("exploding.csv", exploding())
    at_work.drop("good.csv", density())
    if CAMPAIGN:
        at_work.drop("long line.csv", long_line())
    at_work.take()
    return at_work


def test_what_explodes_in_memory_is_held(hostile_lab: LabAtWork) -> None:
    """A million columns and a CSV that explodes are held; the good file beside them is filed."""
    held = hostile_lab.held()
    assert held["columns.csv"]["reason"] == "no-reader"
    assert held["exploding.csv"]["reason"] in {
        "no-reader",
        "reader-out-of-memory",
        "reader-too-slow",
    }
    assert held.keys() == {"columns.csv", "exploding.csv"} | (
        {"long line.csv"} if CAMPAIGN else set()
    )
    assert [row["source_name"] for row in hostile_lab.rows("density")] == ["good.csv"]
    assert hostile_lab.sound()


def test_reasons_of_huge_lines_are_short(hostile_lab: LabAtWork) -> None:
    """However long a line is, what is told of it can be read."""
    for record in hostile_lab.held().values():
        assert len(record["told"]) < 10_000


def test_a_very_long_line(lab: Make) -> None:
    """A sparse file of one endless line (50 MB; in the campaign 2 GB) is kept, held and told."""
    size = 2_000_000_000 if CAMPAIGN else 50_000_000
    at_work = lab(intake={"max_file_mb": 100})
    path = at_work.inbox / "line.csv"
    with path.open("wb") as sink:
        sink.write(density().encode().rstrip())
        sink.truncate(size)
    told = at_work.take()["line.csv"]
    assert told.status == "held"
    assert told.held is not None
    assert told.held.reason.code in ({"too-large"} if CAMPAIGN else {"cut-off", "not-text"})
    (kept,) = (at_work.root / "originals").glob("??/*/*")
    assert kept.stat().st_size == size
    kept.unlink()  # pytest keeps its folders for a while
    for copy in (at_work.root / "held").glob("*/line.csv"):
        copy.unlink()


@pytest.mark.skipif(not hasattr(os, "link"), reason="no hard links here")
def test_a_hard_link_is_copied(lab: Make, tmp_path: Path) -> None:
    """A hard link to a file elsewhere is taken by copy; later changes there reach no original."""
    at_work = lab()
    elsewhere = tmp_path / "elsewhere.csv"
    elsewhere.write_text(density())
    os.link(elsewhere, at_work.inbox / "linked.csv")
    assert at_work.take()["linked.csv"].status == "filed"
    kept = at_work.original(density())
    assert kept is not None
    assert kept.stat().st_ino != elsewhere.stat().st_ino
    elsewhere.write_text("something else")
    assert kept.read_text() == density()


INJECTIONS = [
    "RB-014' or '1'='1",
    "RB-014'; drop table density; --",
    'RB-014" or ""="',
    "RB-014' union select * from read_text('/etc/passwd') --",
    "%",
    "RB-0*",
    "../../density/RB-014",
]


@pytest.mark.parametrize("text", INJECTIONS)
def test_sql_in_ids_is_an_unknown_id(text: str, hostile_lab: LabAtWork) -> None:
    """Where an id is asked for, SQL and patterns are looked up as ids, and are unknown."""
    archive = tiecoat.open(hostile_lab.root)
    before = hostile_lab.every_row()
    for asked in ({"batch": text}, {"panel": text}):
        with pytest.raises(UnknownName):
            archive.read("density", **asked)
        try:
            found: Any = archive.measurements(**asked)
        except TiecoatError:
            continue
        assert len(found) == 0
    assert hostile_lab.every_row() == before


def test_a_condition_cannot_end_the_query(hostile_lab: LabAtWork) -> None:
    """A condition that tries to run a second statement is refused in plain words."""
    archive = tiecoat.open(hostile_lab.root)
    before = hostile_lab.every_row()
    for condition in ("1=1; drop table density", "1=1) ; select 1 --", "true) union select 1 --"):
        with pytest.raises(QueryInvalid):
            archive.read("density", where=condition)
    assert hostile_lab.every_row() == before


def test_a_formula_from_an_export_is_text_in_a_spreadsheet(lab: Make, tmp_path: Path) -> None:
    """A note such as =cmd|... is kept as it is, and written to CSV with an apostrophe before it."""
    formulas = ["=cmd|'/C calc'!A0", "+1+2", "@SUM(A1)", "-2+3"]
    at_work = lab()
    rows = [f'RB-0{n},E-40,filler F1,5,candidate,,"{text}"' for n, text in enumerate(formulas, 10)]
    at_work.drop(
        "r.csv", "\n".join(["Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note", *rows]) + "\n"
    )
    assert at_work.take()["r.csv"].status == "filed"
    found: pd.DataFrame = tiecoat.open(at_work.root).read("batches")
    assert sorted(found["note"]) == sorted(formulas)
    write_results([found], tmp_path / "out.csv", at_work.lab)
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as text:
        written = [row["note"] for row in csv.DictReader(text)]
    assert sorted(written) == sorted("'" + formula for formula in formulas)
