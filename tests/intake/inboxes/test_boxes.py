"""Looking at a watched folder without waiting for it, and hearing of it after it was replaced."""

from __future__ import annotations

import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from bad_exports import density
from labs import LabAtWork, wait_until

from tiecoat.disk.file_print import FilePrint
from tiecoat.errors import InboxOutOfReach
from tiecoat.intake.inboxes import boxes
from tiecoat.intake.inboxes.boxes import Box, close_all
from tiecoat.intake.inboxes.settle import Arrival

Make = Callable[..., LabAtWork]


class Hanging:
    """Stands for os.scandir: below `folder` it returns nothing until `answers` is set."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.answers = threading.Event()
        self.asked = 0
        self._scandir = os.scandir

    def __call__(self, path: Any) -> Any:
        if not isinstance(path, int) and Path(os.fsdecode(path)) == self.folder:
            self.asked += 1
            assert self.answers.wait(60)
        return self._scandir(path)


class Looking:
    """Two boxes, a share and a folder at hand, as the loop of a service looks at them."""

    def __init__(self, at_work: LabAtWork) -> None:
        self.said: list[str] = []
        self.rung = threading.Event()
        self.taken: dict[Path, FilePrint] = {}
        self.boxes = [
            Box(at_work.lab, inbox, self.said.append, self.rung.set)
            for inbox in at_work.lab.settings.inbox
        ]
        self.longest_s = 0.0

    def until(self, done: Callable[[list[str]], bool], what: str) -> None:
        """Look until enough has arrived."""
        arrived: list[str] = []

        def look() -> bool:
            for box in self.boxes:
                began = time.monotonic()
                arrived.extend(self._accepted(box.scan(began, lambda: self.taken)))
                self.longest_s = max(self.longest_s, time.monotonic() - began)
            return done(arrived)

        wait_until(look, what)

    def until_arrived(self, name: str) -> None:
        """Look until this file has settled."""
        self.until(lambda arrived: name in arrived, name)

    def until_said(self, words: str) -> None:
        """Look until these words are the last that were said."""
        self.until(lambda _: bool(self.said) and words in self.said[-1], words)

    def _accepted(self, arrivals: list[Arrival]) -> list[str]:
        self.taken.update((arrival.path, arrival.seen) for arrival in arrivals)
        return [arrival.name for arrival in arrivals]


@pytest.fixture
def look() -> Iterator[Callable[[LabAtWork], Looking]]:
    """Looks at the inboxes of a lab until the end of the test."""
    begun: list[Looking] = []

    def begin(at_work: LabAtWork) -> Looking:
        begun.append(Looking(at_work))
        return begun[-1]

    yield begin
    for looking in begun:
        close_all(looking.boxes)


@pytest.fixture
def hanging(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[LabAtWork, Path, Hanging]]:
    """A lab with an inbox on a share that does not answer, and one at hand."""
    at_work = lab(inbox=[{"path": "share", "settle_s": 0.5}, {"path": "inbox"}])
    share = at_work.root / "share"
    hang = Hanging(share)
    monkeypatch.setattr(os, "scandir", hang)
    monkeypatch.setattr(boxes, "SILENT_S", 0.3)
    monkeypatch.setattr(boxes, "CLOSE_S", 0.2)
    yield at_work, share, hang
    hang.answers.set()


def test_a_folder_that_hangs_keeps_no_other_waiting(
    hanging: tuple[LabAtWork, Path, Hanging], look: Callable[[LabAtWork], Looking]
) -> None:
    """The other inbox goes on; the silence is told once, with its time; the end comes at once."""
    at_work, share, hang = hanging
    (share / "on the share.csv").write_text("1")
    looking = look(at_work)
    at_work.drop("first.csv", "1")
    looking.until_arrived("first.csv")
    looking.until_said(f"the inbox {share} is out of reach (it has not answered since 20")
    at_work.drop("second.csv", "2")
    looking.until_arrived("second.csv")
    assert len(looking.said) == 1
    assert hang.asked == 1  # one look at a time
    assert looking.boxes[0].complaint == looking.said[0]
    assert not looking.boxes[0].looking
    assert looking.longest_s < 1
    began = time.monotonic()
    close_all(looking.boxes)
    assert time.monotonic() - began < 1


def test_a_folder_that_answers_again_is_taken_up(
    hanging: tuple[LabAtWork, Path, Hanging], look: Callable[[LabAtWork], Looking]
) -> None:
    """It rings, it is told, and what lies there settles from then on: the old look is not used."""
    at_work, share, hang = hanging
    hang.answers.set()
    (share / "before.csv").write_text("1")
    looking = look(at_work)
    looking.until(lambda _: bool(looking.boxes[0].settler.waiting), "a first look")
    hang.answers.clear()
    looking.until_said("is out of reach (it has not answered since ")
    (share / "before.csv").write_text("1 and changed while nobody could look")
    (share / "meanwhile.csv").write_text("2")
    time.sleep(0.3)  # the events of these have rung by now
    looking.rung.clear()
    hang.answers.set()
    assert looking.rung.wait(5)
    back = time.monotonic()
    looking.until_said(f"the inbox {share} is in reach")
    looking.until(lambda arrived: len(arrived) == 2, "both files")
    assert time.monotonic() - back > 0.3  # most of its settle time
    assert looking.boxes[0].complaint == ""
    assert {seen[0] for seen in looking.taken.values()} == {1, 37}


def test_what_was_seen_before_a_silence_is_not_used(
    lab: Make, look: Callable[[LabAtWork], Looking], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that had settled when its folder fell silent, and changed meanwhile, must settle."""
    at_work = lab(inbox=[{"path": "inbox", "watch": "polling", "settle_s": 0.5}])
    monkeypatch.setattr(boxes, "SILENT_S", 0.3)
    path = at_work.drop("x.csv", "1")
    looking = look(at_work)
    (box,) = looking.boxes
    looking.until(lambda _: bool(box.settler.waiting), "a first look")
    files, answers = box.settler._files, threading.Event()

    def half(*args: Any) -> Iterator[Any]:
        yield from files(*args)
        assert answers.wait(60)

    monkeypatch.setattr(box.settler, "_files", half)
    looking.until_said("is out of reach (it has not answered since ")
    path.write_text("changed")
    answers.set()
    looking.until_arrived("x.csv")
    assert looking.taken[path][0] == len("changed")


def test_a_run_beside_a_folder_that_hangs_comes_to_its_end(
    hanging: tuple[LabAtWork, Path, Hanging],
) -> None:
    """`tiecoat take` files what lies elsewhere, says what does not answer, and ends with that."""
    at_work, share, _ = hanging
    silent = f"the inbox {share} is out of reach (it has not answered since "
    with pytest.raises(InboxOutOfReach) as ended:
        at_work.take()
    assert silent in str(ended.value)
    (said,) = at_work.said
    assert silent in said
    at_work.drop("x.csv", density())
    with pytest.raises(InboxOutOfReach):
        at_work.take()
    assert [row["source_name"] for row in at_work.rows("density")] == ["x.csv"]


def test_a_slow_folder_is_no_silent_one(
    lab: Make, look: Callable[[LabAtWork], Looking], monkeypatch: pytest.MonkeyPatch
) -> None:
    """While entry after entry answers nothing is told, however long a look takes."""
    at_work = lab(inbox=[{"path": "inbox", "watch": "polling"}])
    monkeypatch.setattr(boxes, "SILENT_S", 0.3)
    for number in range(8):
        at_work.drop(f"{number}.csv", "1")
    looking = look(at_work)
    (box,) = looking.boxes
    files = box.settler._files

    def slowly(*args: Any) -> Iterator[Any]:
        for found in files(*args):
            time.sleep(0.1)
            yield found

    monkeypatch.setattr(box.settler, "_files", slowly)
    looking.until(lambda arrived: len(arrived) == 8, "all files")
    assert looking.said == []


def test_what_a_slow_look_has_seen_counts_from_its_end(
    lab: Make, look: Callable[[LabAtWork], Looking], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A look that takes longer than files must be quiet does not make them look settled."""
    at_work = lab(inbox=[{"path": "inbox", "watch": "polling", "settle_s": 0.5}])
    monkeypatch.setattr(boxes, "POLL_S", 0.1)
    path = at_work.drop("x.csv", "1")
    looking = look(at_work)
    (box,) = looking.boxes
    files = box.settler._files

    def slow_to_begin(*args: Any) -> Iterator[Any]:
        time.sleep(0.6)
        yield from files(*args)

    with monkeypatch.context() as patch:
        patch.setattr(box.settler, "_files", slow_to_begin)
        looking.until(lambda _: box.settler.waiting == [path], "the end of the slow look")
    seen = time.monotonic()
    looking.until_arrived("x.csv")
    assert time.monotonic() - seen > 0.3


@pytest.mark.parametrize("how", ["deleted", "renamed away"])
def test_a_replaced_inbox_is_heard_again(
    how: str, lab: Make, look: Callable[[LabAtWork], Looking]
) -> None:
    """An inbox that was replaced gets a new watch: what happens in the new folder rings."""
    at_work = lab()
    looking = look(at_work)
    at_work.drop("before.csv", "1")
    looking.until_arrived("before.csv")
    if how == "deleted":
        shutil.rmtree(at_work.inbox)
    else:
        at_work.inbox.rename(at_work.root / "away")
    looking.until_said("is out of reach")
    at_work.inbox.mkdir()
    looking.until_said("is in reach")
    looking.rung.clear()
    at_work.drop("after.csv", "2")
    assert looking.rung.wait(5)  # nothing but an event rings here
    looking.until_arrived("after.csv")


def test_inboxes_within_one_another_return_a_file_once(
    lab: Make, look: Callable[[LabAtWork], Looking], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that lies in two inboxes, looked at in the same moment, is taken up by one of them."""
    monkeypatch.setattr(boxes, "GRACE_S", 0.0)
    at_work = lab(inbox=[{"path": "inbox"}, {"path": "inbox/inner"}])
    looking = look(at_work)
    for box in looking.boxes:
        files = box.settler._files

        def slowly(files: Any = files) -> Iterator[Any]:
            time.sleep(0.1)
            yield from files()

        monkeypatch.setattr(box.settler, "_files", slowly)
    at_work.drop("x.csv", "1", "inner")
    every: list[str] = []
    end = time.monotonic() + 1.5  # some more looks

    def enough(arrived: list[str]) -> bool:
        every[:] = arrived
        return time.monotonic() > end

    looking.until(enough, "some time")
    assert every == ["x.csv"]
