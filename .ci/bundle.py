"""Make a folder from which tiecoat installs on a computer without internet.

    python .ci/start.py bundle FOLDER [--for windows|linux|macos] [--python 3.13]

It is for this computer's system and Python unless told otherwise. The folder holds a wheel of
tiecoat and of each package that it stands on, in the versions that the tests have passed with,
their digests in requirements.txt, and install.py, which is run there. Python itself is not in it.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import platform
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from email.parser import HeaderParser
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name, parse_wheel_filename

ROOT = Path(__file__).resolve().parent.parent
TESTED = ROOT / ".ci" / "constraints.txt"
INSTALL = ROOT / ".ci" / "install_bundle.py"
PIP = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]


@dataclass(frozen=True)
class System:
    """A system that wheels are made for, in the words of Python and of pip."""

    says: str  # platform.system()
    machine: str
    sys_platform: str
    os_name: str
    tags: tuple[str, ...]


OLDER_LINUX = tuple(f"manylinux{year}_x86_64" for year in ("2014", "2010", "1"))
SYSTEMS = {
    "linux": System(
        *("Linux", "x86_64", "linux", "posix"),
        (*(f"manylinux_2_{n}_x86_64" for n in range(28, 4, -1)), *OLDER_LINUX),
    ),
    "windows": System("Windows", "AMD64", "win32", "nt", ("win_amd64",)),
    "macos": System(
        *("Darwin", "arm64", "darwin", "posix"),
        tuple(
            f"macosx_{version}_{processors}"
            for version in ("14_0", "13_0", "12_0", "11_0", "10_13", "10_9")
            for processors in ("arm64", "universal2")
        ),
    ),
}


def environment(system: System, python: str) -> dict[str, str]:
    """Return what requirements may hang on: the computer that is meant, not this one."""
    return {
        "implementation_name": "cpython",
        "implementation_version": f"{python}.0",
        "os_name": system.os_name,
        "platform_machine": system.machine,
        "platform_python_implementation": "CPython",
        "platform_release": "",
        "platform_system": system.says,
        "platform_version": "",
        "python_full_version": f"{python}.0",
        "python_version": python,
        "sys_platform": system.sys_platform,
    }


def requirements_of(wheel: Path) -> Iterator[Requirement]:
    """Return what a wheel says that it needs."""
    with zipfile.ZipFile(wheel) as packed:
        (name,) = (one for one in packed.namelist() if one.endswith(".dist-info/METADATA"))
        told = HeaderParser().parsestr(packed.read(name).decode("utf-8"))
    return map(Requirement, told.get_all("Requires-Dist", []))


def needed(wheel: Path, extras: Sequence[str], target: dict[str, str]) -> Iterator[Requirement]:
    """Return those of its requirements that hold on a computer."""
    for one in requirements_of(wheel):
        ways = [target | {"extra": extra} for extra in ("", *extras)]
        if one.marker is None or any(one.marker.evaluate(way) for way in ways):
            yield one


def pinned() -> dict[str, str]:
    """Return the versions that the tests have passed with, by name."""
    lines = TESTED.read_text(encoding="utf-8").splitlines()
    pairs = (line.split("==") for line in lines if "==" in line)
    return {canonicalize_name(name): version.strip() for name, version in pairs}


def gather(wheels: Path, system: System, python: str) -> None:
    """Bring the wheel of tiecoat and of all that it needs on a computer, one round after another.

    pip alone would ask what this computer needs.
    """
    subprocess.run([*PIP, "wheel", "--no-deps", "--wheel-dir", wheels, ROOT], check=True)
    target, versions = environment(system, python), pinned()
    asked: set[tuple[str, str]] = set()  # name and extra
    new = [(wheel, [""]) for wheel in wheels.glob("*.whl")]
    while new:
        wanted: dict[str, set[str]] = {}
        for wheel, extras in new:
            for one in needed(wheel, extras, target):
                name = canonicalize_name(one.name)
                if fresh := {(name, extra) for extra in ("", *one.extras)} - asked:
                    wanted.setdefault(name, set()).update(extra for _, extra in fresh)
                    asked |= fresh
        unknown = wanted.keys() - versions.keys()
        if unknown:
            raise SystemExit(f"no version of {', '.join(sorted(unknown))} stands in {TESTED.name}")
        _download([f"{name}=={versions[name]}" for name in wanted], wheels, system, python)
        files = {parse_wheel_filename(one.name)[0]: one for one in wheels.glob("*.whl")}
        new = [(files[canonicalize_name(name)], sorted(extras)) for name, extras in wanted.items()]


def _download(which: Sequence[str], wheels: Path, system: System, python: str) -> None:
    if not which:
        return
    tags = [word for tag in system.tags for word in ("--platform", tag)]
    command = ["download", "--no-deps", "--only-binary", ":all:", "--dest", wheels]
    meant = ["--implementation", "cp", "--python-version", python]
    subprocess.run([*PIP, *command, *tags, *meant, *which], check=True)


def write_down(folder: Path, system: System, python: str) -> None:
    """Write what install.py needs to know: the versions with their digests, and for what."""
    lines = []
    for wheel in sorted((folder / "wheels").glob("*.whl")):
        name, version, *_ = parse_wheel_filename(wheel.name)
        digest = hashlib.sha256(wheel.read_bytes()).hexdigest()
        lines.append(f"{name}=={version} --hash=sha256:{digest}\n")
    (folder / "requirements.txt").write_text("".join(lines), encoding="utf-8")
    meant = {"system": system.says, "machine": system.machine, "python": python}
    (folder / "made_for.json").write_text(json.dumps(meant) + "\n", encoding="utf-8")
    shutil.copy(INSTALL, folder / "install.py")


def main() -> int:
    """Make the folder."""
    here = {system.says: name for name, system in SYSTEMS.items()}
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--for", dest="system", choices=SYSTEMS, default=here[platform.system()])
    parser.add_argument("--python", default="{}.{}".format(*sys.version_info))
    asked = parser.parse_args()
    folder: Path = asked.folder.absolute()
    if folder.exists() and any(folder.iterdir()):
        print(f"{folder} is not empty; name a new folder")
        return 2
    wheels = folder / "wheels"
    wheels.mkdir(parents=True, exist_ok=True)
    system = SYSTEMS[asked.system]
    print(f"gathering for {system.says} on {system.machine}, Python {asked.python} ...", flush=True)
    gather(wheels, system, asked.python)
    write_down(folder, system, asked.python)
    size = sum(one.stat().st_size for one in wheels.iterdir()) / 1e6
    print(f"{len(list(wheels.iterdir()))} wheels, {size:.0f} MB, in {folder}")
    print("Carry the folder there and run, with its Python:  python install.py")
    return 0


if __name__ == "__main__":
    sys.exit(main())
