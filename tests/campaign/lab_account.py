"""Settling accounts: what was dropped into a lab against what has become of it on the disk.

The tables are read with DuckDB as any stranger would read them, without the program.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pyarrow.parquet as pq
from known_exports import Determination, Made, Values, determinations

import tiecoat
from tiecoat.archive.index.cache import original_in
from tiecoat.archive.opening import open_index, reindex
from tiecoat.lab.settings import open_lab
from tiecoat.verify.verify import verify

QUERIES = {
    "impedance": """
        select measurement, source_sha256,
            (kind, batch, panel, measured_at at time zone 'UTC', exposure_h) as determination,
            list((frequency_hz, z_real_ohm, z_imag_ohm) order by frequency_hz) as rows
        from (select 'impedance' as kind, * from read_parquet('{path}')) group by all""",
    "density": """
        select measurement, source_sha256,
            (kind, batch, measured_at at time zone 'UTC', state, elapsed_s) as determination,
            list((temperature_c, density_g_cm3)) as rows
        from (select 'density' as kind, * from read_parquet('{path}')) group by all""",
    "panels": """
        select measurement, source_sha256, ('panels', batch, panel) as determination, [] as rows
        from read_parquet('{path}')""",
}


@dataclass(frozen=True)
class Filed:
    """A measurement in the archive."""

    source: str
    determination: Determination
    rows: Values


@dataclass
class Account:
    """Everything that was dropped into the inbox of a lab, and what must be true of it.

    Parameters
    ----------
    root
        The lab folder.
    """

    root: Path
    dropped: dict[str, str] = field(default_factory=dict)  # name -> SHA-256
    made: dict[str, list[Made]] = field(default_factory=dict)  # SHA-256 -> every name of it

    def copy(self, root: Path) -> Account:
        """Copy the lab and return the account of the copy."""
        shutil.copytree(self.root, root)
        made = {sha256: list(names) for sha256, names in self.made.items()}
        return Account(root, dict(self.dropped), made)

    def drop(self, made: Made) -> None:
        """Rename a finished file into the inbox."""
        sha256 = hashlib.sha256(made.content).hexdigest()
        self.dropped[made.name] = sha256
        self.made.setdefault(sha256, []).append(made)
        outside = self.root.with_name("on its way")
        outside.write_bytes(made.content)
        outside.rename(self.root / "inbox" / made.name)

    def check_now(self) -> None:
        """Check what is true at every moment, also a moment after the power has gone."""
        self._only_whole_tables()
        kept = self._originals()
        filed = self._filed()
        held = self._held()
        for name, sha256 in self.dropped.items():
            if (self.root / "inbox" / name).exists():
                continue
            assert sha256 in kept, f"{name} is lost"
            accounted = sha256 in held or self._all_there(sha256, filed)
            assert accounted, f"{name} left the inbox but is neither filed nor held"

    def check_end(self, tried_again: Sequence[str] = ()) -> dict[str, int]:
        """Check that every export is filed exactly once or held, and count the fates.

        Parameters
        ----------
        tried_again
            SHA-256 of those that a person has tried again after they were held.
        """
        self.check_now()
        findings = verify(open_lab(self.root)).findings
        assert findings == (), findings
        inbox = self.root / "inbox"
        assert [path.name for path in inbox.glob("*.csv")] == [], "exports are left in the inbox"
        filed, held = self._filed(), self._held()
        sources = {one.source for one in filed.values()}
        fates: Counter[str] = Counter()
        for sha256, names in self.made.items():
            reason = held.get(sha256, "")
            fates[reason or "filed"] += 1
            if reason:
                assert sha256 not in sources, f"{names[0].name} is held, yet rows of it are filed"
            if names[0].broken or reason != "conflict":
                assert reason == names[0].broken, f"{names[0].name}: {reason or 'filed'}"
            else:
                assert self._contradicted(sha256, filed), f"{names[0].name} contradicts nothing"
        done = {path.name for path in (inbox / "done").glob("*/*")}
        named = {name for name, sha256 in self.dropped.items() if sha256 not in held}
        assert done <= named, "what is not filed is in done/"
        # one that was held at first left the inbox by that
        missing = {name for name in named - done if self.dropped[name] not in tried_again}
        assert all("not registered" in name for name in missing), "done/ lacks filed exports"
        return dict(fates)

    def check_index(self, copy: Path) -> None:
        """Check, on a copy of the lab, that its index answers the same when it is built anew."""
        copy.mkdir()
        for name in ("archive", "held", "journal"):
            shutil.copytree(self.root / name, copy / name)
        for path in (self.root / "tiecoat.toml", *self.root.glob("index.sqlite*")):
            shutil.copy2(path, copy)
        listed, outcomes = _answers(copy, self.made)
        for path in copy.glob("index.sqlite*"):
            path.unlink()
        reindex(open_lab(copy))
        listed_anew, outcomes_anew = _answers(copy, self.made)
        assert listed.equals(listed_anew), "the index lists other measurements than the tables"
        # what a crash left between journal and index is known to the journal alone
        later = {sha256 for sha256, one in outcomes_anew.items() if one != "held"}
        behind = {sha256 for sha256, one in outcomes.items() if one == "held"} & later
        known = {sha256: one for sha256, one in outcomes.items() if sha256 not in behind}
        assert known.items() <= outcomes_anew.items(), "the index knows what nothing else knows"
        shutil.rmtree(copy)

    def _only_whole_tables(self) -> None:
        for path in (self.root / "archive").rglob("*"):
            if path.is_file():
                assert path.name == "data.parquet", f"{path} is no table"
                pq.read_table(path)

    def _originals(self) -> set[str]:
        kept = set()
        for path in (self.root / "originals").glob("*/*/*"):
            sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
            assert path.parts[-3:-1] == (sha256[:2], sha256), f"{path} holds other bytes"
            kept.add(sha256)
        return kept

    def _held(self) -> dict[str, str]:
        """Return SHA-256 -> reason, having seen that the bytes lie beside it."""
        held = {}
        for path in (self.root / "held").glob("*/reason.json"):
            record = json.loads(path.read_text(encoding="utf-8"))
            content = (path.parent / record["name"]).read_bytes()
            assert hashlib.sha256(content).hexdigest() == record["sha256"]
            held[record["sha256"]] = record["reason"]
        return held

    def _filed(self) -> dict[Determination, Filed]:
        """Return what the archive holds, having seen that nothing is there twice or changed."""
        filed: dict[Determination, Filed] = {}
        for one in measurements_in(self.root):
            assert one.determination not in filed, f"{one.determination} is filed twice"
            said = determinations(self.made[one.source][0].content)
            assert said[one.determination] == one.rows, f"{one.determination} has other values"
            filed[one.determination] = one
        return filed

    def _all_there(self, sha256: str, filed: dict[Determination, Filed]) -> bool:
        made = self.made[sha256][0]
        if made.broken:
            return False
        said = determinations(made.content)
        return all(key in filed and filed[key].rows == rows for key, rows in said.items())

    def _contradicted(self, sha256: str, filed: dict[Determination, Filed]) -> bool:
        said = determinations(self.made[sha256][0].content)
        return any(key in filed and filed[key].rows != rows for key, rows in said.items())


def measurements_in(root: Path) -> Iterable[Filed]:
    """Read every measurement of every table; no row may be marked as withdrawn."""
    with duckdb.connect() as connection:
        connection.execute("set timezone = 'UTC'")
        for kind, query in QUERIES.items():
            pattern = root / "archive" / kind / "*" / "data.parquet"
            if not list((root / "archive" / kind).glob("*/data.parquet")):
                continue
            found = connection.execute(query.format(path=pattern)).fetchall()
            for _, source, determination, rows in found:
                yield Filed(source, _key(determination), tuple(tuple(row) for row in rows))


def _key(determination: Iterable[Any]) -> Determination:
    """Times come from DuckDB without their zone, which is UTC."""
    return tuple(
        part.replace(tzinfo=UTC) if hasattr(part, "tzinfo") else part for part in determination
    )


def _answers(root: Path, originals: Iterable[str]) -> tuple[pd.DataFrame, dict[str, str]]:
    """Return the list of measurements, and what became of each original."""
    with closing(open_index(open_lab(root))) as index:
        known = {sha256: original_in(index, sha256) for sha256 in originals}
    outcomes = {sha256: found.outcome for sha256, found in known.items() if found}
    return tiecoat.open(root).measurements(withdrawn=True), outcomes
