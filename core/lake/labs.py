"""Which labs publish into a lake: the table `labs`, a row for each.

A lab is who it is by the hash of the first record of its journal. It has one name in a lake, and no
other lab can take that. The row also says how far the journal was when it published last: who
publishes without that record among its own is a copy that has gone another way, or an older one.
Who has it may be a copy all the same, with corrections that were tried in it: so where the folder
has another name than the one that published last, a person says first that it is the lab.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from tiecoat.archive.journal.records import Journal
from tiecoat.errors import LakeDisagrees, QueryInvalid
from tiecoat.extend.loading import load_evaluations
from tiecoat.lab.plugin_choices import as_json
from tiecoat.lab.settings import Lab
from tiecoat.lake.tables import LakeTables, commit_properties, write

if TYPE_CHECKING:
    import pyarrow as pa
    from deltalake import DeltaTable

LABS = "labs"
NAME = re.compile(r"[\w](?:[\w .-]{0,62}[\w-])?")
SAID = "the labs that publish here"


@dataclass(frozen=True)
class LabEntry:
    """A lab in a lake.

    Parameters
    ----------
    lab
        Its name here.
    journal
        The hash of the first record of its journal: who it is.
    head
        The hash of the last record when it published last.
    kinds
        That it has published, in JSON.
    choices
        What it has set for evaluations, in JSON.
    evaluations
        The evaluations that it has, each with its version, in JSON.
    tiecoat
        The version of the program that published last.
    at
        When (UTC).
    folder
        The name of the lab's folder then; "" if a version published that did not tell it.
    """

    lab: str
    journal: str
    head: str
    kinds: str
    choices: str
    evaluations: str
    tiecoat: str
    at: datetime
    folder: str = ""

    @property
    def kinds_named(self) -> list[str]:
        """The kinds that it has published."""
        return list(json.loads(self.kinds))

    def says_no_more_than(self, other: LabEntry) -> bool:
        """Say whether another entry tells the same, but for the time."""
        return replace(self, at=other.at) == other


def entries(table: DeltaTable | None) -> list[LabEntry]:
    """Return the labs of a lake by their names."""
    if table is None:
        return []
    there = {field.name for field in table.schema().fields}
    names = [field.name for field in fields(LabEntry) if field.name in there]
    rows = table.to_pyarrow_table(columns=names).to_pylist()
    every = ({name: said for name, said in row.items() if said is not None} for row in rows)
    return sorted((LabEntry(**row) for row in every), key=lambda one: one.lab)


def kinds_of(labs: Iterable[LabEntry]) -> list[str]:
    """Return the kinds that labs have published, sorted."""
    return sorted({kind for one in labs for kind in one.kinds_named})


def entered(
    tables: LakeTables, lab: Lab, kinds: list[str], name: str | None, *, instead: bool
) -> LabEntry:
    """Enter a lab into a lake, or what is new of it, before anything of it is published.

    Parameters
    ----------
    kinds
        That it publishes now.
    name
        Of the lab in the lake; None: as it is called there, else as its folder is.
    instead
        Whether it takes the place of the copy of it that published last.

    Raises
    ------
    LakeDisagrees
        If another lab has the name, this one has another, or another copy of it has published, or
        one in a folder of another name.
    QueryInvalid
        If the name is none.
    """
    journal = Journal(lab)
    who, last = journal.first(), journal.last()
    if who is None or last is None:
        raise LakeDisagrees("nothing has been filed in this lab yet: there is nothing to publish")

    def attempt() -> LabEntry:
        table = tables.made(LABS, _schema(), SAID, {})
        _complete(table)
        every = entries(table)  # of the version that is written upon, so that none comes between
        mine = next((one for one in every if one.journal == who), None)
        if mine and not instead and not journal.has(mine.head):
            raise LakeDisagrees(_another_copy(mine))
        if mine and not instead and mine.folder not in {"", lab.root.name}:
            raise LakeDisagrees(_another_folder(mine, lab))
        called = _name(mine, every, name or lab.root.name, asked=name is not None)
        known = {*mine.kinds_named} if mine else set[str]()
        new = _entry(lab, called, who, str(last["hash"]), sorted(known | {*kinds}))
        if mine is None or not mine.says_no_more_than(new):
            _write(table, new, is_new=mine is None)
        return new

    return tables.committed(attempt)


def _another_copy(mine: LabEntry) -> str:
    return (
        f"another copy of this lab has published here as {mine.lab!r}, on"
        f" {mine.at:%Y-%m-%d %H:%M} UTC, and what it had filed by then is not in this one: this is"
        " an older copy, or one that has gone its own way.\n"
        "Publish from the other one; or, if this one is to take its place: tiecoat publish URL"
        " --instead"
    )


def _another_folder(mine: LabEntry, lab: Lab) -> str:
    return (
        f"{mine.lab!r} has published here from a folder called {mine.folder!r}, on"
        f" {mine.at:%Y-%m-%d %H:%M} UTC, and this folder is called {lab.root.name!r}: it may be a"
        f" copy, and what was tried in it would be published as {mine.lab!r}.\n"
        "If the folder was renamed, or takes the place of the other one: tiecoat publish URL"
        " --instead. If it is to be a lab of its own: make one with tiecoat new, and bring its"
        " exports there with tiecoat take or merge"
    )


def _complete(table: DeltaTable) -> None:
    """Add the columns that an earlier version has not made."""
    import pyarrow as pa
    from deltalake import Schema

    there = {field.name for field in table.schema().fields}
    if lacking := [field for field in _schema() if field.name not in there]:
        new = Schema.from_arrow(pa.schema(lacking))
        table.alter.add_columns(list(new.fields), commit_properties=commit_properties({}, {}))


def _name(mine: LabEntry | None, every: list[LabEntry], name: str, *, asked: bool) -> str:
    """Return what a lab is called in a lake."""
    if mine:
        if asked and name != mine.lab:
            raise LakeDisagrees(
                f"this lab, or the one that it is a copy of, is called {mine.lab!r} in this lake,"
                " and keeps its name; leave out --as. A copy is the same lab: make another one with"
                " tiecoat new, and bring its exports there with tiecoat take or merge"
            )
        return mine.lab
    if not NAME.fullmatch(name):
        raise QueryInvalid(
            f"{name!r} cannot be the name of a lab in a lake; allowed are up to 64 letters, digits,"
            " blanks, and . _ - between them. Choose one: tiecoat publish URL --as NAME"
        )
    if any(one.lab.casefold() == name.casefold() for one in every):
        raise LakeDisagrees(
            f"another lab is called {name!r} in this lake; choose another name for this one:"
            " tiecoat publish URL --as NAME"
        )
    return name


def _entry(lab: Lab, name: str, who: str, head: str, kinds: list[str]) -> LabEntry:
    from tiecoat import __version__

    loaded = load_evaluations(lab.own_readers).evaluations
    versions = {one.name: one.version for one in loaded.values()}
    return LabEntry(
        lab=name,
        journal=who,
        head=head,
        kinds=json.dumps(kinds),
        choices=_choices(lab),
        evaluations=json.dumps(versions, sort_keys=True),
        tiecoat=__version__,
        at=datetime.now(UTC),
        folder=lab.root.name,
    )


def _choices(lab: Lab) -> str:
    said: dict[str, Mapping[str, Any]] = {
        "built_in": asdict(lab.settings.evaluate),
        "others": lab.evaluating.tables,
    }
    return as_json(said)


def _schema() -> pa.Schema:
    import pyarrow as pa

    types = {"at": pa.timestamp("us", tz="UTC")}
    return pa.schema([(f.name, types.get(f.name, pa.string())) for f in fields(LabEntry)])


def _write(table: DeltaTable, new: LabEntry, *, is_new: bool) -> None:
    """Put an entry in the place of the one that there was."""
    import pyarrow as pa

    names = [f"name {new.lab.casefold()}", f"lab {new.journal}"]
    numbers = {one: (table.transaction_version(one) or 0) + 1 for one in names}
    write(
        table,
        pa.Table.from_pylist([asdict(new)], _schema()),
        commit_properties(numbers, {"tiecoat.lab": new.lab}),
        instead_of=None if is_new else f"lab = '{new.lab}'",
    )
