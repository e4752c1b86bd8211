"""Everything bad is dropped at once: each file ends held with its reason, each good one filed."""

from __future__ import annotations

import hashlib
from typing import Any

import bad_exports
import pytest
from bad_exports import BAD, CHANGED, GOOD, HUGE, HUGE_MB, LINK, REGISTER, SECRET
from labs import LabAtWork

NAMES = [name for name in BAD if not name.startswith("h ")]
FOUND_LATER = {"conflict", "other-batch"}


@pytest.fixture(scope="module")
def held(bad_lab: LabAtWork) -> dict[str, dict[str, Any]]:
    """What is held, by file name."""
    return bad_lab.held()


@pytest.mark.parametrize("name", NAMES)
def test_bad_file_is_held_with_its_reason(name: str, held: dict[str, dict[str, Any]]) -> None:
    """A bad file is held under the right reason, and its text names what is wrong and where."""
    record, bad = held[name], BAD[name]
    told = " ".join(record["told"].split())
    assert record["reason"] == bad.code, told
    assert [word for word in bad.words if word not in told] == [], told


@pytest.mark.parametrize("name", NAMES)
def test_bad_file_is_kept(name: str, bad_lab: LabAtWork, held: dict[str, dict[str, Any]]) -> None:
    """Its bytes are among the originals, a copy is beside the reason, none is in the inbox."""
    content = BAD[name].content
    content = content.encode() if isinstance(content, str) else content
    assert bad_lab.original(content) is not None
    place = held[name]["place"]
    (copy,) = [p for p in place.iterdir() if p.name not in {"reason.json", "reason.txt"}]
    assert copy.read_bytes() == content
    assert name in copy.name
    assert name not in bad_lab.waiting()


def test_only_good_files_are_in_the_archive(bad_lab: LabAtWork) -> None:
    """Of a file with one fault no row is filed; good files of the same round are."""
    assert {row["source_name"] for row in bad_lab.every_row()} == {*GOOD, *REGISTER, CHANGED}
    assert bad_lab.sound()


def test_nothing_is_held_but_what_is_bad(held: dict[str, dict[str, Any]]) -> None:
    """No good file is drawn in by the bad ones around it."""
    assert held.keys() == BAD.keys() | {LINK, HUGE}


def test_values_of_good_files_are_right(bad_lab: LabAtWork) -> None:
    """What is filed beside so much rubbish has the values of its file."""
    (density,) = [r for r in bad_lab.rows("density") if r["source_name"] == "a good one.csv"]
    assert density["density_g_cm3"] == 1.3912
    assert (density["batch"], density["source_row"]) == ("RB-014", 5)
    assert density["measured_at"].isoformat() == "2026-09-18T06:12:00+00:00"
    impedance = [r for r in bad_lab.rows("impedance") if r["source_name"] == "zz last.csv"]
    assert [row["frequency_hz"] for row in impedance] == [0.1, 1.0, 1000.0]
    (pull_off,) = bad_lab.rows("pull_off")
    assert (pull_off["batch"], pull_off["panel"]) == ("RB-014", "P-200")  # from the register


def test_huge_file_is_kept_and_not_read(
    bad_lab: LabAtWork, held: dict[str, dict[str, Any]]
) -> None:
    """A file above the limit is kept whole and held, and blocks no other."""
    record = held[HUGE]
    assert record["reason"] == "too-large"
    assert "intake.max_file_mb" in record["told"]
    assert "it has 200.0 MB, the limit is 1 MB" in record["told"]
    head = bad_exports.density().encode()
    sha256 = hashlib.sha256(head + bytes(HUGE_MB * 1_000_000 - len(head))).hexdigest()
    (original,) = (bad_lab.root / "originals" / sha256[:2] / sha256).iterdir()
    assert original.stat().st_size == HUGE_MB * 1_000_000
    assert record["sha256"] == sha256


def test_link_is_not_followed(bad_lab: LabAtWork, held: dict[str, dict[str, Any]]) -> None:
    """A link out of the inbox is held; what it points to is neither read, kept nor changed."""
    assert held[LINK]["reason"] == "not-a-file"
    assert (bad_lab.root / "secret.csv").read_text() == SECRET
    for path in bad_lab.root.rglob("*"):
        if path.is_file() and path.name not in {"secret.csv", HUGE}:
            assert b"secret of another folder" not in path.read_bytes(), path
    assert not (bad_lab.inbox / LINK).is_symlink()


def test_pipe_is_passed_over(bad_lab: LabAtWork) -> None:
    """A named pipe in the inbox is no file: it is not opened, which could wait for ever."""
    assert bad_lab.waiting() == ["pipe.csv"]


def test_every_held_file_is_in_the_journal(
    bad_lab: LabAtWork, held: dict[str, dict[str, Any]]
) -> None:
    """The journal has a line for each held file, with the reason's code."""
    last = {line["name"]: line for line in bad_lab.journal() if "name" in line}
    lines = {name: line["reason"] for name, line in last.items() if line["event"] == "held"}
    assert lines == {name: record["reason"] for name, record in held.items()}


def test_no_reason_tells_of_what_is_inside(held: dict[str, dict[str, Any]]) -> None:
    """No reason shows a path of the program, a traceback, or says the same twice."""
    for record in held.values():
        before = record["told"].split("The file begins")[0]
        assert "Traceback" not in before
        assert "site-packages" not in before
        assert "\x1b" not in record["told"]
        bullets = [line for line in before.splitlines() if line.startswith("  - ")]
        assert len(bullets) == len(set(bullets)), before
        assert f"  - {record['text']}" not in bullets, before
