"""Which kinds have changed since their tables were written, and whether those can follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tiecoat.archive.index.cache import Index
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.contract.changes import Following, KindChange, KindLoaded, change_of, digest_of_schema
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.settings import Lab


@dataclass(frozen=True)
class KindUpgrade:
    """A kind whose tables are not as it is today: what has changed, by the schema of the tables.

    `places` are all its tables, `changed` maps those that are not as it is today to the digest of
    their schema; `damaged` says of a table that does not open.
    """

    kind: str
    places: tuple[Place, ...]
    changed: Mapping[Place, str]
    changes: Mapping[str, KindChange]
    damaged: str = ""

    @property
    def refused(self) -> str:
        """Why its tables cannot follow; "" if they can."""
        refused = (one for one in self.changes.values() if one.following is Following.REFUSED)
        return self.damaged or next((f"{one}. {one.why}" for one in refused), "")

    @property
    def migrates(self) -> bool:
        """Whether rows change by it."""
        return any(one.following is Following.MIGRATED for one in self.changes.values())

    def change(self, place: Place) -> KindChange | None:
        """Return what has changed since a table was written; None if nothing."""
        digest = self.changed.get(place)
        return None if digest is None else self.changes[digest]


def upgrades(lab: Lab, index: Index, loaded: Mapping[str, KindLoaded]) -> list[KindUpgrade]:
    """Return the kinds that have changed, by name; a kind that no plugin brings stays as it is.

    Where nothing has changed this costs a look at the index.

    Parameters
    ----------
    loaded
        The kinds as they are today.
    """
    today = {kind: digest_of_schema(one.schema) for kind, one in loaded.items()}
    by_kind: dict[str, dict[Place, str]] = {}
    for place, state in index.tables().items():
        if state.schema != today.get(place[0], state.schema):
            by_kind.setdefault(place[0], {})[place] = state.schema
    return [_upgrade(lab, index, own, loaded[kind]) for kind, own in sorted(by_kind.items())]


def _upgrade(
    lab: Lab, index: Index, changed: Mapping[Place, str], today: KindLoaded
) -> KindUpgrade:
    tables, changes = storage_of(lab), dict[str, KindChange]()
    kind = next(iter(changed))[0]
    places = tuple(tables.places(kind))
    unknown = set(places) - set(index.tables(kind))
    damaged = "".join(f"{tables.name(one)} does not open. " for one in sorted(unknown)[:1])
    for place, digest in changed.items():
        if digest not in changes:
            try:
                changes[digest] = change_of(tables.schema(place), today)
            except (ArchiveDamaged, FileNotFoundError) as error:
                damaged = str(error)
    return KindUpgrade(kind, places, changed, changes, damaged)
