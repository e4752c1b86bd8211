"""The profile by which a lab reads a file already: further answers go on with it, not beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tiecoat.dialect.export import Export
from tiecoat.disk import fsio
from tiecoat.extend.loading import Plugins
from tiecoat.tabular.taught import TaughtTable

CLAIMED = 0.9  # from so sure on a reader claims a file


@dataclass(frozen=True)
class FormerProfile:
    """A profile of the lab that claims a file.

    Parameters
    ----------
    path
        Where it lies.
    reader
        What it becomes.
    text
        What it says.
    sure
        How sure it is of the file.
    whole
        Whether the file has no other titles than its layout; else it stays beside what is taught.
    """

    path: Path
    reader: TaughtTable
    text: bytes
    sure: float
    whole: bool

    @property
    def next_version(self) -> str:
        """The version of what takes its place: rows come out otherwise."""
        version = self.reader.version
        return str(int(version) + 1) if version.isdigit() else f"{version}.1"

    @property
    def kept(self) -> Path:
        """Where its text is kept beside what has taken its place; no reader is made of it."""
        return self.path.with_name(f"{self.path.name}.before")

    def keep(self, stage: Path) -> None:
        """Keep its text."""
        fsio.publish(self.kept, self.text, stage)


def former_of(plugins: Plugins, folder: Path, export: Export) -> FormerProfile | None:
    """Return the profile of a lab that claims a file, if one alone is surest."""
    found = sorted(_claiming(plugins, folder, export), key=lambda each: -each.sure)
    if len(found) > 1 and found[0].sure == found[1].sure:
        return None
    return found[0] if found else None


def _claiming(plugins: Plugins, folder: Path, export: Export) -> Iterator[FormerProfile]:
    for name in sorted(plugins.own):
        reader, path = plugins.readers[name], folder / f"{name}.toml"
        if not isinstance(reader, TaughtTable) or not fsio.is_file(path):
            continue
        claim = reader.recognise(export)
        if claim is not None and claim.sure > CLAIMED:
            whole = reader.is_whole(export)
            yield FormerProfile(path, reader, path.read_bytes(), claim.sure, whole)
