"""Tables as Parquet files in plain folders: `archive/<kind>/<batch>/data.parquet`, nothing else."""

from __future__ import annotations

import os
import stat
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tiecoat.archive.tables.parquet import Place, Version, to_parquet, unite
from tiecoat.archive.words import BEFORE
from tiecoat.contract.columns import of_today
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.ids import TABLE, canonical, table_path
from tiecoat.lab.settings import Lab

if TYPE_CHECKING:
    import pyarrow as pa
    import pyarrow.dataset as ds

THREADS_BYTES = 1 << 20  # a smaller file is read faster by one


class FolderStorage:
    """See `TableStorage` for what its methods promise."""

    def __init__(self, lab: Lab) -> None:
        self._lab = lab
        self._folder = lab.archive

    @property
    def is_there(self) -> bool:
        """Whether there is an archive at all, an empty one too."""
        return fsio.is_folder(self._folder)

    def places(self, kind: str | None = None) -> Iterator[Place]:
        """Yield kind and batch of every table there is, sorted."""
        yield from self.versions(kind)

    def versions(self, kind: str | None = None) -> dict[Place, Version]:
        """Return the version of every table there is, or of those of a kind, sorted."""
        found: dict[Place, Version] = {}
        for name in [kind] if kind is not None else sorted(_folders(self._folder)):
            folder = self._folder / name
            for batch in sorted(_folders(folder)) if canonical(name) is not None else ():
                if canonical(batch) != batch:
                    continue
                with suppress(FileNotFoundError, NotADirectoryError):
                    # texts, not paths: there may be tens of thousands
                    status = os.stat(f"{folder}{os.sep}{batch}{os.sep}{TABLE}")  # noqa: PTH116
                    if stat.S_ISREG(status.st_mode):
                        found[name, batch] = _version_of(status)
        return found

    def kinds(self, among: Collection[str] | None = None) -> list[str]:
        """Return the kinds that there are tables of, or those of some names, sorted."""
        named = sorted(_folders(self._folder))
        asked = [kind for kind in named if canonical(kind) and (among is None or kind in among)]
        return [kind for kind in asked if self._has_tables(kind)]

    def name(self, place: Place) -> str:
        """Return a table's name as a person finds it in the lab."""
        return self._path(place).relative_to(self._lab.root).as_posix()

    def version(self, place: Place) -> Version | None:
        """Return what changes whenever a table is replaced; None if it is not there."""
        try:
            return _version(self._path(place))
        except (FileNotFoundError, NotADirectoryError):
            return None

    def schema(self, place: Place) -> pa.Schema:
        """Return the schema of a table as it was written, of an older format too."""
        import pyarrow.parquet as pq

        path = self._path(place)
        with _told(path):
            return pq.read_schema(path)

    def content(self, place: Place) -> bytes:
        """Return the bytes of a table's file."""
        path = self._path(place)
        with _told(path):
            return path.read_bytes()

    def read(self, place: Place, only: Any = None, *, checksums: bool = False) -> pa.Table:
        """Read a table through one open file, so that a replacement cannot mix old and new."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        path = self._path(place)
        with _told(path):
            content = path.read_bytes()
            file = pa.BufferReader(content)
            small = len(content) < THREADS_BYTES
            if only is None or small:  # half the time that `read_table` takes
                opened = pq.ParquetFile(file, page_checksum_verification=checksums)
                rows = opened.read(use_threads=not small)
                return of_today(rows if only is None else rows.filter(only))
            rows = pq.read_table(file, filters=only, page_checksum_verification=checksums)
            return of_today(rows)

    def dataset(self, places: Sequence[Place]) -> ds.Dataset:
        """Return tables of one kind as they are now, as a dataset.

        It holds the compressed files in memory. A dataset that holds paths opens each file more
        than once, and breaks, or mixes old and new, where one has been replaced meanwhile.
        """
        import pyarrow as pa
        import pyarrow.dataset as ds
        import pyarrow.parquet as pq

        parquet = ds.ParquetFileFormat()
        fragments, empty = [], []
        for path in map(self._path, places):
            with _told(path):
                file = pa.BufferReader(path.read_bytes())
                empty.append(of_today(pq.read_schema(file).empty_table()))
                fragments.append(parquet.make_fragment(file))
        return ds.FileSystemDataset(fragments, unite(empty).schema, parquet)

    def replace(self, tables: Iterable[tuple[Place, pa.Table]]) -> dict[Place, Version]:
        """Write each beside its place, then rename all: `fsio.publish_many`."""
        from tiecoat.disk.steps import reached

        staged: dict[Path, tuple[Place, int]] = {}
        try:
            for place, rows in tables:
                half_made = fsio.stage_file(memoryview(to_parquet(rows)), self._lab.stage)
                staged[half_made] = place, len(rows)
                reached("staged")
        except Exception:
            fsio.discard(staged)
            raise

        def check(half_made: Path) -> None:
            reached("flushed")
            _check_rows(half_made, staged[half_made][1])

        paths = {place: self._path(place) for place, _ in staged.values()}
        fsio.publish_many([(made, paths[place]) for made, (place, _) in staged.items()], check)
        reached("published")
        return {place: _version(path) for place, path in paths.items()}

    def foreign(self) -> Iterator[str]:
        """Yield the names of what stands under the folder and is no table's file."""
        ours = {self._path(place) for place in self.places()}
        for folder, folders, files in os.walk(self._folder, onerror=_raised):
            links = [name for name in folders if (Path(folder) / name).is_symlink()]
            for name in sorted([*files, *links]):
                path = Path(folder) / name
                if path not in ours or path.is_symlink():
                    yield path.relative_to(self._lab.root).as_posix()

    def begin_as(self, old: FolderStorage) -> None:
        """Have the files of another by a second name each: none is ever written into."""
        fsio.make_dirs(self._folder)
        fsio.link_many((old._path(place), self._path(place)) for place in old.places())

    def take_over(self, new: FolderStorage, kind: str | None = None) -> None:
        """Move the old folder aside and the new one in; both are there if it is cut short."""
        old, source, aside = self._folder, new._folder, new._folder.with_name(BEFORE)
        if kind is not None:
            old, source, aside = old / kind, source / kind, aside / kind
        if not fsio.is_folder(source):
            return
        if fsio.is_folder(old):
            fsio.move_folder(old, aside)
        fsio.move_folder(source, old)

    def _has_tables(self, kind: str) -> bool:
        with os.scandir(self._folder / kind) as entries:
            return any(
                canonical(entry.name) == entry.name and fsio.is_file(self._path((kind, entry.name)))
                for entry in entries
            )

    def _path(self, place: Place) -> Path:
        return table_path(self._folder, *place)


def _folders(folder: Path) -> list[str]:
    try:
        with os.scandir(folder) as entries:
            return [entry.name for entry in entries if entry.is_dir(follow_symlinks=False)]
    except (FileNotFoundError, NotADirectoryError):
        return []


def _raised(error: OSError) -> None:
    """Raise what keeps a folder from being listed, unless it is that it is not there."""
    if not isinstance(error, FileNotFoundError | NotADirectoryError):
        raise error


@contextmanager
def _told(path: Path) -> Iterator[None]:
    import pyarrow as pa

    try:
        yield
    except FileNotFoundError:
        raise
    except (OSError, pa.ArrowException) as error:
        raise ArchiveDamaged(
            f"{path} cannot be read as Parquet: {error}\n"
            "Make it again from the originals: tiecoat rebuild (or put it back from a backup)."
        ) from error


def _version(path: Path) -> Version:
    return _version_of(path.stat())


def _version_of(status: os.stat_result) -> Version:
    return Version(status.st_size, status.st_mtime_ns, status.st_ino)


def _check_rows(staged: Path, count: int) -> None:
    """Check that a staged file opens as Parquet and has so many rows."""
    import pyarrow.parquet as pq

    with pq.ParquetFile(staged) as opened:
        found = opened.metadata.num_rows
    if found != count:
        raise ArchiveDamaged(f"{staged}: {found} rows were written, {count} expected")
