"""A folder from which tiecoat installs on a computer without internet."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from email.parser import HeaderParser
from pathlib import Path
from zipfile import ZipFile

import pytest
from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.tags import Tag, compatible_tags, cpython_tags, mac_platforms
from packaging.utils import canonicalize_name, parse_wheel_filename
from shared_work import SharedWork

ROOT = Path(__file__).resolve().parent.parent
PYTHON = "{}.{}".format(*sys.version_info)
Bundle = Callable[[str, str], Path]
ELSEWHERE = {
    "windows": {"sys_platform": "win32", "platform_system": "Windows", "os_name": "nt"},
    "macos": {"sys_platform": "darwin", "platform_system": "Darwin", "os_name": "posix"},
}


@pytest.fixture
def bundle(shared_work: SharedWork) -> Bundle:
    """Makes a bundle, each once."""

    def make(system: str, python: str) -> Path:
        def made(folder: Path) -> Path:
            asked = ["--for", system, "--python", python]
            command = [sys.executable, ".ci/bundle.py", str(folder / "bundle"), *asked]
            subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
            return folder / "bundle"

        return shared_work.once(f"bundle for {system} {python}", made)

    return make


def without_network() -> list[str]:
    """Return what cuts a command off from every network, where that is allowed."""
    cut = ["unshare", "--map-root-user", "--net"]
    allowed = shutil.which("unshare") and not subprocess.run([*cut, "true"], check=False).returncode
    return cut if allowed else []


def tags(system: str, python: tuple[int, int]) -> set[Tag]:
    """Return which wheels a computer can use, as packaging knows it."""
    platforms = ["win_amd64"] if system == "windows" else [*mac_platforms((14, 0), "arm64")]
    named = f"cp{python[0]}{python[1]}"
    return {
        *cpython_tags(python, platforms=platforms),
        *compatible_tags(python, interpreter=named, platforms=platforms),
    }


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="made and installed on Linux")
def test_it_installs_and_files_without_a_network(bundle: Bundle, tmp_path: Path) -> None:
    """One command installs it where nothing can be reached, and an export is filed by it."""
    folder, cut = bundle("linux", PYTHON), without_network()
    place = tmp_path / "program"
    install = [sys.executable, folder / "install.py", place]
    subprocess.run([*cut, *install], cwd=tmp_path, check=True)
    program, lab = [*cut, place / "bin" / "tiecoat"], tmp_path / "lab"
    subprocess.run([*program, "new", lab], check=True)
    register = lab / "inbox" / "register.csv"
    register.write_text("batch;recipe;role\nRB-010;E-01;control\n", encoding="utf-8")
    subprocess.run([*program, "take", "--lab", lab], check=True)
    assert [path.parent.name for path in (lab / "archive").rglob("*.parquet")] == ["RB-010"]


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="made and installed on Linux")
def test_a_damaged_bundle_is_not_installed(bundle: Bundle, tmp_path: Path) -> None:
    """A wheel that a bad stick has changed is refused."""
    folder = tmp_path / "bundle"
    shutil.copytree(bundle("linux", PYTHON), folder)
    (wheel,) = (folder / "wheels").glob("tiecoat-*.whl")
    with ZipFile(wheel, "a") as packed:
        packed.writestr("more", "than there was")
    done = subprocess.run([sys.executable, folder / "install.py", tmp_path / "p"], check=False)
    assert done.returncode


@pytest.mark.thorough
@pytest.mark.parametrize("system", ELSEWHERE)
def test_what_another_system_needs_is_there(bundle: Bundle, system: str) -> None:
    """Every wheel fits the other computer, and all that each asks for there is in the folder."""
    wheels = [*(bundle(system, "3.13") / "wheels").glob("*.whl")]
    there = default_environment() | ELSEWHERE[system] | {"python_version": "3.13", "extra": ""}
    names = {parse_wheel_filename(wheel.name)[0]: wheel for wheel in wheels}
    assert "tiecoat" in names
    fitting = tags(system, (3, 13))
    for wheel in wheels:
        assert parse_wheel_filename(wheel.name)[3] & fitting, wheel.name
        with ZipFile(wheel) as packed:
            (told,) = (one for one in packed.namelist() if one.endswith(".dist-info/METADATA"))
            metadata = HeaderParser().parsestr(packed.read(told).decode("utf-8"))
        for line in metadata.get_all("Requires-Dist", []):
            needs = Requirement(line)
            if needs.marker is None or needs.marker.evaluate({**there}):
                found = names[canonicalize_name(needs.name)]
                assert needs.specifier.contains(parse_wheel_filename(found.name)[1]), line


def test_another_python_is_told(tmp_path: Path) -> None:
    """A bundle that was made for another computer says for which, and installs nothing."""
    script = tmp_path / "install.py"
    shutil.copy(ROOT / ".ci" / "install_bundle.py", script)
    meant = {"system": "Windows", "machine": "AMD64", "python": "3.99"}
    (tmp_path / "made_for.json").write_text(json.dumps(meant), encoding="utf-8")
    place = tmp_path / "program"
    done = subprocess.run(
        [sys.executable, script, place], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "This bundle is for Windows on AMD64 with Python 3.99; this is " in done.stdout
    assert not place.exists()


def test_a_folder_in_use_is_left_alone(tmp_path: Path) -> None:
    """Nothing is gathered into a folder that holds something."""
    (tmp_path / "mine").touch()
    command = [sys.executable, ROOT / ".ci" / "bundle.py", tmp_path]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "is not empty" in done.stdout
    assert [one.name for one in tmp_path.iterdir()] == ["mine"]
