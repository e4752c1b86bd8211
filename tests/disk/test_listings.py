"""What cannot be listed is no empty folder."""

from __future__ import annotations

import ast
import os
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from bad_exports import density
from labs import LabAtWork, Service, wait_until
from ordinary_rights import needs_rights, serving

import tiecoat
from tiecoat.disk import fsio
from tiecoat.verify.verify import verify

CORE = Path(tiecoat.__file__).parent
SWALLOW = {"glob", "rglob", "iterdir", "exists", "is_file", "is_dir", "walk", "listdir", "scandir"}
# Each of these lets nothing through but that something is not there, or tells it.
TOLD = {
    "archive/tables/folder.py": {"scandir", "is_dir", "walk"},
    "disk/fsio.py": {"listdir"},
    "intake/inboxes/held_open.py": {"listdir"},  # of processes, not of a lab
    "lab/system_zone.py": {"exists", "is_file"},  # files of the system, not of a lab
    "intake/inboxes/settle.py": {"scandir", "is_file"},
    "testing/installed.py": {"glob"},  # of an author's package, not of a lab
}

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
RunAlone = Callable[[Sequence[str]], tuple[int, str]]


def called(path: Path) -> set[str]:
    """Return the methods that a module calls of those that swallow errors."""
    every = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    calls = [one.func for one in every if isinstance(one, ast.Call)]
    attributes = [one for one in calls if isinstance(one, ast.Attribute)]
    ours = [one for one in attributes if not _is_of_fsio(one)]
    return {one.attr for one in ours} & SWALLOW


def _is_of_fsio(call: ast.Attribute) -> bool:
    return isinstance(call.value, ast.Name) and call.value.id == "fsio"


def test_nothing_in_core_takes_an_error_for_an_empty_answer() -> None:
    """Listings and looks whether something is there go through fsio, which tells every error."""
    found = {path.relative_to(CORE).as_posix(): called(path) for path in CORE.rglob("*.py")}
    assert {name: calls for name, calls in found.items() if calls} == TOLD


def test_only_what_is_not_there_is_empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A missing folder has no names; one that refuses raises, and so does a look into it."""
    (tmp_path / "file").write_text("")
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    assert fsio.names_in(tmp_path) == ["circle", "file"]
    assert fsio.names_in(tmp_path / "none") == fsio.names_in(tmp_path / "file" / "x") == []
    looks = (fsio.is_there, fsio.is_file, fsio.is_folder)
    assert [look(tmp_path) for look in looks] == [True, False, True]
    assert [look(tmp_path / "file") for look in looks] == [True, True, False]
    for name in ("none", "file/x", "circle"):
        assert [look(tmp_path / name) for look in looks] == [False, False, False]

    def refuse(path: object) -> object:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(os, "stat", refuse)
    monkeypatch.setattr(os, "listdir", refuse)
    for look in (*looks, fsio.names_in):
        with pytest.raises(PermissionError):
            look(tmp_path)


@needs_rights
@pytest.mark.parametrize("name", ["journal", "originals", "held"])
def test_a_folder_that_cannot_be_listed_stops_until_it_can(
    lab: Make, serve: Serve, run_alone: RunAlone, name: str
) -> None:
    """Without the right to list it nothing is written wrong; with it all goes on by itself."""
    at_work = lab()
    serve(at_work, serving(at_work.root, "from tiecoat.service import health; health.BEAT_S = 1"))
    at_work.drop("good.csv", density(at="14.09.2026;08:00"))
    at_work.drop("bad.csv", density("x", at="14.09.2026;08:10"))
    wait_until(lambda: at_work.held() and at_work.rows("density"), "one filed, one held")
    folder = at_work.root / name
    folders = [folder, *(path for path in folder.rglob("*") if path.is_dir())]
    for path in folders:
        path.chmod(0o311)  # whoever knows a name in it may open that
    try:
        at_work.drop("same bytes, other name.csv", density(at="14.09.2026;08:00"))
        at_work.drop("new.csv", density(at="14.09.2026;09:00"))
        at_work.drop("bad again, other name.csv", density("x", at="14.09.2026;08:10"))
        wait_until(lambda: _told(at_work, run_alone), "the trouble told")
    finally:
        for path in folders:
            path.chmod(0o755)
    wait_until(lambda: len(at_work.rows("density")) == 2, "the new one", 60)
    wait_until(lambda: at_work.waiting() == [], "an empty inbox", 60)
    assert verify(at_work.lab).findings == ()
    originals = at_work.root / "originals"
    assert len(list(originals.glob("*/*/*"))) == len(list(originals.glob("*/*"))) == 3
    assert len(at_work.held()) == 1


def _told(at_work: LabAtWork, run_alone: RunAlone) -> bool:
    command = [*serving(at_work.root)[:-3], "service", "status", "--lab", str(at_work.root)]
    code, said = run_alone(command)
    assert "Traceback" not in said
    return code != 0 and "Permission denied" in said
