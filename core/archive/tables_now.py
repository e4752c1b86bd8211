"""Which tables there are at the moment of a question, kept from one question to the next.

Looking at each of many thousand tables takes longer than most questions. So what was seen once is
kept, and the index is asked what has been replaced since: whoever files says so there before the
first table is replaced. What changes without a word to the index (a table put back by hand) is
found by looking at all of them again, for at most a twentieth of the time.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias
from urllib.parse import quote

from tiecoat.archive.index.cache import IndexMoment
from tiecoat.archive.tables.parquet import are_valid
from tiecoat.archive.words import CONTENTS, READY, REBUILT
from tiecoat.disk import fsio

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.tables.parquet import Place, Version
    from tiecoat.archive.tables.storage import TableStorage
    from tiecoat.lab.settings import Lab

OFTEN = 20  # times as long as a look took it holds, but for what the index says
OWN_AT_MOST = 64  # tables that count from their own files; with more the roll-up is made anew
NO_INDEX = IndexMoment("", 0)
AGAIN_S = 60.0  # after which that is tried again where it could not be done


class RolledTable(NamedTuple):
    """A table as it was when it was copied, and how many rows of it are valid and withdrawn."""

    version: Version
    valid: int
    withdrawn: int


@dataclass(frozen=True, eq=False)
class RolledFile:
    """A file of a roll-up.

    Parameters
    ----------
    size
        In bytes.
    valid_groups
        So many row groups hold valid rows; those that follow hold withdrawn ones.
    tables
        What it is made of, by batch, in the order of the rows.
    """

    path: Path
    size: int
    valid_groups: int
    tables: Mapping[str, RolledTable]

    @property
    def has_withdrawn(self) -> bool:
        """Whether any of its rows is withdrawn."""
        return any(one.withdrawn for one in self.tables.values())

    def as_record(self) -> dict[str, Any]:
        """Return plain values for the contents."""
        tables = {batch: [*one.version, *one[1:]] for batch, one in self.tables.items()}
        return {
            "name": self.path.name,
            "size": self.size,
            "valid_groups": self.valid_groups,
            "tables": tables,
        }


@dataclass(frozen=True, eq=False)
class LiveFile:
    """A file of a roll-up, and the batches in it that do not count from it."""

    file: RolledFile
    dead: frozenset[str]

    @cached_property
    def batches(self) -> tuple[str, ...]:
        """The batches that count from it."""
        return tuple(batch for batch in self.file.tables if batch not in self.dead)


@dataclass(frozen=True, eq=False)
class KindTables:
    """The tables of a kind: those in the roll-up, and those that count from their own files."""

    files: tuple[LiveFile, ...]
    own: Mapping[str, Version]

    def among(self, batches: Collection[str] | None) -> list[str]:
        """Return those of the batches, or of all, that count from their own files."""
        return [batch for batch in self.own if batches is None or batch in batches]


def live(files: Iterable[RolledFile], versions: Mapping[str, Version]) -> KindTables:
    """Sort the tables that there are, by batch, by where they count from."""
    own = dict(versions)
    found = []
    for file in files:
        counts = {batch for batch, one in file.tables.items() if own.get(batch) == one.version}
        for batch in counts:
            del own[batch]
        if counts:
            found.append(LiveFile(file, frozenset(file.tables.keys() - counts)))
    return KindTables(tuple(found), own)


def own_rows(
    kept: TableStorage, kind: str, batches: Iterable[str], only: Any, *, withdrawn: bool
) -> list[pa.Table]:
    """Return rows of tables from their own files; raises as `TableStorage.read` does."""
    if not withdrawn:
        only = are_valid() if only is None else are_valid() & only
    return [kept.read((kind, batch), only=only) for batch in batches]


class RollupDamaged(Exception):
    """A file of a roll-up cannot be read."""


Ask: TypeAlias = "Callable[[Callable[[Index], _News | None]], _News | None]"
MustBeWhole: TypeAlias = Callable[[str, "Mapping[Place, Version]"], None]


@dataclass(frozen=True)
class _News:
    """What the index says: its moment, and what was replaced since another; None if it cannot."""

    moment: IndexMoment
    changed: frozenset[str] | None


@dataclass(frozen=True)
class _KindSeen:
    """The tables of a kind as they were seen, at which moment of the index, and how long it holds.

    `tables` is another object whenever any table is another.
    """

    versions: Mapping[str, Version]
    moment: IndexMoment | None
    until: float
    tables: KindTables


class TablesNow:
    """Tells which tables of a kind there are, and which of them count from the roll-up.

    Parameters
    ----------
    ask
        Puts a question to the index; None if there is none.
    committed
        Returns what is another after each change of the index; None where it cannot be told.
    must_be_whole
        Raises where the tables of a kind, just seen in these versions, lack what was filed.
    rolled_in
        Returns the files of the roll-up in a folder.
    roll_up
        Brings the roll-up of a kind up to date; says whether it could.
    """

    def __init__(
        self,
        lab: Lab,
        kept: TableStorage,
        *,
        ask: Ask,
        committed: Callable[[], object | None],
        must_be_whole: MustBeWhole,
        rolled_in: Callable[[Path], tuple[RolledFile, ...]],
        roll_up: Callable[[str], bool],
    ) -> None:
        self._lab, self._kept, self._ask, self._must_be_whole = lab, kept, ask, must_be_whole
        self._committed, self._rolled_in, self._roll_up = committed, rolled_in, roll_up
        self._seen: dict[str, _KindSeen] = {}
        self._still: dict[str, tuple[object, IndexMoment]] = {}
        self._folders: dict[str, int | None] = {}
        self._rolled: dict[str, tuple[object, tuple[RolledFile, ...]]] = {}
        self._bad: set[Path] = set()
        self._not_before = 0.0

    def of(self, kind: str) -> KindTables:
        """Return the tables of a kind at this moment; the same object while nothing has changed.

        Raises
        ------
        ArchiveDamaged
            If one lacks what was filed in it.
        """
        tables = self._of(kind)
        if len(tables.own) > OWN_AT_MOST and time.monotonic() > self._not_before:
            done = False
            with suppress(OSError):  # who may not write reads on
                done = self._roll_up(kind)
            self._not_before = 0.0 if done else time.monotonic() + AGAIN_S
            tables = self._of(kind)
        return tables

    def seen(self, kind: str) -> Mapping[str, Version]:
        """Return the tables of a kind by batch, sorted, without a thought of the roll-up.

        Raises
        ------
        ArchiveDamaged
            If one lacks what was filed in it.
        """
        self._of(kind)
        return self._seen[kind].versions

    def distrust(self, tables: KindTables) -> None:
        """Use the files of a roll-up no more, as one of them cannot be read."""
        self._bad |= {one.file.path for one in tables.files}
        self._rolled.clear()

    def _of(self, kind: str) -> KindTables:
        status = fsio.status_of(self._lab.archive / kind)
        folder = status and status.st_ino  # another one where all tables were exchanged at once
        before = self._seen.get(kind) if self._folders.get(kind) == folder else None
        self._folders[kind] = folder
        news = self._news(kind, before)
        if before is None or news is None or news.changed is None or _now() > before.until:
            seen = self._looked(kind, before, news.moment if news else None)
        else:
            now = {batch: self._kept.version((kind, batch)) for batch in news.changed}
            other = {b: v for b, v in now.items() if v != before.versions.get(b)}
            versions = before.versions
            if other:
                merged = {**versions, **other}
                versions = {b: v for b, v in sorted(merged.items()) if v}
            seen = self._sorted(kind, before, versions, news.moment, before.until)
        self._seen[kind] = seen
        return seen.tables

    def _looked(self, kind: str, before: _KindSeen | None, moment: IndexMoment | None) -> _KindSeen:
        """Look at every table."""
        began = _now()
        seen = self._kept.versions(kind)
        self._must_be_whole(kind, seen)
        versions = {batch: version for (_, batch), version in seen.items()}
        ended = _now()
        return self._sorted(kind, before, versions, moment, ended + OFTEN * (ended - began))

    def _sorted(
        self,
        kind: str,
        before: _KindSeen | None,
        versions: Mapping[str, Version],
        moment: IndexMoment | None,
        until: float,
    ) -> _KindSeen:
        files, read_anew = self._files(kind)
        same = before and (versions is before.versions or versions == before.versions)
        if before and same and not read_anew:
            return _KindSeen(before.versions, moment, until, before.tables)
        return _KindSeen(versions, moment, until, live(files, versions))

    def _files(self, kind: str) -> tuple[tuple[RolledFile, ...], bool]:
        """Return the files of the roll-up, and whether they may be others than before."""
        folder = self._lab.rollup / quote(kind, safe="")
        status = fsio.status_of(folder / CONTENTS)
        stamp = status and (status.st_size, status.st_mtime_ns, status.st_ino)
        if kind in self._rolled and self._rolled[kind][0] == stamp:
            return self._rolled[kind][1], False
        found: tuple[RolledFile, ...] = ()
        if stamp:
            found = self._rolled_in(folder)
        self._rolled[kind] = stamp, tuple(one for one in found if one.path not in self._bad)
        return self._rolled[kind][1], True

    def _news(self, kind: str, before: _KindSeen | None) -> _News | None:
        """Ask the index of this lab; one on another computer does not know what is filed here.

        Whoever files has made an index before: where there is none, nobody does.
        """
        lab = self._lab
        if lab.index.parent != lab.root or fsio.is_file(lab.root / REBUILT / READY):
            return None
        if not fsio.is_there(self._lab.index):
            still = before is not None and before.moment == NO_INDEX
            return _News(NO_INDEX, frozenset() if still else None)

        committed = self._committed()  # before it is asked: what is changed meanwhile is another
        if before and committed and self._still.get(kind) == (committed, before.moment):
            return _News(self._still[kind][1], frozenset())

        def news(index: Index) -> _News | None:
            moment = index.moment()
            known = before and before.moment
            if not known or known.index != moment.index or index.lacking(kind):
                return _News(moment, None)
            return _News(moment, frozenset(index.changed(kind, known)))

        said = self._ask(news)
        self._still.pop(kind, None)
        if committed and said and said.changed == frozenset():
            self._still[kind] = committed, said.moment
        return said


def _now() -> float:
    return time.monotonic()
