"""What Windows does otherwise, with the seams of the system replaced. Not run on Windows itself."""

from __future__ import annotations

import importlib.util
import os
import stat
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest
from bad_exports import density
from labs import LabAtWork

from tiecoat.disk import fsio
from tiecoat.intake.inboxes import held_open, settle
from tiecoat.service import scheduler

Make = Callable[..., LabAtWork]
LONG = "a very long name that some instrument has put together out of all that it knows " * 2


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> None:
    """The switch by which files are handled as on Windows."""
    monkeypatch.setattr(fsio, "WINDOWS", True)


@pytest.mark.usefixtures("windows")
def test_an_export_leaves_its_inbox_though_a_listing_has_no_inode(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows lists files with inode 0, and tells another one when asked for the file itself."""

    def listed(entry: os.DirEntry[str], follow_symlinks: bool = True) -> Any:
        status = os.lstat(entry.path)
        values = {name: getattr(status, name) for name in dir(status) if name.startswith("st_")}
        return SimpleNamespace(**{**values, "st_ino": 0})

    class Entry:
        def __init__(self, entry: os.DirEntry[str]) -> None:
            self.name, self.path, self.is_file = entry.name, entry.path, entry.is_file
            self.stat = lambda follow_symlinks=True: listed(entry)

    class Listing:
        def __init__(self, folder: Path) -> None:
            self._listing = os.scandir(folder)

        def __enter__(self) -> list[Entry]:
            return [Entry(entry) for entry in self._listing]

        def __exit__(self, *error: object) -> None:
            self._listing.close()

    at_work = lab()
    at_work.drop("good.csv", density())
    at_work.drop("bad.csv", b"\x00\x01")
    monkeypatch.setattr(settle, "os", SimpleNamespace(**{**vars(os), "scandir": Listing}))
    outcomes = at_work.take()
    assert (outcomes["good.csv"].status, outcomes["bad.csv"].status) == ("filed", "held")
    assert at_work.waiting() == []
    assert [path.name for path in at_work.done.iterdir()] == ["good.csv"]


@pytest.mark.usefixtures("windows")
def test_a_name_that_would_make_a_path_too_long_is_cut(lab: Make) -> None:
    """No path of what is kept, held or done is too long; the whole name stays on record."""
    at_work = lab()
    names = [f"{LONG}{end}.csv" for end in ("1", "2", "bad")]
    for n, name in enumerate(names[:2]):
        at_work.drop(name, density(at=f"14.09.2026;0{n + 8}:00"))
    at_work.drop(names[2], b"\x00\x01")
    outcomes = at_work.take()
    assert [outcomes[name].status for name in names] == ["filed", "filed", "held"]
    assert {row["source_name"] for row in at_work.rows("density")} == set(names[:2])
    assert set(at_work.held()) == {names[2]}
    kept = [path for path in at_work.root.rglob("*.csv") if path.is_file()]
    assert len(kept) == 6  # three originals, two done, one held
    assert max(len(str(path)) for path in kept) < 259
    assert all(path.suffix == ".csv" for path in kept)


@pytest.mark.parametrize("name", ["short.csv", "x" * 300, "x" * 300 + ".csv", "x . " * 90 + ".csv"])
@pytest.mark.usefixtures("windows")
def test_cutting_keeps_the_ending_and_makes_no_name_that_windows_refuses(name: str) -> None:
    """The ending stays; no blank or dot comes to stand where Windows drops it."""
    folder = Path("C:/labs/coatings/originals/ab", "a" * 64)
    cut = fsio.fitting(folder, name)
    assert len(str(folder / cut)) <= fsio.LONGEST_PATH
    assert Path(cut).suffix == Path(name).suffix
    assert cut == cut.rstrip(" .")
    assert name.startswith(Path(cut).stem)


@pytest.mark.parametrize(
    ("tag", "link"),
    [
        (0xA000000C, True),  # symbolic link
        (0xA0000003, True),  # junction or mounted volume
        (0x9000001A, False),  # a file of a cloud folder
        (0x80000013, False),  # deduplicated by the server
        (0, False),
    ],
)
def test_only_what_leads_elsewhere_is_a_link(tag: int, link: bool) -> None:
    """Files of cloud folders and of deduplicating servers are files. (Tags from memory.)"""
    status = SimpleNamespace(st_mode=stat.S_IFREG, st_reparse_tag=tag)
    assert settle._is_link(status) is link  # type: ignore[arg-type]


def held_open_of_windows(monkeypatch: pytest.MonkeyPatch, refused: set[Path]) -> ModuleType:
    """A second copy of the module, loaded as Windows would, with a system that refuses files."""

    def create_file(path: str, access: int, share: int, *rest: int) -> int:
        assert share == 0  # nobody else may have it open
        if Path(path) in refused:
            raise OSError(32, "used by another process")
        return 7

    system = SimpleNamespace(
        CreateFile=create_file, CloseHandle=lambda handle: None, GENERIC_READ=1, OPEN_EXISTING=3
    )
    monkeypatch.setitem(sys.modules, "_winapi", system)
    monkeypatch.setattr(sys, "platform", "win32")
    spec = importlib.util.spec_from_file_location("held_open_of_windows", held_open.__file__)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_file_that_its_writer_has_open_has_not_settled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However quiet a file is: while another program has it open it waits, then it is taken."""
    file = tmp_path / "x.csv"
    file.write_text("1")
    refused = {file}
    held = held_open_of_windows(monkeypatch, refused).HeldOpen(clock=lambda: 0.0)
    settler = settle.Settler(tmp_path, 5.0, (), _held_open=held)
    for now in (0.0, 6.0, 12.0):
        assert settler.scan(now, {}) == []
    refused.clear()
    assert [arrival.path for arrival in settler.scan(18.0, {})] == [file]


def test_the_task_runs_without_a_console_window(tmp_path: Path) -> None:
    """pythonw.exe is taken where there is one."""
    python = tmp_path / "python.exe"
    assert scheduler._without_window(str(python)) == str(python)
    (tmp_path / "pythonw.exe").touch()
    assert scheduler._without_window(str(python)) == str(tmp_path / "pythonw.exe")


@pytest.mark.usefixtures("windows")
def test_a_start_goes_on_where_a_scanner_holds_what_is_swept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is left in the stage by a dead process waits for the next start, if need be."""
    left = tmp_path / "4194309-x"
    left.touch()

    def refuse(path: Path, missing_ok: bool = False) -> None:
        raise PermissionError(13, "used by another process", str(path))

    with monkeypatch.context() as held:
        held.setattr(Path, "unlink", refuse)
        fsio.sweep(tmp_path)
    assert left.exists()
    fsio.sweep(tmp_path)
    assert not left.exists()
