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
    """

    path: Path
    reader: TaughtTable
    text: bytes

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
    """Return the profile of a lab that claims a file, if one alone does."""
    found = list(_claiming(plugins, folder, export))
    return found[0] if len(found) == 1 else None


def _claiming(plugins: Plugins, folder: Path, export: Export) -> Iterator[FormerProfile]:
    for name in sorted(plugins.own):
        reader, path = plugins.readers[name], folder / f"{name}.toml"
        if not isinstance(reader, TaughtTable) or not fsio.is_file(path):
            continue
        claim = reader.recognise(export)
        if claim is not None and claim.sure > CLAIMED:
            yield FormerProfile(path, reader, path.read_bytes())
