"""Effects on disk: durable, in the right order, whole or not at all."""

from __future__ import annotations

import errno
import hashlib
import os
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.disk import fsio
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason


class Recorder:
    """Stands for `os` in fsio and writes down what is done to which path, in order."""

    def __init__(self) -> None:
        self.done: list[tuple[str, str]] = []
        self._paths: dict[int, str] = {}

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)

        def recorded(*args: Any, **kwargs: Any) -> Any:
            result = real(*args, **kwargs)
            if name == "open":
                self._paths[result] = Path(args[0]).name
            elif name in {"fsync", "write"}:
                self.done.append((name, self._paths[args[0]]))
            elif name in {"replace", "rename"}:
                self.done.append((name, f"{Path(args[0]).name} -> {Path(args[1]).name}"))
            elif name in {"mkdir", "unlink"}:
                self.done.append((name, Path(args[0]).name))
            return result

        return recorded if callable(real) and not isinstance(real, type) else real


@pytest.fixture
def recorder(monkeypatch: pytest.MonkeyPatch) -> Recorder:
    found = Recorder()
    monkeypatch.setattr(fsio, "os", found)
    return found


@pytest.fixture
def stage(tmp_path: Path) -> Path:
    return tmp_path / "stage"


def test_publish_flushes_before_and_after_the_rename(
    tmp_path: Path, stage: Path, recorder: Recorder
) -> None:
    """A file is written, flushed and checked before it is renamed, then its folder is flushed."""
    stage.mkdir()
    target = tmp_path / "a" / "b" / "data.bin"

    def check(path: Path) -> None:
        assert path.read_bytes() == b"hello"
        recorder.done.append(("check", path.name))

    fsio.publish(target, b"hello", stage, check)

    staged = recorder.done[0][1]
    assert recorder.done == [
        ("write", staged),
        ("mkdir", "a"),
        ("mkdir", "b"),
        ("fsync", tmp_path.name),
        ("fsync", "a"),
        ("fsync", staged),
        ("check", staged),
        ("replace", f"{staged} -> data.bin"),
        ("fsync", "b"),
    ]
    assert target.read_bytes() == b"hello"
    assert list(stage.iterdir()) == []


def test_many_files_share_the_flushing_of_their_folders(
    tmp_path: Path, stage: Path, recorder: Recorder
) -> None:
    """Of many files each is flushed, and each folder once."""
    staged = [
        (fsio.stage_file(b"%d" % n, stage), tmp_path / f"{n % 3}" / f"{n}.txt") for n in range(30)
    ]
    recorder.done.clear()

    fsio.publish_many(staged)

    flushed = [name for what, name in recorder.done if what == "fsync"]
    assert len(flushed) == 1 + 30 + 3  # the new folders' parent, the files, the folders
    assert sum(1 for path in tmp_path.glob("*/*.txt") if path.read_text() == path.stem) == 30


def test_a_failed_check_leaves_the_old_file(tmp_path: Path, stage: Path) -> None:
    """If the check fails, the old file stays and the half-made one is gone."""
    target = tmp_path / "data.bin"
    fsio.publish(target, b"old", stage)

    def refuse(_: Path) -> None:
        raise ValueError("torn")

    with pytest.raises(ValueError, match="torn"):
        fsio.publish(target, b"new", stage, refuse)

    assert target.read_bytes() == b"old"
    assert list(stage.iterdir()) == []


@pytest.mark.parametrize("winerror", sorted(fsio.IN_USE))
def test_a_file_that_is_open_elsewhere_is_waited_for(
    tmp_path: Path, stage: Path, winerror: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Windows refuses to replace a file that a scanner has open, the rename is tried again."""
    target = tmp_path / "data.bin"
    refusals = [winerror] * 3
    waits: list[float] = []
    real = os.replace

    def replace(source: Path, place: Path) -> None:
        if refusals:
            error = OSError(errno.EACCES, "in use")
            error.winerror = refusals.pop()  # type: ignore[attr-defined]
            raise error
        real(source, place)

    monkeypatch.setattr(os, "replace", replace)
    monkeypatch.setattr(time, "sleep", waits.append)

    fsio.publish(target, b"new", stage)

    assert target.read_bytes() == b"new"
    assert waits == [0.01, 0.02, 0.04]


def test_it_gives_up_after_some_seconds(
    tmp_path: Path, stage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After about three seconds of refusals the old file stays and the error comes out."""
    target = tmp_path / "data.bin"
    fsio.publish(target, b"old", stage)
    waits: list[float] = []

    def replace(*_: Path) -> None:
        error = PermissionError(errno.EACCES, "in use")
        error.winerror = 32  # type: ignore[attr-defined]
        raise error

    monkeypatch.setattr(os, "replace", replace)
    monkeypatch.setattr(time, "sleep", waits.append)

    with pytest.raises(PermissionError, match="in use"):
        fsio.publish(target, b"new", stage)

    assert 2.5 < sum(waits) < 3.5
    assert target.read_bytes() == b"old"


def test_a_denied_rename_is_not_repeated(
    tmp_path: Path, stage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Other errors come out at once."""
    calls: list[Path] = []

    def replace(source: Path, _: Path) -> None:
        calls.append(source)
        raise OSError(errno.EROFS, "read-only")

    monkeypatch.setattr(os, "replace", replace)

    with pytest.raises(OSError, match="read-only"):
        fsio.publish(tmp_path / "data.bin", b"new", stage)
    assert len(calls) == 1


def test_folders_are_published_and_removed_whole(tmp_path: Path, stage: Path) -> None:
    """A folder appears with all its files or not at all, and goes as a whole."""
    folder = fsio.stage_folder(stage)
    (folder / "reason.txt").write_text("because")
    fsio.publish_folder(folder, tmp_path / "held" / "1")
    other = fsio.stage_folder(stage)

    with pytest.raises(FileExistsError):
        fsio.publish_folder(other, tmp_path / "held" / "1")
    assert (tmp_path / "held" / "1" / "reason.txt").read_text() == "because"

    fsio.remove_folder(tmp_path / "held" / "1", stage)
    assert list((tmp_path / "held").iterdir()) == []


def test_a_network_share_that_flushes_no_folders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A share that cannot flush folders is no error; a disk that fails to is one."""
    number = errno.EINVAL

    def fsync(_: int) -> None:
        raise OSError(number, "no")

    monkeypatch.setattr(os, "fsync", fsync)
    fsio.fsync_dir(tmp_path)
    number = errno.EIO
    with pytest.raises(OSError, match="no"):
        fsio.fsync_dir(tmp_path)


@given(st.binary(max_size=3000))
def test_a_copy_is_hashed(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    """A copy has the bytes of its source and is told with their SHA-256 and number."""
    folder = tmp_path_factory.mktemp("copies")
    source = folder / "export.csv"
    source.write_bytes(content)

    copied = fsio.copy_hashing(source, folder / "stage")

    assert copied.staged.read_bytes() == content
    assert (copied.sha256, copied.size) == (hashlib.sha256(content).hexdigest(), len(content))


def test_links_pipes_and_folders_are_not_copied(tmp_path: Path, stage: Path) -> None:
    """A link is not followed, and a pipe does not make it wait."""
    (tmp_path / "file").write_text("secret")
    (tmp_path / "link").symlink_to(tmp_path / "file")
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")

    for name in ("link", "folder", "pipe"):
        with pytest.raises(FileHeld) as caught:
            fsio.copy_hashing(tmp_path / name, stage)
        assert caught.value.reason is Reason.NOT_A_FILE
    with pytest.raises(FileNotFoundError):
        fsio.copy_hashing(tmp_path / "nothing", stage)


def test_a_link_that_takes_the_place_of_a_file_is_not_followed(
    tmp_path: Path, stage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A link put in the place of a file after it was looked at is not followed either."""
    source = tmp_path / "file"
    source.write_text("harmless")
    (tmp_path / "secret").write_text("secret")
    real = os.open

    def swap(path: Path, *args: int) -> int:
        if path == source:
            source.unlink()
            source.symlink_to(tmp_path / "secret")
        return real(path, *args)

    monkeypatch.setattr(os, "open", swap)

    with pytest.raises(FileHeld):
        fsio.copy_hashing(source, stage)


@pytest.mark.parametrize("change", ["grow", "touch", "replace"])
def test_a_file_that_changes_while_it_is_copied(
    tmp_path: Path, stage: Path, change: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that changes while it is copied is to be tried later, and no copy stays."""
    source = tmp_path / "export.csv"
    source.write_text("1;2\n" * 100)
    real = os.read

    def read(descriptor: int, count: int) -> bytes:
        block = real(descriptor, count)
        if not block and change == "grow":
            with source.open("a") as file:
                file.write("3;4\n")
        elif not block and change == "touch":
            os.utime(source, (1, 1))
        elif not block:
            (tmp_path / "new").write_text("1;2\n" * 100)
            (tmp_path / "new").rename(source)
        return block

    monkeypatch.setattr(os, "read", read)

    with pytest.raises(BlockingIOError, match="changed while it was copied"):
        fsio.copy_hashing(source, stage)
    assert list(stage.iterdir()) == []


def test_move_overwrites_nothing(tmp_path: Path) -> None:
    """A file is moved with its folder made, and nothing is overwritten."""
    for name in ("a", "b"):
        (tmp_path / name).write_text(name)
    fsio.move(tmp_path / "a", tmp_path / "done" / "x")

    with pytest.raises(FileExistsError):
        fsio.move(tmp_path / "b", tmp_path / "done" / "x")

    assert (tmp_path / "done" / "x").read_text() == "a"
    fsio.remove(tmp_path / "b")
    assert [path.name for path in tmp_path.iterdir()] == ["done"]


def test_lines_are_appended_after_a_torn_one(tmp_path: Path) -> None:
    """Lines go to the end; a torn last line is closed off first."""
    path = tmp_path / "journal" / "2026-11.jsonl"
    fsio.append_lines(path, [b"one", b"two"])
    with path.open("ab") as file:
        file.write(b"thr")
    fsio.append_lines(path, [b"four"])

    assert path.read_bytes() == b"one\ntwo\nthr\nfour\n"


def test_two_threads_may_make_the_same_folders(tmp_path: Path) -> None:
    """Several threads may make the same folders at the same time."""
    folders = [tmp_path / f"{n % 4}" / f"{n}" for n in range(200)]
    errors: list[BaseException] = []

    def make() -> None:
        try:
            fsio.make_dirs(*folders)
        except OSError as error:
            errors.append(error)

    threads = [threading.Thread(target=make) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert errors == []
    assert all(folder.is_dir() for folder in folders)
