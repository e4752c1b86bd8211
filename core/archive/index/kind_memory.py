"""What the index in SQLite remembers of kinds: what their columns could hold when it was last seen.

No table says it, and nothing else says it anew; a lab without an index goes by what it sees first.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from tiecoat.archive.index.in_database import InDatabase

KIND_TABLES = """
CREATE TABLE kind_rules (kind TEXT PRIMARY KEY, rules TEXT NOT NULL) WITHOUT ROWID;
"""


class KindMemory(InDatabase):
    """See `Index` for what its methods promise."""

    def rules(self) -> dict[str, Mapping[str, str]]:
        """Return by kind what its columns could hold when it was last seen."""
        rows = self._rows("SELECT kind, rules FROM kind_rules")
        return {kind: json.loads(rules) for kind, rules in rows}

    def note_rules(self, rules: Mapping[str, Mapping[str, str]]) -> None:
        """Note what columns of kinds may hold."""
        rows = [(kind, json.dumps(dict(one))) for kind, one in rules.items()]
        with self._transaction():
            self._many("INSERT OR REPLACE INTO kind_rules VALUES (?, ?)", rows)
