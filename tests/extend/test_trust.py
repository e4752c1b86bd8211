"""Whoever may write a reader may run code: the service's account, administrators, nobody else."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from labs import LabAtWork, Service, wait_until
from ordinary_rights import needs_rights
from serving_here import serving_here

from tiecoat.extend.trust import doubt_of, of_writers
from tiecoat.extend.windows_rights import writers

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
STRANGER = 54321  # an account that no system gives by itself
READER = """
from tiecoat.plugin import Claim, Measurement, hookimpl

class Slip:
    name, kind, version = "slip", "density", "1"

    def recognise(self, export):
        return Claim(0.99, "a slip") if export.text().startswith("slip ") else None

    def read(self, export):
        yield Measurement(
            {"temperature_c": [23.0], "density_g_cm3": [1.25], "state": ["as mixed"],
             "elapsed_s": [0.0]},
            rows=[1],
            batch="RB-014",
        )

@hookimpl
def tiecoat_readers():
    return [Slip()]
"""

root_only = pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0, reason="only root gives files to others"
)


def owned_by_another(path: Path) -> None:
    """Give it to another account."""
    os.chown(path, STRANGER, 0)


def open_to_all(path: Path) -> None:
    """Let everybody write to it."""
    path.chmod(path.stat().st_mode | 0o002)


def open_to_a_group(path: Path) -> None:
    """Let a group write to it that others may be in."""
    os.chown(path, 0, STRANGER)
    path.chmod(path.stat().st_mode | 0o020)


PLACES = {
    "the file": lambda root: root / "readers" / "slip.py",
    "readers/": lambda root: root / "readers",
    "the lab": lambda root: root,
    "tiecoat.toml": lambda root: root / "tiecoat.toml",
}
WAYS = {"owner": owned_by_another, "everybody": open_to_all, "group": open_to_a_group}
SAID = {
    "owner": rf"(.*) belongs to {STRANGER}, who could run code here: chown root '(.*)'",
    "everybody": r"everybody may write to (.*), which belongs to root, and .*: chmod o-w '(.*)'",
    "group": rf"group {STRANGER} may write to (.*), which belongs to root, .*: chmod g-w '(.*)'",
}


def make_reader(at_work: LabAtWork) -> Path:
    """Put a reader into a lab, for its owner alone to write."""
    path = at_work.root / "readers" / "slip.py"
    path.write_text(READER, encoding="utf-8")
    for one in (path, path.parent, at_work.root, at_work.root / "tiecoat.toml"):
        one.chmod(one.stat().st_mode & ~0o022)
    return path


@pytest.mark.every(4)
@root_only
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("place", PLACES)
def test_what_is_in_other_hands_does_not_run_until_that_is_mended(
    place: str, way: str, lab: Make
) -> None:
    """A service leaves such readers out, names what mends it, and takes them up once it is done."""
    at_work = lab(readers={"folder": True, "processes": 1})
    make_reader(at_work)
    path = PLACES[place](at_work.root)
    WAYS[way](path)
    with serving_here(at_work) as service:
        service.wait_said("was left out: ")
        said = "\n".join(service.said)
        found = re.search(rf"was left out: (?:the )?{SAID[way]}", said)
        assert found, said
        assert [*found.groups()] == [str(path)] * 2
        at_work.drop("slip.txt", "slip 1")
        wait_until(at_work.held, "the slip held")
        assert at_work.held()["slip.txt"]["reason"] == "no-reader"

        command = re.search(r"ch(own|mod) .*", found[0])
        assert command
        subprocess.run(command[0], shell=True, check=True)
        at_work.drop("slip 2.txt", "slip 2")
        wait_until(lambda: len(at_work.rows("density")) == 1, "the next slip read")


@root_only
def test_a_reader_that_is_left_out_is_on_the_screen(lab: Make, serve: Serve) -> None:
    """A service of its own process prints it when it starts."""
    at_work = lab(readers={"folder": True, "processes": 1})
    path = make_reader(at_work)
    open_to_all(path)
    service = serve(at_work)
    service.expect("was left out: ")
    assert f"chmod o-w '{path}'" in service.output


@root_only
def test_links_lead_no_reader_past_the_rule(lab: Make, tmp_path: Path) -> None:
    """What a link leads to is looked at, and the folder it lies in."""
    at_work = lab(readers={"folder": True, "processes": 1})
    inside = make_reader(at_work)
    shelf = tmp_path / "shelf"
    shelf.mkdir(mode=0o755)
    inside.rename(shelf / "slip.py")
    (tmp_path / "way").symlink_to(shelf / "slip.py")
    inside.symlink_to(tmp_path / "way")
    assert doubt_of(inside) == ""
    open_to_all(shelf / "slip.py")
    assert f"chmod o-w '{shelf / 'slip.py'}'" in doubt_of(inside)
    (shelf / "slip.py").chmod(0o644)
    owned_by_another(shelf)
    assert f"chown root '{shelf}'" in doubt_of(inside)
    at_work.drop("slip.txt", "slip 1")
    at_work.take()
    assert f"chown root '{shelf}'" in "\n".join(at_work.said)
    assert at_work.rows("density") == []


@needs_rights
def test_a_circle_of_links_is_no_reader(tmp_path: Path) -> None:
    """Links that lead nowhere come to an end."""
    (tmp_path / "a.py").symlink_to(tmp_path / "b.py")
    (tmp_path / "b.py").symlink_to(tmp_path / "a.py")
    assert doubt_of(tmp_path / "a.py") == ""  # and there is nothing that could run


@root_only
@pytest.mark.skipif(not shutil.which("setfacl"), reason="needs setfacl (acl)")
def test_an_access_list_is_no_way_round(tmp_path: Path) -> None:
    """An account that only the access list names may write, and is found by it."""
    path = tmp_path / "slip.py"
    path.write_text(READER, encoding="utf-8")
    path.chmod(0o644)
    given = subprocess.run(["setfacl", "-m", f"u:{STRANGER}:rw", str(path)], check=False)
    if given.returncode:
        pytest.skip("no access lists on this file system")
    said = doubt_of(path)
    assert said.endswith(f"setfacl -b '{path}'")
    subprocess.run(said.rpartition(": ")[2], shell=True, check=True)
    assert doubt_of(path) == ""


OWN = "S-1-5-21-1-2-3-1001"
OTHER = "S-1-5-21-1-2-3-1002"
SAFE = f"O:{OWN}G:DUD:PAI(A;OICI;FA;;;SY)(A;OICI;FA;;;BA)(A;OICI;FA;;;{OWN})"


@pytest.mark.parametrize(
    ("descriptor", "found"),
    [
        (SAFE, None),
        ("O:BAG:DUD:(A;ID;FA;;;SY)(A;ID;0x1200a9;;;BU)(A;ID;FR;;;WD)", None),  # others read it
        (f"{SAFE}(A;OICIIO;FA;;;CO)(A;;FA;;;OW)", None),  # for what comes to lie in it; its owner
        (f"{SAFE}(D;;FA;;;WD)", None),  # takes a right away
        ("O:S-1-5-80-956008885-3418522649-1831038044-1853292631-2271478464D:(A;;FA;;;SY)", None),
        (f"{SAFE}(A;;FW;;;BU)", (OWN, ("BU",))),
        (f"{SAFE}(A;ID;0x1301bf;;;AU)", (OWN, ("AU",))),  # what a folder on a drive inherits
        (f"{SAFE}(A;;0x2;;;BU)(A;;SD;;;{OTHER})", (OWN, ("BU", OTHER))),
        (f"{SAFE}(A;;WD;;;{OTHER})", (OWN, (OTHER,))),  # may change the rights
        (f"{SAFE}(A;;GRGWGX;;;WD)", (OWN, ("WD",))),
        (f"{SAFE}(XA;;FA;;;BU;(Member_of {{SID(BA)}}))", (OWN, ("BU",))),
        (f"O:{OTHER}D:(A;;FA;;;SY)", (OTHER, (OTHER,))),
        (f"O:{OWN}D:NO_ACCESS_CONTROL", (OWN, ("WD",))),
        (f"O:{OWN}G:DU", (OWN, ("WD",))),  # no list at all: everybody
    ],
)
def test_an_access_list_of_windows_is_understood(
    descriptor: str, found: tuple[str, tuple[str, ...]] | None
) -> None:
    """By its owner and its entries: who beside the own account and administrators may change it.

    The texts follow the security descriptor definition language; from memory of its documentation.
    """
    assert writers(descriptor, OWN) == found


def test_a_refusal_on_windows_names_owner_and_command() -> None:
    """It says who may write, whose it is, and what takes that away, in any language of Windows."""
    said = of_writers(Path("lab"), (OTHER, ("BU", OTHER)))
    assert said == (
        f"BU, {OTHER} may write to lab, which belongs to {OTHER}, and so could run code: "
        'icacls "lab" /setowner "%USERNAME%" & icacls "lab" /inheritance:r /grant:r'
        ' "*S-1-5-18:(OI)(CI)F" "*S-1-5-32-544:(OI)(CI)F" "%USERNAME%:(OI)(CI)F"'
        f' /remove "*S-1-5-32-545" /remove "*{OTHER}"'
    )
