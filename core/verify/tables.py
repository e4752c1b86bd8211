"""The tables on disk against what the journal says was filed there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from tiecoat.archive.account import Account
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
from tiecoat.verify.originals import Progress
from tiecoat.verify.report import Damage, DamageFound

if TYPE_CHECKING:
    import pyarrow as pa

SHOWN = 8  # measurements named in one finding
ROLES = (b"key", b"value", b"origin", b"remark", b"mark")


@dataclass
class CheckedTables:
    """What stands in the tables, and what is wrong with it.

    `apart` names the measurements whose rows do not lie together, or bear different marks.
    """

    count: int = 0
    described: dict[str, Described] = field(default_factory=dict)  # by measurement
    contents: dict[str, Content] = field(default_factory=dict)
    withdrawn: dict[str, Withdrawal] = field(default_factory=dict)
    apart: set[str] = field(default_factory=set)
    findings: list[DamageFound] = field(default_factory=list)


def check_tables(lab: Lab, account: Account, progress: Progress) -> CheckedTables:
    """Open every table, and compare what stands in it with what was filed."""
    found = CheckedTables()
    kept = storage_of(lab)
    for name in kept.foreign():
        said = "stands under archive/ and is no table of the program"
        found.findings.append(DamageFound(Damage.FILE_FOREIGN, name, said))
    filed: dict[Place, dict[str, Content]] = {}
    for measurement, content in account.contents.items():
        filed.setdefault(content.place, {})[measurement] = content
    there = set(kept.places())
    every = sorted(there | filed.keys())
    for done, place in enumerate(every, 1):
        expected = filed.get(place, {})
        if place in there:
            _check_table(kept, place, expected, account.withdrawn, found)
        else:
            said = f"is not there; {_counted(expected)} filed in it: {_listed(expected)}"
            found.findings.append(DamageFound(Damage.TABLE_MISSING, kept.name(place), said))
        progress(done, len(every))
    return found


def _check_table(
    kept: TableStorage,
    place: Place,
    filed: Mapping[str, Content],
    withdrawn: Mapping[str, Withdrawal],
    found: CheckedTables,
) -> None:
    where = kept.name(place)
    found.count += 1
    try:
        rows = kept.read(place, checksums=True)
        flaw = _flaw(rows.schema)
        described = [] if flaw else describe(rows)
    except (ArchiveDamaged, LookupError, ValueError, TypeError, NotImplementedError) as error:
        flaw, described = str(error).partition("\n")[0], []
    if flaw:
        found.findings.append(DamageFound(Damage.TABLE_UNREADABLE, where, flaw))
        return
    strangers = {(one.kind, one.batch) for one in described} - {place}
    if strangers:
        words = ", ".join(f"{kind} of {batch}" for kind, batch in sorted(strangers))
        found.findings.append(DamageFound(Damage.TABLE_MISPLACED, where, f"it holds {words}"))
        return
    contents = contents_of(rows, described)
    found.described |= {one.measurement: replace(one, start=0) for one in described}
    found.contents |= contents
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
    found.withdrawn |= marks
    own = {name: one for name, one in withdrawn.items() if name in contents}
    partly = mixed(rows, described)
    found.apart |= {*apart, *partly}
    for name in sorted(marks.keys() | own.keys() | partly):
        if name in partly or marks.get(name) != own.get(name):
            said = _mark_words(name, marks.get(name), own.get(name), name in partly)
            found.findings.append(DamageFound(Damage.MARK_DIFFERS, where, said))


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
