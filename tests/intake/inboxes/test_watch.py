"""Hearing what happens in a folder, by real observers, and noticing when one has gone deaf."""

from __future__ import annotations

import os
import shutil
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from labs import wait_until

from tiecoat.intake.inboxes import watch
from tiecoat.intake.inboxes.watch import Watch


class Heard:
    """A watched folder and everything that was heard of it."""

    def __init__(self, folder: Path) -> None:
        self.paths: list[Path] = []
        self.rung = threading.Event()
        self.watch = Watch(folder, self.rung.set)

    def wait_for(self, path: Path) -> None:
        """Wait until something is heard of a path."""

        def heard() -> bool:
            self.paths += self.watch.touched()
            return path in self.paths

        wait_until(heard, f"an event of {path}")
        self.paths.clear()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An inbox."""
    (tmp_path / "inbox").mkdir()
    return tmp_path / "inbox"


@pytest.fixture
def listen() -> Iterator[Callable[[Path], Heard]]:
    """Watches folders until the end of the test."""
    watched: list[Heard] = []

    def begin(folder: Path) -> Heard:
        watched.append(Heard(folder))
        return watched[-1]

    yield begin
    for heard in watched:
        closing = threading.Thread(target=heard.watch.close, daemon=True)
        closing.start()
        closing.join(10)
        assert not closing.is_alive()


def hears(heard: Heard, path: Path) -> bool:
    """Say whether a file is heard of; it fails where it is not."""
    path.write_text("1")
    heard.wait_for(path)
    return heard.watch.sound()


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere a folder is watched with all in it")
def test_folders_that_appear_together_are_heard_of(
    folder: Path, listen: Callable[[Path], Heard], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder made in another one that is just being watched takes no thread along."""
    day, inside, walk = folder / "Monday", folder / "Monday" / "RB-014", os.walk

    def walk_late(top: Any, *args: Any, **options: Any) -> Any:
        if os.fsdecode(top) == str(day):
            inside.mkdir(exist_ok=True)
        return walk(top, *args, **options)

    monkeypatch.setattr(os, "walk", walk_late)
    heard = listen(folder)
    day.mkdir()
    heard.wait_for(inside)
    assert hears(heard, inside / "x.csv")


@pytest.mark.parametrize("ending", ["its watch ends", "the observer is stopped"])
def test_a_folder_moved_out_made_again_and_deleted(
    ending: str, folder: Path, listen: Callable[[Path], Heard], tmp_path: Path
) -> None:
    """Two folders that had one path in turn confuse nobody when the first of them ends."""
    heard = listen(folder)
    day = folder / "Monday"
    day.mkdir()
    heard.wait_for(day)
    assert hears(heard, day / "x.csv")
    day.rename(tmp_path / "away")
    heard.wait_for(day)
    day.mkdir()
    heard.wait_for(day)
    assert hears(heard, day / "y.csv")
    shutil.rmtree(day)
    heard.wait_for(day)
    if ending == "its watch ends":
        shutil.rmtree(tmp_path / "away")
        assert hears(heard, folder / "z.csv")
    threads = threading.active_count()
    heard.watch.close()
    assert threading.active_count() <= threads - 2


@pytest.mark.parametrize("there", ["while it is deaf", "at once"])
@pytest.mark.parametrize("how", ["deleted", "renamed away"])
def test_an_inbox_that_was_replaced_is_not_taken_for_the_same(
    how: str, there: str, folder: Path, listen: Callable[[Path], Heard], tmp_path: Path
) -> None:
    """Deleted or renamed away: the old watch is unsound, also with another folder in its place."""
    heard = listen(folder)
    assert heard.watch.sound()
    if how == "deleted":
        folder.rmdir()
    else:
        folder.rename(tmp_path / "away")
    if there == "while it is deaf":
        assert not heard.watch.sound()
    folder.mkdir()  # it may get the inode of the one that was deleted
    wait_until(lambda: not heard.watch.sound(), "the end of the old watch")
    assert hears(listen(folder), folder / "x.csv")


def whole(observer: Any) -> type:
    """The class in which a fault ends the thread that dispatches events."""
    return watch._Doorbell


def reading(observer: Any) -> type:
    """The class in which a fault ends the thread that reads events from the system."""
    return type(observer._inotify_fd)


@pytest.mark.parametrize(
    ("place", "method"),
    [
        pytest.param(whole, "dispatch", id="dispatching"),
        pytest.param(
            reading,
            "handle_event",
            id="reading",
            marks=pytest.mark.skipif(sys.platform != "linux", reason="a thread of inotify"),
        ),
    ],
)
def test_a_thread_that_has_died_is_noticed(
    place: Callable[[Any], type],
    method: str,
    folder: Path,
    listen: Callable[[Path], Heard],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whichever thread of an observer dies of an error: the watch is unsound, and can be closed."""
    died: list[type[BaseException]] = []
    monkeypatch.setattr(threading, "excepthook", lambda args: died.append(args.exc_type))
    heard = listen(folder)

    def fail(self: object, event: object) -> None:
        raise ZeroDivisionError

    with monkeypatch.context() as patch:
        patch.setattr(place(heard.watch._observer), method, fail)
        (folder / "x.csv").write_text("1")
        wait_until(lambda: not heard.watch.sound(), "the death of the thread")
    assert set(died) == {ZeroDivisionError}
    heard.watch.close()
    assert hears(listen(folder), folder / "y.csv")


def test_whatever_a_name_is_it_is_heard_of(folder: Path, listen: Callable[[Path], Heard]) -> None:
    """Names of any bytes pass through the handler, of which an error would end the observer."""
    heard = listen(folder)
    for name in (b"\xff\xfe.csv", b"line\nbreak.csv", "\u0308\U0001f3a8.csv".encode()):
        assert hears(heard, folder / os.fsdecode(name))
