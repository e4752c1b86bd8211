"""Instruments that write an export for longer than it takes to settle: no row of it is lost."""

from __future__ import annotations

import os
import sqlite3
import threading
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from bad_exports import impedance
from faulty_disk import Killed
from labs import LabAtWork, Service, look_at_all_again, make_lab, wait_until

from tiecoat.disk import steps
from tiecoat.intake.inboxes.pace import Pace
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.verify.verify import verify

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]

SETTLE_S = 0.2
POINTS = 11
# At ten points a decade the period grows by a quarter from one to the next.
PAUSES_S = [0.06 * 1.259**n for n in range(POINTS)]


def lines(panel: str) -> list[bytes]:
    """Return head and points of a sweep, each as it is written."""
    frequencies = [10 ** (1 - n / 10) for n in range(POINTS)]
    points = (f"{f:.4f},{3e6 / (1 + f):.1f},{9e6 / (1 + f):.1f}" for f in frequencies)
    every = impedance(*points, panel=panel).encode().splitlines(keepends=True)
    return [b"".join(every[:-POINTS]), *every[-POINTS:]]


Writer = Callable[[Path, list[bytes]], None]


def kept_open(path: Path, parts: list[bytes]) -> None:
    """The file is open until the last row."""
    with path.open("wb", buffering=0) as file:
        for part, pause_s in zip(parts, [0.0, *PAUSES_S], strict=True):
            time.sleep(pause_s)
            file.write(part)
        time.sleep(2 * SETTLE_S)


def reopened(path: Path, parts: list[bytes]) -> None:
    """The file is opened for each row, to append it, and closed."""
    for part, pause_s in zip(parts, [0.0, *PAUSES_S], strict=True):
        time.sleep(pause_s)
        with path.open("ab") as file:
            file.write(part)


def rewritten(path: Path, parts: list[bytes]) -> None:
    """The file is written anew with each row, whole."""
    for n, pause_s in enumerate([0.0, *PAUSES_S], 1):
        time.sleep(pause_s)
        path.write_bytes(b"".join(parts[:n]))


def renamed(path: Path, parts: list[bytes]) -> None:
    """The file has another name, of no known pattern, until it is complete."""
    kept_open(path.with_suffix(".wip"), parts)
    path.with_suffix(".wip").rename(path)


def preallocated(path: Path, parts: list[bytes]) -> None:
    """The file has its full size from the beginning, and is filled with zeros so far."""
    path.write_bytes(bytes(sum(map(len, parts))))
    at = 0
    for part, pause_s in zip(parts, [0.0, *PAUSES_S], strict=True):
        time.sleep(pause_s)
        with path.open("r+b") as file:
            file.seek(at)
            at += file.write(part)


MANNERS: list[Writer] = [kept_open, reopened, rewritten, renamed, preallocated]


@pytest.mark.parametrize("after", ["move", "leave"])
def test_a_slow_instrument_loses_no_row(tmp_path: Path, serve: Serve, after: str) -> None:
    """However a sweep is written, with pauses beyond the time to settle: each row is filed once."""
    inboxes = [{"path": one.__name__, "after": after} for one in MANNERS]
    at_work = make_lab(tmp_path / "lab", inbox=inboxes, intake={"settle_s": SETTLE_S})
    service = serve(at_work)
    panels = {one: f"RB-014-{n}" for n, one in enumerate(MANNERS, 1)}
    writers = [
        threading.Thread(
            target=one, args=(at_work.root / one.__name__ / "sweep.csv", lines(panel)), name=panel
        )
        for one, panel in panels.items()
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    said = f"filed   sweep.csv: impedance RB-014 (1 measurement), {POINTS} rows"
    wait_until(lambda: service.output.count(said) == len(MANNERS), "all filed")
    assert at_work.held() == {}, service.output
    for one, panel in panels.items():
        rows = [row for row in at_work.rows("impedance") if row["panel"] == panel]
        assert len({row["frequency_hz"] for row in rows}) == POINTS, one.__name__
        assert len(rows) == POINTS, one.__name__
        assert at_work.original(b"".join(lines(panel)))
    assert verify(at_work.lab).findings == ()


def sweep(at: int, panel: str = "RB-014-3") -> bytes:
    """Return a sweep as it is after so many points."""
    return b"".join(lines(panel)[: at + 1])


def points_of(at_work: LabAtWork) -> list[float]:
    """Return the frequencies of all valid rows, as often as they stand in the tables."""
    return sorted(row["frequency_hz"] for row in at_work.rows("impedance"))


def is_continued(at_work: LabAtWork, was: bytes, now: bytes) -> bool:
    """Say whether the longer export counts, once, and the shorter one stays on record.

    Both originals are kept, the journal says what happened, and a rebuild gives the same archive.
    """
    assert at_work.held() == {}
    assert len(points_of(at_work)) == len(set(points_of(at_work))) == POINTS
    every = at_work.rows("impedance", withdrawn=True)
    old = [row for row in every if row["withdrawn"]]
    assert {row["withdrawn"] for row in old} == {"superseded"}
    assert {row["withdrawn_by"] for row in old} == {"tiecoat"}
    assert all(row["withdrawn_why"].startswith(f"continued: {len(old)} rows") for row in old)
    assert at_work.original(was)
    assert at_work.original(now)
    record = next(one for one in reversed(at_work.journal()) if one["event"] == "filed")
    assert record["continues"] == sorted({row["measurement"] for row in old})
    assert verify(at_work.lab).findings == ()
    assert verify(at_work.lab).remarks == ()
    assert rebuild(at_work.lab, "somebody").swapped
    assert at_work.rows("impedance", withdrawn=True) == every
    return True


@pytest.mark.parametrize("after", ["move", "leave"])
def test_a_file_that_grows_after_it_was_filed_is_continued(lab: Make, after: str) -> None:
    """What was filed is looked at again: the rest of it is filed as the same measurement."""
    at_work = lab(inbox=[{"path": "inbox", "after": after}], intake={"settle_s": 0.0})
    path = at_work.drop("sweep.csv", sweep(7))
    assert at_work.take()["sweep.csv"].rows == 7
    path = path if after == "leave" else at_work.done / path.name
    with path.open("ab") as file:
        file.write(sweep(POINTS)[len(sweep(7)) :])
    look_at_all_again(at_work)
    outcome = at_work.take()["sweep.csv"]
    assert outcome.line.endswith("continued: 7 rows were filed from sweep.csv before")
    assert path.read_bytes() == sweep(POINTS)
    assert at_work.take() == {}
    assert is_continued(at_work, sweep(7), sweep(POINTS))


@pytest.mark.parametrize("name", ["sweep.csv", "the whole sweep.csv"])
def test_a_longer_export_of_the_same_is_no_conflict(lab: Make, name: str) -> None:
    """An export whose first rows are those filed continues them, under whatever name it comes."""
    at_work = lab(intake={"settle_s": 0.0})
    at_work.drop("sweep.csv", sweep(7))
    at_work.take()
    whole = sweep(POINTS).replace(b"Remark: ", b"Remark: exported once more ")
    at_work.drop(name, whole)
    assert at_work.take()[name].rows == POINTS
    assert is_continued(at_work, sweep(7), whole)


def test_a_shorter_export_of_the_same_is_known(lab: Make) -> None:
    """An export that is only the beginning of what was filed changes nothing."""
    at_work = lab(intake={"settle_s": 0.0})
    at_work.drop("sweep.csv", sweep(POINTS))
    at_work.take()
    every = at_work.rows("impedance", withdrawn=True)
    at_work.drop("early.csv", sweep(7))
    assert at_work.take()["early.csv"].status == "known"
    assert at_work.rows("impedance", withdrawn=True) == every
    assert rebuild(at_work.lab, "somebody").swapped
    assert at_work.rows("impedance", withdrawn=True) == every


def test_half_a_last_row_is_mended_by_the_rest(lab: Make) -> None:
    """A number that was cut off when the file was taken is not kept as it was."""
    at_work = lab(intake={"settle_s": 0.0})
    cut = sweep(7)[:-3]  # the last number lacks its last digit
    at_work.drop("sweep.csv", cut)
    at_work.take()
    with (at_work.done / "sweep.csv").open("ab") as file:
        file.write(sweep(POINTS)[len(cut) :])
    look_at_all_again(at_work)
    at_work.take()
    assert is_continued(at_work, cut, sweep(POINTS))


def test_longer_with_other_values_is_a_conflict(lab: Make) -> None:
    """More rows make no continuation of what begins otherwise."""
    at_work = lab(intake={"settle_s": 0.0})
    at_work.drop("sweep.csv", sweep(7))
    at_work.take()
    at_work.drop("other.csv", sweep(POINTS).replace(b"10.0000,", b"10.0001,"))
    assert at_work.take()["other.csv"].status == "held"
    assert at_work.held()["other.csv"]["reason"] == "conflict"
    assert len(points_of(at_work)) == 7


def test_a_filed_file_that_is_changed_otherwise_is_held(lab: Make) -> None:
    """What is filed stays; the changed file is held beside a reason, whatever it says now."""
    at_work = lab(intake={"settle_s": 0.0})
    at_work.drop("sweep.csv", sweep(7))
    at_work.take()
    path = at_work.done / "sweep.csv"
    path.write_bytes(sweep(POINTS, "RB-014-4"))
    look_at_all_again(at_work)
    at_work.take()
    (held,) = at_work.held().values()
    assert held["reason"] == "changed-since"
    assert path.exists()
    assert len(points_of(at_work)) == 7
    assert at_work.take() == {}


def test_the_same_size_and_time_do_not_hide_a_change(lab: Make) -> None:
    """A day later all of the content is compared, not only how the file looks."""
    at_work = lab(intake={"settle_s": 0.0})
    at_work.drop("sweep.csv", sweep(7))
    at_work.take()
    path = at_work.done / "sweep.csv"
    before = path.stat()
    path.write_bytes(sweep(7).replace(b"RB-014-3", b"RB-014-4"))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    look_at_all_again(at_work)
    assert at_work.take() == {}  # soon after it was filed
    look_at_all_again(at_work)
    at_work.take()
    (held,) = at_work.held().values()
    assert held["reason"] == "changed-since"


def test_what_ends_early_waits_for_the_rest(lab: Make, serve: Serve) -> None:
    """Half a sweep, or a head without rows, waits longer; only what stays so is taken as it is."""
    at_work = lab(intake={"settle_s": 0.1})
    service = serve(at_work)
    for panel in ("RB-014-1", "RB-014-2"):
        at_work.drop(f"{panel}.csv", sweep(POINTS, panel))
        service.expect(f"filed   {panel}.csv: impedance RB-014 (1 measurement), {POINTS} rows")
    begun = {"RB-014-3": 7, "RB-014-4": 0}  # points written so far
    for panel, points in begun.items():
        at_work.drop(f"{panel}.csv", sweep(points, panel))
    for panel, points in begun.items():
        wait_until(lambda p=panel, n=points: at_work.original(sweep(n, p)), "read")
        with (at_work.inbox / f"{panel}.csv").open("ab") as file:
            file.write(sweep(POINTS, panel)[len(sweep(points, panel)) :])
    for panel in begun:
        service.expect(f"filed   {panel}.csv: impedance RB-014 (1 measurement), {POINTS} rows")
    events = [(one["event"], one.get("name")) for one in at_work.journal()]
    assert all((("overtaken", f"{panel}.csv") in events) for panel in begun)
    assert at_work.rows("impedance", withdrawn=True) == at_work.rows("impedance")
    at_work.drop("RB-014-5.csv", sweep(7, "RB-014-5"))
    service.expect("filed   RB-014-5.csv: impedance RB-014 (1 measurement), 7 rows")
    assert at_work.held() == {}
    found = verify(at_work.lab)
    assert (found.findings, found.remarks) == ((), ())
    every = at_work.rows("impedance", withdrawn=True)
    service.stop()
    assert rebuild(at_work.lab, "somebody").swapped
    assert at_work.rows("impedance", withdrawn=True) == every


def test_a_slow_inbox_is_remembered(lab: Make, serve: Serve) -> None:
    """After a new start a file waits for as long as the last ones of its inbox paused."""
    at_work = lab(intake={"settle_s": 0.2, "scan_s": 0.3})
    service = serve(at_work)
    kept_open(at_work.inbox / "sweep.csv", lines("RB-014-1"))
    service.expect(f"filed   sweep.csv: impedance RB-014 (1 measurement), {POINTS} rows")
    wait_until(lambda: "0.5" in paces(at_work) or "0.6" in paces(at_work), "kept")
    service.stop()
    service = serve(at_work)
    began = time.monotonic()
    at_work.drop("quick.csv", sweep(POINTS, "RB-014-2"))
    service.expect("filed   quick.csv")
    assert time.monotonic() - began > 2 * PAUSES_S[-1]


def paces(at_work: LabAtWork) -> str:
    """Return what the index keeps of how the inboxes are written."""
    with closing(sqlite3.connect(at_work.root / "index.sqlite")) as index:
        return str(index.execute("SELECT pace FROM paces").fetchall())


@pytest.mark.parametrize("step", ["published", "indexed", "recorded", "remembered"])
def test_a_continuation_that_is_cut_short_is_completed(
    lab: Make, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """Whatever a crash leaves half done: after the next run each row stands there once."""
    at_work = lab(intake={"settle_s": 0.0})
    at_work.drop("sweep.csv", sweep(7))
    at_work.take()
    at_work.drop("sweep.csv", sweep(POINTS))

    def die(reached: str) -> None:
        if reached == step:
            raise Killed

    with monkeypatch.context() as dying:
        dying.setattr(steps, "listener", die)
        with pytest.raises(Killed):
            at_work.take()
    at_work.take()
    assert len(points_of(at_work)) == len(set(points_of(at_work))) == POINTS
    assert at_work.held() == {}
    assert at_work.waiting() == []
    every = at_work.rows("impedance", withdrawn=True)
    assert verify(at_work.lab).findings == ()
    assert rebuild(at_work.lab, "somebody").swapped
    assert at_work.rows("impedance", withdrawn=True) == every


def test_one_run_waits_as_long_as_its_inbox_does(lab: Make) -> None:
    """`tiecoat take` leaves nothing for later only because the inbox has slow files."""
    at_work = lab(intake={"settle_s": 0.0})
    at_work.take()
    pace = Pace()
    pace.was_written(9.0, 2.5)
    with closing(sqlite3.connect(at_work.root / "index.sqlite")) as index, index:
        index.execute(
            "INSERT OR REPLACE INTO paces VALUES (?, ?)",
            (os.fsencode(at_work.inbox), pace.as_text()),
        )
    at_work.drop("sweep.csv", sweep(POINTS))
    began = time.monotonic()
    assert at_work.take()["sweep.csv"].status == "filed"
    assert time.monotonic() - began > 5


DENSITIES = (
    "batch;measured at;temperature [°C];density [g/cm³];state;elapsed [s]\n"
    "RB-014;14.09.2026 08:00;23,0;1,3910;as mixed;60\n"
    "RB-014;14.09.2026 08:05;23,0;1,4"
)


def test_a_number_cut_within_itself_is_not_filed(tmp_path: Path, serve: Serve) -> None:
    """A last row without an end, where the others have one, waits for the rest of its number."""
    at_work = make_lab(tmp_path / "lab", intake={"settle_s": SETTLE_S})
    service = serve(at_work)
    path = at_work.drop("slow.csv", DENSITIES)
    time.sleep(6 * SETTLE_S)
    assert at_work.rows("density") == []
    with path.open("ab") as file:
        file.write(b"780;as mixed;360\n")
    wait_until(lambda: "filed   slow.csv" in service.output, "filed")
    found = sorted(row["density_g_cm3"] for row in at_work.rows("density", withdrawn=True))
    assert found == [1.391, 1.478]
    assert at_work.held() == {}


def test_a_head_without_rows_waits_for_them(tmp_path: Path, serve: Serve) -> None:
    """A file of titles alone is not held while it is young."""
    at_work = make_lab(tmp_path / "lab", intake={"settle_s": SETTLE_S})
    service = serve(at_work)
    head, first, _ = DENSITIES.splitlines(keepends=True)
    path = at_work.drop("slow.csv", head)
    time.sleep(6 * SETTLE_S)
    assert at_work.held() == {}
    with path.open("ab") as file:
        file.write(first.encode())
    wait_until(lambda: "filed   slow.csv" in service.output, "filed")
    assert len(at_work.rows("density")) == 1


def test_who_never_ends_a_last_row_is_known_after_two_files(tmp_path: Path, serve: Serve) -> None:
    """A third file of a layout whose last rows have no end does not wait longer."""
    at_work = make_lab(tmp_path / "lab", intake={"settle_s": SETTLE_S})
    service = serve(at_work)
    for n in range(2):
        text = DENSITIES.replace("08:0", f"1{n}:0") + "021;as mixed;360"
        at_work.drop(f"{n}.csv", text)
    wait_until(lambda: service.output.count("filed   ") == 2, "two filed")
    began = time.monotonic()
    at_work.drop("third.csv", DENSITIES.replace("08:0", "15:0") + "021;as mixed;360")
    wait_until(lambda: "filed   third.csv" in service.output, "the third filed")
    assert time.monotonic() - began < Pace().longer_s(SETTLE_S)


def test_a_file_that_is_overwritten_is_told_and_waited_for_no_longer(
    tmp_path: Path, serve: Serve
) -> None:
    """Where an inbox has learnt to wait, one that overwrites its file loses one, not each."""
    at_work = make_lab(tmp_path / "lab", intake={"settle_s": SETTLE_S})
    service = serve(at_work)
    path = at_work.root / "inbox" / "last.csv"
    reopened(path, lines("RB-014-1"))  # the inbox learns its pauses
    wait_until(lambda: "filed   last.csv" in service.output, "filed")
    for n in range(2, 6):
        path.write_bytes(b"".join(lines(f"RB-014-{n}")[: POINTS + 3 - n]))
        time.sleep(4 * SETTLE_S)
    wait_until(lambda: len({row["panel"] for row in at_work.rows("impedance")}) >= 4, "filed")
    assert "last.csv has become smaller before it was taken in" in service.output
