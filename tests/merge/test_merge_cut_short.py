"""A merge that is cut short has not happened, or all of it has; done again, nothing is there twice.

By default it is killed at some of its effects on disk; `TIECOAT_CAMPAIGN=1` makes it every one.
"""

from __future__ import annotations

import errno
import itertools
import os
import shutil
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from bad_exports import density, impedance, panel_row, panels, pull_off
from faulty_disk import Faulty, Killed
from labs import LabAtWork, make_lab

from tiecoat.cli import main
from tiecoat.disk import fsio
from tiecoat.intake.workers.pool import Inventory, ReaderPool
from tiecoat.lab.settings import open_lab
from tiecoat.merge import fitting
from tiecoat.merge.merge import merge
from tiecoat.verify.verify import verify

STRIDE = 1 if "TIECOAT_CAMPAIGN" in os.environ else 61


class _AtHand:
    """Stands for the workers, which would be asked anew each time what readers there are."""

    inventory_of: Inventory

    def __init__(self, lab: object) -> None:
        del lab

    def __enter__(self) -> _AtHand:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def inventory(self) -> Inventory:
        return self.inventory_of


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> tuple[LabAtWork, LabAtWork]:
    """A lab, and another with a register, a retraction, a conflict, and a file that waits."""
    folder = tmp_path_factory.mktemp("two labs")
    here, there = make_lab(folder / "here"), make_lab(folder / "there")
    here.drop("here.csv", pull_off(strength="4.72"))
    here.drop("waits there too.csv", density("x"))
    here.take()
    there.drop("register.csv", panels(panel_row("RB-015-1", "RB-015")))
    there.drop("there.csv", pull_off(strength="5.11"))
    there.drop("spectrum.csv", impedance(panel="RB-015-1"))
    there.drop("density.csv", density())
    there.drop("waits.csv", density("y"))
    there.drop("waits there too.csv", density("x"))
    there.take()
    (one,) = [row for row in there.every_row() if row["source_name"] == "density.csv"]
    main(["retract", one["measurement"], "--why", "spilled", "--lab", str(there.root)])
    with ReaderPool(here.lab) as pool:
        _AtHand.inventory_of = pool.inventory()
    return here, there


@pytest.fixture
def copies(
    two: tuple[LabAtWork, LabAtWork], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[LabAtWork]:
    """Copies of the lab that something is merged into."""
    monkeypatch.setattr(fitting, "ReaderPool", _AtHand)

    def every() -> Iterator[LabAtWork]:
        for number in itertools.count():
            yield two[0].copy(tmp_path / f"lab {number}")
            shutil.rmtree(tmp_path / f"lab {number}")

    return every()


def state(at_work: LabAtWork) -> tuple[Any, ...]:
    """Return all that a merge brings, and how often it is on record."""
    rows = sorted(at_work.every_row(), key=lambda row: (row["measurement"], row["source_row"]))
    files = (path for path in at_work.root.glob("originals/*/*/*") if path.is_file())
    events = Counter((one["event"], one.get("name", "")) for one in at_work.journal())
    del events["settings", ""]
    return rows, sorted(path.name for path in files), sorted(at_work.held()), events


def check(at_work: LabAtWork, other: LabAtWork, before: Any, after: Any) -> None:
    """See to it that all has come or nothing, and that a second merge brings all."""
    main(["reindex", "--lab", str(at_work.root)])
    assert state(at_work) in (before, after)
    assert verify(at_work.lab).findings == ()
    merge(at_work.lab, other.root, "M. Keller")
    assert state(at_work) == after
    verified = verify(at_work.lab)
    assert (verified.findings, verified.remarks) == ((), ())
    assert not (at_work.root / "rebuilt").exists()


@pytest.mark.thorough
@pytest.mark.parametrize("kind", ["killed", "full"])
def test_cut_short_at_any_effect(
    two: tuple[LabAtWork, LabAtWork],
    copies: Iterator[LabAtWork],
    kind: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Killed, or out of room, at any effect on disk: the next start has all of it, or nothing."""
    here, there = two
    before = state(here)
    undisturbed = next(copies)
    merge(undisturbed.lab, there.root, "M. Keller")
    after = state(undisturbed)
    assert after != before
    full = OSError(errno.ENOSPC, "no space left on device")
    for number in itertools.count(1 + len(kind), STRIDE):
        at_work = next(copies)
        faulty = Faulty(number, Killed() if kind == "killed" else full, sticky=kind == "killed")
        with monkeypatch.context() as patch, suppress(Killed, OSError):
            patch.setattr(fsio, "os", faulty)
            merge(open_lab(at_work.root), there.root, "M. Keller")
        if faulty.count < number:
            break
        check(at_work, there, before, after)
    assert number > 100
