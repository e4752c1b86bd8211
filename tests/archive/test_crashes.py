"""The process dies at any step, or the disk refuses: run again, all is there exactly once.

By default at every eighth step, with `TIECOAT_TESTS=all` at every fourth, which of them differs
from case to case; `TIECOAT_CAMPAIGN=1` in the environment makes it every one.
"""

from __future__ import annotations

import errno
import itertools
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest
from archive_rows import decided, export, file, make_lab, plate, recipe, sha_of, sweep, wet
from faulty_disk import Faulty, Killed

from tiecoat.archive.index.sqlite import SqliteIndex
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index, reindex
from tiecoat.archive.store import Store
from tiecoat.ask.query import Archive
from tiecoat.disk import fsio
from tiecoat.lab.settings import Lab, open_lab


def first_day(lab: Lab) -> None:
    """What is there before."""
    file(
        lab,
        export(
            "r.xlsx", {"batches": [recipe("RB-014", "talc")], "panels": [plate("P-1", "RB-014")]}
        ),
        export("0.csv", {"density": [wet(1.30)], "impedance": [sweep("RB-014-1")]}),
    )


def filing(lab: Lab) -> None:
    """A round that extends a table, makes new ones and replaces a row of the register."""
    file(
        lab,
        export("s.xlsx", {"batches": [recipe("RB-014", "mica"), recipe("RB-015", "none")]}),
        export("1.csv", {"impedance": [sweep("RB-014-2"), sweep("RB-016-1")]}),
        export("2.csv", {"density": [wet(1.30)]}),
    )


def superseding(lab: Lab) -> None:
    """New values for one determination, and a panel that moves to another batch."""
    with open_index(lab) as index, write_lock(lab):
        moved = {"panels": [plate("P-1", "RB-015")], "density": [wet(1.33)]}
        Store(lab, index).file([decided(export("n.csv", moved), "M. Keller", "scale")])


def retracting(lab: Lab) -> None:
    """Two measurements of two tables are retracted."""
    with open_index(lab) as index, write_lock(lab):
        names = [f"{sha_of('0.csv')[:16]}-000{n}" for n in (1, 2)]
        Store(lab, index).retract(names, "M. Keller", "leak")


STEPS = [filing, superseding, retracting]
ALL = os.environ.get("TIECOAT_TESTS") == "all"
STRIDE = 1 if "TIECOAT_CAMPAIGN" in os.environ else 4 if ALL else 8


def effects(case: int) -> Iterator[int]:
    """Return the numbers of the effects at which a case is tried."""
    return itertools.count(1 + case % STRIDE, STRIDE)


def state(lab: Lab) -> dict[str, Any]:
    """Everything that is archived, but for the time of withdrawal."""
    found: dict[str, Any] = {}
    for path in sorted(lab.archive.rglob("*")):
        if path.is_file():
            assert path.name == "data.parquet"
            rows = pq.read_table(path, page_checksum_verification=True)
            rows = rows.drop_columns(["withdrawn_at"])
            found[path.relative_to(lab.archive).as_posix()] = rows.to_pylist()
    return found


def check(lab: Lab, expected: dict[str, Any]) -> None:
    """Compare with what an undisturbed run gives, in the tables and in the index."""
    assert state(lab) == expected
    measurements = Archive(lab).measurements(withdrawn=True)
    reindex(lab)
    assert Archive(lab).measurements(withdrawn=True).equals(measurements)


@pytest.fixture
def make(tmp_path: Path) -> Callable[[], Lab]:
    """A maker of equal labs."""
    first_day(make_lab(tmp_path / "first"))
    numbers = itertools.count()

    def copy() -> Lab:
        target = tmp_path / f"lab{next(numbers)}"
        shutil.copytree(tmp_path / "first", target)
        return open_lab(target)

    return copy


@pytest.mark.every(12)
@pytest.mark.parametrize("step", STEPS)
def test_killed_at_any_effect(
    make: Callable[[], Lab], step: Callable[[Lab], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed at any effect on disk, every table is whole; run again, all is there exactly once."""
    undisturbed = make()
    before = state(undisturbed)
    step(undisturbed)
    expected = state(undisturbed)
    for number in effects(STEPS.index(step)):
        lab = make()
        with monkeypatch.context() as patch:
            patch.setattr(fsio, "os", Faulty(number, Killed(), sticky=True))
            try:
                step(lab)
                break
            except Killed:
                pass
        for name, rows in state(lab).items():
            assert rows in (before.get(name), expected[name])
        step(lab)
        check(lab, expected)
    assert number > 10


@pytest.mark.every(12)
@pytest.mark.parametrize(("step", "sticky"), [*((step, False) for step in STEPS), (filing, True)])
def test_the_disk_refuses_at_any_effect(
    make: Callable[[], Lab],
    step: Callable[[Lab], None],
    sticky: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A full disk is an error, leaves whole tables and no half-made file, and can be repeated."""
    undisturbed = make()
    step(undisturbed)
    expected = state(undisturbed)
    for number in effects(STEPS.index(step) + 2 + sticky):
        lab = make()
        with monkeypatch.context() as patch:
            full = OSError(errno.ENOSPC, "no space left on device")
            faulty = Faulty(number, full, sticky=sticky)
            patch.setattr(fsio, "os", faulty)
            with suppress(OSError):
                step(lab)
        if faulty.count < number:
            break
        state(lab)
        if not sticky:
            assert list(lab.stage.iterdir()) == []
        step(lab)
        check(lab, expected)
    assert number > 10


@pytest.mark.parametrize("step", STEPS)
def test_killed_between_the_tables_and_the_index(
    make: Callable[[], Lab], step: Callable[[Lab], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed after the tables and before the index, another export still finds what is filed."""
    undisturbed = make()
    step(undisturbed)
    lab = make()

    def die(*_: Any) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(SqliteIndex, "filed", die)
        with pytest.raises(Killed):
            step(lab)

    with open_index(lab) as index, write_lock(lab):
        (other,) = Store(lab, index).file([export("x.xlsx", {"panels": [plate("P-1", "RB-017")]})])
    assert other.status == "conflict"
    step(lab)
    check(lab, state(undisturbed))


def test_an_index_that_is_kept_open_learns_what_another_process_left(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A service that runs on finds what a process that died between table and index has filed."""

    def die(*_: Any) -> None:
        raise Killed

    with open_index(lab) as index:
        with monkeypatch.context() as patch:
            patch.setattr(SqliteIndex, "filed", die)
            with pytest.raises(Killed):
                file(lab, export("a.xlsx", {"panels": [plate("P-1", "RB-014")]}))
        with write_lock(lab):
            other = export("b.xlsx", {"panels": [plate("P-1", "RB-015")]})
            (filed,) = Store(lab, index).file([other])

    assert filed.status == "conflict"


KILLABLE = """
import sys
sys.path[:0] = sys.argv[2:]
import test_crashes
from tiecoat.lab.settings import open_lab
test_crashes.filing(open_lab(sys.argv[1]))
print("done")
"""


def killed_at(lab: Lab, call: str, number: int) -> bool:
    """Run the filing in another process that is killed at the Nth call; say whether it ended."""
    inject = ["strace", "-f", "-qq", "-o", "/dev/null", "-e", f"trace={call}"]
    inject += ["-e", f"inject={call}:signal=SIGKILL:when={number}"]
    paths = [str(Path(__file__).parent), str(Path(__file__).parents[1])]
    run = [sys.executable, "-c", KILLABLE, str(lab.root), *paths]
    done = subprocess.run(inject + run, capture_output=True, text=True, check=False)
    assert done.returncode in {0, -signal.SIGKILL, 128 + signal.SIGKILL}, done.stderr
    return done.stdout == "done\n"


def kill_at_every(make: Callable[[], Lab], call: str) -> int:
    undisturbed = make()
    filing(undisturbed)
    expected = state(undisturbed)
    for number in itertools.count(1, 1 if ALL or call != "rename" else 2):
        lab = make()
        ended = killed_at(lab, call, number)
        if not ended:
            filing(lab)
        check(lab, expected)
        if ended:
            return number
    raise AssertionError


needs_strace = pytest.mark.skipif(shutil.which("strace") is None, reason="strace is not installed")


@pytest.mark.thorough
@needs_strace
def test_a_killed_process(make: Callable[[], Lab]) -> None:
    """After a process is killed for real at any rename, a second run completes everything.

    By default at every second.
    """
    assert kill_at_every(make, "rename") > 4


@needs_strace
@pytest.mark.campaign
@pytest.mark.parametrize("call", ["fsync", "fdatasync", "pwrite64", "write", "mkdir", "unlink"])
def test_a_killed_process_at_every_call(
    make: Callable[[], Lab], call: str, request: pytest.FixtureRequest
) -> None:
    """The same at every flush, write, new folder and deletion, those of the index included."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    assert kill_at_every(make, call) >= 1
