"""A plugin seen as if pip had installed it: entry points of a package that merely lies there.

Everything that loads plugins, worker processes too, then finds it by the door that all use.
"""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.metadata import distributions, entry_points
from pathlib import Path
from tempfile import TemporaryDirectory

from tiecoat.disk import fsio
from tiecoat.errors import PluginNotLoaded
from tiecoat.extend.loading import (
    GROUP,
    author_of_package,
    load_announcers,
    load_commands,
    load_evaluations,
    load_kind,
    load_report_parts,
)

PYPROJECT = "pyproject.toml"
IMPORTED = re.compile(r"^\s*(?:from|import)\s+(\w+)", re.MULTILINE)


def _entries_of(package: Path) -> tuple[str, str, Mapping[str, str]]:
    """Return name and version of a package, and its entry points for tiecoat.

    Parameters
    ----------
    package
        The folder that has its pyproject.toml.

    Raises
    ------
    PluginNotLoaded
        If it does not say them.
    """
    path = package / PYPROJECT
    try:
        project = tomllib.loads(path.read_text(encoding="utf-8"))["project"]
        return project["name"], project["version"], project["entry-points"][GROUP]
    except OSError as error:
        raise PluginNotLoaded(f"{path}: {error.strerror}") from None
    except tomllib.TOMLDecodeError as error:
        raise PluginNotLoaded(f"{path}: not valid TOML: {error}") from None
    except KeyError as error:
        raise PluginNotLoaded(
            f"{path} lacks {error}; expected name and version under [project], and under"
            f" [project.entry-points.{GROUP}] a line for each module, such as"
            ' pendulum = "pendulum"'
        ) from None


def modules_left_out(package: Path) -> list[str]:
    """Return the files of a package that have hooks, and that no entry point names.

    Raises
    ------
    PluginNotLoaded
        If its pyproject.toml does not say them.
    """
    named = {module.partition(":")[0].strip() for module in _entries_of(package)[2].values()}
    found = []
    for folder in (package / "src", package):
        for path in (*folder.glob("*.py"), *folder.glob("*/*.py")):
            parts = path.relative_to(folder).with_suffix("").parts
            beside = path.parent == folder or fsio.is_file(path.with_name("__init__.py"))
            reached = {".".join(parts[:n]) for n in range(1, len(parts) + 1)} & named
            if beside and not reached and "@hookimpl" in path.read_text(encoding="utf-8"):
                found.append(path.relative_to(package).as_posix())
    return sorted({*found})


def modules_not_packed(package: Path) -> list[str]:
    """Return the modules that others of a package need, and that its `py-modules` lack.

    They are there as long as the package lies beside its pyproject.toml, and missing once it is
    installed elsewhere.
    """
    named = {module.partition(":")[0].strip() for module in _entries_of(package)[2].values()}
    project = tomllib.loads((package / PYPROJECT).read_text(encoding="utf-8"))
    packed = project.get("tool", {}).get("setuptools", {}).get("py-modules")
    if packed is None:
        return []
    codes = {path.stem: path.read_text(encoding="utf-8") for path in package.glob("*.py")}
    needed = named | {
        found for name in packed if name in codes for found in IMPORTED.findall(codes[name])
    }
    return sorted(name for name in codes.keys() & needed if name not in packed)


@contextmanager
def as_if_installed(package: Path) -> Iterator[list[str]]:
    """Have its entry points found; yields for each how what it brings begins to be named.

    That is "ENTRY of NAME VERSION".

    Raises
    ------
    PluginNotLoaded
        If its pyproject.toml does not say them.
    """
    name, version, entries = _entries_of(package)
    with TemporaryDirectory() as folder, _imported_from(package, Path(folder)):
        if not _is_installed(entries):
            told = Path(folder) / f"{name.replace('-', '_')}-{version}.dist-info"
            told.mkdir()
            metadata = f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n"
            (told / "METADATA").write_text(metadata, encoding="utf-8")
            lines = [f"[{GROUP}]", *(f"{one} = {module}" for one, module in entries.items())]
            (told / "entry_points.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")
        _forget()
        try:
            found = _found_as(entries) or f"{name} {version}"
            yield [f"{entry} of {found}" for entry in entries]
        finally:
            _forget()


@contextmanager
def _imported_from(package: Path, entries: Path) -> Iterator[None]:
    places = [str(entries), str(package), str(package / "src")]
    sys.path[:0] = places
    try:
        yield
    finally:
        for place in places:
            sys.path.remove(place)


def _is_installed(entries: Mapping[str, str]) -> bool:
    found = {(entry.name, entry.value) for entry in entry_points(group=GROUP)}
    return entries.items() <= found


def _found_as(entries: Mapping[str, str]) -> str | None:
    """Return name and version of the installed package that has these entry points."""
    for one in distributions():
        own = {(entry.name, entry.value) for entry in one.entry_points if entry.group == GROUP}
        if entries.items() <= own:
            return f"{one.name} {one.version}"
    return None


def _forget() -> None:
    """Forget what was loaded while other plugins were there."""
    every = (load_kind, load_evaluations, load_report_parts, load_commands, load_announcers)
    for remembered in (*every, author_of_package):
        remembered.cache_clear()
