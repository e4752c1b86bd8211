"""Where the tables of an archive are kept: the few things that all who read or change them ask for.

A table is named by its place, kind and batch. folder.py keeps each in a file of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, Protocol, Self

from tiecoat.archive.tables.folder import FolderStorage
from tiecoat.archive.tables.parquet import Place, Version
from tiecoat.lab.settings import Lab

if TYPE_CHECKING:
    import pyarrow as pa
    import pyarrow.dataset as ds


class TableStorage(Protocol):
    """Keeps tables, each whole at every moment for whoever reads it."""

    @property
    def is_there(self) -> bool:
        """Whether there is an archive at all, an empty one too."""

    def places(self, kind: str | None = None) -> Iterator[Place]:
        """Yield kind and batch of every table there is, sorted."""

    def kinds(self, among: Collection[str] | None = None) -> list[str]:
        """Return the kinds that there are tables of, or those of some names, sorted."""

    def versions(self, kind: str | None = None) -> dict[Place, Version]:
        """Return the version of every table there is, or of those of a kind, sorted."""

    def name(self, place: Place) -> str:
        """Return a table's name as a person finds it in the lab."""

    def version(self, place: Place) -> Version | None:
        """Return what changes whenever a table is replaced; None if it is not there."""

    def schema(self, place: Place) -> pa.Schema:
        """Return the schema of a table as it was written, of an older format too.

        Raises
        ------
        FileNotFoundError, ArchiveDamaged
            As `read` does.
        """

    def content(self, place: Place) -> bytes:
        """Return a table of one moment as the bytes of a Parquet file; `rows_in` reads them.

        Raises
        ------
        FileNotFoundError, ArchiveDamaged
            As `read` does.
        """

    def read(self, place: Place, only: Any = None, *, checksums: bool = False) -> pa.Table:
        """Read a table of one moment.

        Parameters
        ----------
        only
            An expression that the rows must fulfil.
        checksums
            Whether to check every page by its checksum.

        Raises
        ------
        FileNotFoundError
            If there is no such table.
        ArchiveDamaged
            If it does not open.
        """

    def dataset(self, places: Sequence[Place]) -> ds.Dataset:
        """Return tables of one kind as they are now, whatever becomes of them later.

        Raises
        ------
        FileNotFoundError, ArchiveDamaged
            As `read` does.
        """

    def replace(self, tables: Iterable[tuple[Place, pa.Table]]) -> dict[Place, Version]:
        """Replace tables whole, or add them, and return their new versions.

        All are made, proved and flushed before the first is put in its place; they are taken one
        at a time, so that only one need be in memory.

        Raises
        ------
        ArchiveDamaged
            If what was made is not what was asked for.
        OSError
            If the disk refuses; whatever was replaced by then is complete.
        """

    def foreign(self) -> Iterator[str]:
        """Yield the names of what stands among the tables and is none."""

    def begin_as(self, old: Self) -> None:
        """Have all tables of another, which stay as they are whatever becomes of these."""

    def take_over(self, new: Self, kind: str | None = None) -> None:
        """Put the tables of another, or its tables of a kind, in the place of these.

        These are set aside beside it. At no moment do old ones stand among new ones. Cut short, it
        can be done again; done, it does nothing.
        """


def storage_of(lab: Lab) -> TableStorage:
    """Return where a lab keeps its tables."""
    return FolderStorage(lab)
