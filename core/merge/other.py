"""The other lab as it is read: its journal, and rows and originals that prove to be what they were.

Nothing of it is written or locked. Its journal is read first: the tables hold at least what it says
then, whatever is filed there meanwhile.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from tiecoat.archive.account import Account
from tiecoat.archive.journal.chain import in_force
from tiecoat.archive.journal.records import Journal, JournalLine
from tiecoat.archive.swap import is_ready
from tiecoat.archive.tables.contents import contents_of
from tiecoat.archive.tables.describe import Described, describe
from tiecoat.archive.tables.parquet import Place, of_measurements
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import Became, RecordSort
from tiecoat.contract.changes import digest_of_schema
from tiecoat.contract.columns import per_of
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged, NotALab, QueryInvalid
from tiecoat.intake.held.files import Held, list_held
from tiecoat.lab.settings import SETTINGS, Lab, has_lost_settings, open_lab
from tiecoat.lab.shaping import as_of, shaping
from tiecoat.rebuild.history import FiledExport, HistoryStep, history
from tiecoat.verify.verify import doubt_of, journal_cut, journal_findings, new_doubts
from tiecoat.wording import listed

if TYPE_CHECKING:
    import pyarrow as pa

Filing: TypeAlias = tuple[str, int]  # SHA-256 of the original (or its first 16 digits), which time
FILED = (RecordSort.FILED, RecordSort.KNOWN)
FATES = (*FILED, RecordSort.HELD, RecordSort.DISCARDED, RecordSort.OVERTAKEN)
SHOWN = 3  # faults of a journal in a message


@dataclass(frozen=True)
class LeftOut:
    """What does not come, and why."""

    name: str
    why: str


@dataclass(frozen=True)
class OtherLab:
    """Another lab, and what its journal says.

    `records` has the record of each filing, the first where it was filed and the last of all else.
    """

    lab: Lab
    lines: list[JournalLine]
    account: Account
    steps: list[HistoryStep]
    settings: Mapping[str, Mapping[str, Any]]
    records: Mapping[Filing, Mapping[str, Any]]

    @cached_property
    def identity(self) -> str:
        """What tells this lab from every other: the hash of its first record."""
        return next((str(said["hash"]) for said in self._sealed), "")

    @cached_property
    def last(self) -> str:
        """The hash of its last record."""
        return next((str(said["hash"]) for said in reversed(self._sealed)), "")

    @cached_property
    def _sealed(self) -> list[dict[str, Any]]:
        return [line.record for line in self.lines if line.record and "hash" in line.record]

    @cached_property
    def filed(self) -> dict[Filing, list[str]]:
        """The measurements of each filing, by the first digits of its original."""
        found: dict[Filing, list[str]] = {}
        for name in sorted(self.account.contents):
            found.setdefault(filing_of(name), []).append(name)
        return found

    @cached_property
    def replaced_by(self) -> dict[Filing, list[str]]:
        """The measurements that each filing has superseded."""
        found: dict[Filing, list[str]] = {}
        for name, one in self.account.withdrawn.items():
            if one.mark.superseded_by:
                found.setdefault(filing_of(one.mark.superseded_by), []).append(name)
        return found

    @cached_property
    def originals(self) -> set[str]:
        """The first digits of every original that something has become of, or that rows are of."""
        return {sha256[:16] for sha256, _ in self.records} | {of for of, _ in self.filed}

    def names_of(self, step: FiledExport) -> list[str]:
        """Return the measurements that came of a filing."""
        return self.filed.get(filing_named(step.sha256, step.again), [])

    def values_of(self, step: FiledExport) -> Sequence[str]:
        """Return the measurements that came of a filing, or had its values before it came."""
        record = self.records.get((step.sha256, step.again), {})
        return self.names_of(step) or record.get("as", ())

    def reader_of(self, step: FiledExport) -> str:
        """Return the name of the reader that read a file; "" where nothing says."""
        said = self.records.get((step.sha256, step.again), {}).get("reader")
        return reader_named(said)

    def superseded_by(self, step: FiledExport) -> list[str]:
        """Return the measurements that a filing has superseded."""
        return self.replaced_by.get(filing_named(step.sha256, step.again), [])

    @cached_property
    def held(self) -> list[Held]:
        """What waits there."""
        waits = {n for n, became in self.account.outcomes.items() if became is Became.HELD}
        return [one for one in list_held(self.lab) if one.sha256 in waits]

    def without_step(self) -> list[str]:
        """Return measurements that no filing accounts for: a rebuild has carried them over."""
        steps = {
            filing_named(step.sha256, step.again)
            for step in self.steps
            if isinstance(step, FiledExport)
        }
        return [
            name for filing, names in self.filed.items() if filing not in steps for name in names
        ]

    def shaped(self, digest: str | None) -> Lab:
        """Return the lab with the settings of a filing."""
        said = self.settings.get(digest or "")
        return self.lab if said is None else as_of(self.lab, said)

    def shaping(self, digest: str | None) -> Mapping[str, Any]:
        """Return the settings of a filing that shape rows."""
        return self.settings.get(digest or "") or shaping(self.lab)


def filing_named(sha256: str, again: int) -> Filing:
    """Return a filing as its measurements name it: by the first digits of its original."""
    return sha256[:16], again


def reader_named(said: str | None) -> str:
    """Return the name of a reader that is told with its version; "" for none."""
    return (said or "").rpartition(" ")[0]


def filing_of(measurement: str) -> Filing:
    """Return of which filing of which original a measurement is."""
    original, _, *later = measurement.split("-")
    return original, int(later[0]) - 1 if later else 0


def key_of(record: Mapping[str, Any]) -> Filing:
    """Return which filing of which original a record tells of."""
    return str(record["sha256"]), int(record.get("again", 0))


def read_other(folder: str | Path, lab: Lab) -> OtherLab:
    """Read the journal of another lab.

    Raises
    ------
    NotALab, SettingInvalid, WrittenByNewer
        As `open_lab` does.
    QueryInvalid
        If it is this lab itself.
    ArchiveDamaged
        If its journal is not whole: what it says cannot be relied on.
    """
    other = _opened(folder)
    if other.root.resolve() == lab.root.resolve():
        raise QueryInvalid(f"{folder} is this lab itself")
    mend = f"Mend it there first: tiecoat verify --lab {folder}"
    if is_ready(other):
        raise ArchiveDamaged(f"{other.root} has a rebuild that was cut short.\n{mend}")
    journal = Journal(other)
    lines = [*journal.lines()]
    account = Account.of(lines)
    wrong = new_doubts(journal_findings(lines, account, 0), account)
    faults = [doubt_of(one) for one in (*wrong, *journal_cut(other, lines))]
    if not lines and any(storage_of(other).places()):
        faults.append("journal is lost")
    if faults:
        more = f"; and {len(faults) - SHOWN:,} more" if len(faults) > SHOWN else ""
        raise ArchiveDamaged(
            f"{other.root}: {'; '.join(faults[:SHOWN])}{more}\nNothing was brought. {mend}"
        )
    return OtherLab(other, lines, account, history(lines), journal.settings(), _records(lines))


def _opened(folder: str | Path) -> Lab:
    """Open the other lab; where there is none, say what there is at its place."""
    root = Path(folder).absolute()
    try:
        return open_lab(root)
    except NotALab as error:
        if has_lost_settings(root):
            raise
        raise NotALab(
            f"{folder} is no lab that could be merged: {_found_at(root)}.\n"
            f"Nothing was brought. Name the folder that holds the {SETTINGS} of the other lab"
        ) from error


def _found_at(root: Path) -> str:
    """Say what stands at a place, and which lab may be meant."""
    if not fsio.is_there(root):
        above = next(one for one in root.parents if fsio.is_folder(one))
        names = [path.name for path in fsio.paths_in(above)]
        missing = root.relative_to(above).parts[0]
        like = get_close_matches(missing, names, SHOWN)
        return f"there is no {missing} in {above}" + (f"; there is {listed(like)}" if like else "")
    if not fsio.is_folder(root):
        return "it is a file"
    paths = fsio.paths_in(root)
    labs = [path.name for path in paths if fsio.is_file(path / SETTINGS)]
    if labs:
        which = "the lab" if len(labs) == 1 else "the labs"
        return f"it is the folder with {which} {listed(labs[:SHOWN])}"
    if around := next((one for one in root.parents if fsio.is_file(one / SETTINGS)), None):
        return f"it is a folder within the lab {around}"
    if not paths:
        return "it is an empty folder"
    shown = listed([path.name for path in paths[:SHOWN]])
    more = f" and {len(paths) - SHOWN:,} more" if len(paths) > SHOWN else ""
    return f"it is a folder with {shown}{more}"


def _records(lines: Sequence[JournalLine]) -> dict[Filing, dict[str, Any]]:
    found: dict[Filing, dict[str, Any]] = {}
    for line in in_force(lines):
        record = line.record or {}
        sort = RecordSort.of(record.get("event"))
        if sort in FATES:
            before = RecordSort.of(found.get(key_of(record), {}).get("event"))
            if sort not in FILED or before not in FILED:
                found[key_of(record)] = record
    return found


@dataclass
class RowsThere:
    """Rows of some measurements of the other lab: by kind, as they were filed, without any mark.

    `wrong` says of measurements why their rows do not come.
    """

    tables: dict[str, pa.Table] = field(default_factory=dict)
    described: dict[str, Described] = field(default_factory=dict)
    per: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)


def rows_there(other: OtherLab, names: Collection[str]) -> RowsThere:
    """Read rows of the other lab, and prove them by what its journal says of them."""
    wanted: dict[Place, set[str]] = {}
    for name in names:
        wanted.setdefault(other.account.contents[name].place, set()).add(name)
    found = RowsThere()
    parts: dict[str, list[pa.Table]] = {}
    for place, own in sorted(wanted.items()):
        try:
            rows = _sound(other, place, own, found)
        except FileNotFoundError:
            where = storage_of(other.lab).name(place)
            found.wrong |= dict.fromkeys(own, f"{where} is not there")
        except ArchiveDamaged as error:
            found.wrong |= dict.fromkeys(own, str(error).partition("\n")[0])
        else:
            parts.setdefault(place[0], []).append(rows)
    for kind, every in parts.items():
        if len({digest_of_schema(rows.schema) for rows in every}) == 1:
            found.tables[kind] = _united(every)
            continue
        names_of = [name for rows in every for name in rows["measurement"].unique().to_pylist()]
        why = (
            f"its tables of {kind} are of several versions: tiecoat upgrade --lab {other.lab.root}"
        )
        found.wrong |= dict.fromkeys(names_of, why)
    return found


def _sound(other: OtherLab, place: Place, own: Collection[str], found: RowsThere) -> pa.Table:
    kept = storage_of(other.lab)
    rows = of_measurements(kept.read(place, checksums=True), own)
    described = describe(rows)
    said, there = other.account.contents, contents_of(rows, described)
    for name in own:
        if there.get(name) != said[name]:
            found.wrong[name] = f"its rows in {kept.name(place)} are not as they were filed"
    found.described |= {one.measurement: one for one in described}
    found.per[place[0]] = per_of(rows.schema)
    return rows


def _united(parts: list[pa.Table]) -> pa.Table:
    """Return rows together, with no mark of withdrawal and no remark of the checks in filing."""
    import pyarrow as pa

    from tiecoat.archive.tables.contents import MARK_COLUMNS
    from tiecoat.archive.tables.parquet import unite
    from tiecoat.remarks import without_checks

    rows = unite(parts).combine_chunks()
    for name in MARK_COLUMNS:
        place = rows.schema.get_field_index(name)
        column = rows.schema.field(place)
        rows = rows.set_column(place, column, pa.nulls(len(rows), column.type))
    place = rows.schema.get_field_index("remark")
    column = rows.schema.field(place)
    coded = rows["remark"].combine_chunks().dictionary_encode(null_encoding="encode")
    said = [without_checks(text) for text in coded.dictionary.to_pylist()]
    return rows.set_column(place, column, pa.array(said, column.type).take(coded.indices))
