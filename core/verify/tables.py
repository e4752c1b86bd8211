"""The tables on disk against what the journal says was filed there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import astuple, dataclass, field, replace
from typing import TYPE_CHECKING

from tiecoat.archive.account import Account, contents_by_name
from tiecoat.archive.spilled import Spilled
from tiecoat.archive.tables.contents import (
    Content,
    Withdrawal,
    contents_of,
    mixed,
    withdrawals_of,
)
from tiecoat.archive.tables.describe import Described, describe
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import TableStorage, storage_of
from tiecoat.contract.columns import KEYS, MARKS, ORIGIN, arrow_type
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.settings import Lab
from tiecoat.verify.proved import Proved, as_filed
from tiecoat.verify.report import Damage, DamageFound, Progress

if TYPE_CHECKING:
    import pyarrow as pa

SHOWN = 8  # measurements named in one finding
ROLES = (b"key", b"value", b"origin", b"remark", b"mark")


@dataclass
class CheckedTable:
    """What stands in one table, and what is wrong with it; nothing stands in one that is not sound.

    Of one that is passed over, as it was proved before, the contents are those that were filed.
    `apart` names the measurements whose rows do not lie together, or bear different marks.
    """

    place: Place
    is_there: bool = True
    passed_over: bool = False
    described: dict[str, Described] = field(default_factory=dict)  # by measurement
    contents: dict[str, Content] = field(default_factory=dict)
    withdrawn: dict[str, Withdrawal] = field(default_factory=dict)
    apart: set[str] = field(default_factory=set)
    findings: list[DamageFound] = field(default_factory=list)


@dataclass
class CheckedTables:
    """What stands in all tables, and what is wrong with it; see `CheckedTable`."""

    count: int = 0
    described: Spilled[Described] = field(
        default_factory=lambda: Spilled(astuple, lambda said: Described(*said))
    )
    contents: Spilled[Content] = field(default_factory=contents_by_name)
    withdrawn: dict[str, Withdrawal] = field(default_factory=dict)
    apart: set[str] = field(default_factory=set)
    findings: list[DamageFound] = field(default_factory=list)

    def add(self, one: CheckedTable) -> None:
        """Add what stands in one of them."""
        self.count += one.is_there
        self.described.update(one.described)
        self.contents.update(one.contents)
        self.withdrawn |= one.withdrawn
        self.apart |= one.apart
        self.findings += one.findings


def check_tables(lab: Lab, account: Account, progress: Progress) -> CheckedTables:
    """Open every table, and compare what stands in it with what was filed."""
    found = CheckedTables(findings=foreign_files(lab))
    for one in each_table(lab, account, progress):
        found.add(one)
    return found


def foreign_files(lab: Lab) -> list[DamageFound]:
    """Return what stands among the tables and is none."""
    said = "stands under archive/ and is no table of the program"
    return [DamageFound(Damage.FILE_FOREIGN, name, said) for name in storage_of(lab).foreign()]


def each_table(
    lab: Lab, account: Account, progress: Progress, proved: Proved | None = None
) -> Iterator[CheckedTable]:
    """Open one table after the other, but those that are proved; see `check_tables`."""
    kept = storage_of(lab)
    there = kept.versions()
    parts = (part.partition("/") for part in account.contents.parts())
    filed = [(kind, batch) for kind, _, batch in parts]
    every = sorted({*there, *filed})
    for done, place in enumerate(every, 1):
        expected = account.contents.of("/".join(place))
        if place in there:
            said = as_filed(expected, account.withdrawn) if proved else ""
            if proved and proved.has_table(place, there[place], said):
                yield CheckedTable(place, passed_over=True, contents=expected)
            else:
                found = _checked(kept, place, expected, account.withdrawn)
                if proved and not found.findings:
                    proved.note_table(place, there[place], said)
                yield found
        else:
            said = f"is not there; {_counted(expected)} filed in it: {_listed(expected)}"
            missing = DamageFound(Damage.TABLE_MISSING, kept.name(place), said)
            yield CheckedTable(place, is_there=False, findings=[missing])
        progress(done, len(every))


def _checked(
    kept: TableStorage,
    place: Place,
    filed: Mapping[str, Content],
    withdrawn: Mapping[str, Withdrawal],
) -> CheckedTable:
    where = kept.name(place)
    found = CheckedTable(place)
    try:
        rows = kept.read(place, checksums=True)
        flaw = _flaw(rows.schema)
        described = [] if flaw else describe(rows)
    except (ArchiveDamaged, LookupError, ValueError, TypeError, NotImplementedError) as error:
        flaw, described = str(error).partition("\n")[0], []
    if flaw:
        found.findings.append(DamageFound(Damage.TABLE_UNREADABLE, where, flaw))
        return found
    strangers = {(one.kind, one.batch) for one in described} - {place}
    if strangers:
        words = ", ".join(f"{kind} of {batch}" for kind, batch in sorted(strangers))
        found.findings.append(DamageFound(Damage.TABLE_MISPLACED, where, f"it holds {words}"))
        return found
    contents = contents_of(rows, described)
    found.described = {one.measurement: replace(one, start=0) for one in described}
    found.contents = contents
    times = Counter(one.measurement for one in described)
    apart = [measurement for measurement, count in times.items() if count > 1]
    for damage, names, words in (
        (Damage.ROWS_MISSING, [*(filed.keys() - contents.keys())], "filed and not there"),
        (Damage.ROWS_UNFILED, [*(contents.keys() - filed.keys())], "there and never filed"),
        (Damage.ROWS_CHANGED, _changed(filed, contents, apart), "not as filed"),
    ):
        if names:
            said = f"{_counted(names)} {words}: {_listed(names)}"
            found.findings.append(DamageFound(damage, where, said))
    marks = {one.measurement: one for one in withdrawals_of(rows, described)}
    found.withdrawn = marks
    own = {name: withdrawn[name] for name in contents if name in withdrawn}
    partly = mixed(rows, described)
    found.apart = {*apart, *partly}
    for name in sorted(marks.keys() | own.keys() | partly):
        if name in partly or marks.get(name) != own.get(name):
            said = _mark_words(name, marks.get(name), own.get(name), name in partly)
            found.findings.append(DamageFound(Damage.MARK_DIFFERS, where, said))
    return found


def _changed(
    filed: Mapping[str, Content], contents: Mapping[str, Content], apart: list[str]
) -> list[str]:
    return [
        name
        for name, content in contents.items()
        if name in apart or (name in filed and filed[name] != content)
    ]


def _mark_words(name: str, there: Withdrawal | None, said: Withdrawal | None, partly: bool) -> str:
    if partly:
        return f"{name}: its rows do not all bear the same mark of withdrawal"

    def words(one: Withdrawal | None) -> str:
        if one is None:
            return "valid"
        mark = one.mark
        if mark.at is None:  # the program writes none such, an editor of tables may
            return f"{mark.withdrawn} at no time by {mark.by} ({mark.why})"
        return f"{mark.withdrawn} at {mark.at:%Y-%m-%d %H:%M:%S} UTC by {mark.by} ({mark.why})"

    return f"{name} is {words(there)} in the table, and {words(said)} in the journal"


def _flaw(schema: pa.Schema) -> str | None:
    """Return what is wrong with the schema of a table, or None."""
    if b"tiecoat.kind" not in (schema.metadata or {}):
        return "it is no table of this program: its metadata name no kind"
    for info in (*KEYS, *ORIGIN, *MARKS):
        if (place := schema.get_field_index(info.name)) < 0:
            return f"column {info.name} is missing"
        if schema.field(place).type != arrow_type(info.type):
            return f"column {info.name} is {schema.field(place).type}, not {arrow_type(info.type)}"
    for column in schema:
        if (column.metadata or {}).get(b"role") not in ROLES:
            return f"column {column.name} says nothing of its role: the program did not write it"
    return None


def _counted(names: Collection[str]) -> str:
    count = len(names)
    return "1 measurement was" if count == 1 else f"{count:,} measurements were"


def _listed(names: Collection[str]) -> str:
    every = sorted(names)
    more = f" and {len(every) - SHOWN:,} more" if len(every) > SHOWN else ""
    return ", ".join(every[:SHOWN]) + more
