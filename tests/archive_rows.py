"""Rows made by hand, with the schema metadata that a kind gives them; and small labs."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pyarrow as pa

from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.plan import Filed
from tiecoat.archive.store import Incoming, Store
from tiecoat.lab.settings import Lab, open_lab

FLOAT, TEXT, TIME = pa.float64(), pa.string(), pa.timestamp("us", tz="UTC")
DAY = datetime(2026, 10, 1, 8, 0, tzinfo=UTC)

KEYS = {"measurement": TEXT, "batch": TEXT, "panel": TEXT, "measured_at": TIME}
ORIGIN = {
    "instrument": TEXT,
    "source_sha256": TEXT,
    "source_name": TEXT,
    "source_row": pa.int32(),
    "source_sheet": TEXT,
    "reader": TEXT,
}
MARKS = {
    "withdrawn": TEXT,
    "withdrawn_at": TIME,
    "withdrawn_by": TEXT,
    "withdrawn_why": TEXT,
    "superseded_by": TEXT,
}
VALUES: dict[str, dict[str, pa.DataType]] = {
    "impedance": {
        "exposure_h": FLOAT,
        "frequency_hz": FLOAT,
        "z_real_ohm": FLOAT,
        "z_imag_ohm": FLOAT,
    },
    "density": {"state": TEXT, "density_g_cm3": FLOAT},
    "batches": {"candidate": TEXT, "dose_percent": FLOAT},
    "panels": {"substrate": TEXT},
}
IDENTITY = {"impedance": ["exposure_h"], "density": ["state"]}
ORDER = {"impedance": ["frequency_hz"]}


def schema(kind: str, extra: Mapping[str, pa.DataType] | None = None) -> pa.Schema:
    """The Arrow schema of a kind, with columns of a later version if wanted."""
    groups = {
        "key": KEYS,
        "value": {**VALUES[kind], **(extra or {})},
        "origin": ORIGIN,
        "mark": MARKS,
    }
    fields = [
        pa.field(name, of, metadata={"unit": "", "meaning": f"the {name}", "role": role})
        for role, columns in groups.items()
        for name, of in columns.items()
    ]
    said = {
        "tiecoat.format": "1",
        "tiecoat.kind": kind,
        "tiecoat.kind_version": "2" if extra else "1",
        "tiecoat.per": "batch" if kind in {"density", "batches"} else "panel",
        "tiecoat.identity": json.dumps(IDENTITY.get(kind, [])),
        "tiecoat.order": json.dumps(ORDER.get(kind, [])),
        "tiecoat.unique": "[]",
        "tiecoat.replaces": "true" if kind in {"batches", "panels"} else "false",
    }
    return pa.schema(fields, metadata=said)


def sha_of(name: str) -> str:
    return hashlib.sha256(name.encode()).hexdigest()


Row = Mapping[str, Any]


def export(name: str, tables: Mapping[str, Sequence[Sequence[Row]]], **extra: Any) -> Incoming:
    """An export of this name: for each kind its measurements, each a list of rows.

    A row names batch, panel, measured_at and the kind's own columns.
    """
    sha256, number, made = sha_of(name), 0, {}
    for kind, measurements in tables.items():
        rows: list[dict[str, Any]] = []
        for measurement in measurements:
            number += 1
            rows += [
                {
                    "measurement": f"{sha256[:16]}-{number:04d}",
                    "measured_at": None,
                    "instrument": "bench 2",
                    "source_sha256": sha256,
                    "source_name": name,
                    "source_row": len(rows) + place + 2,
                    "reader": "hand 1",
                    **row,
                }
                for place, row in enumerate(measurement)
            ]
        made[kind] = pa.Table.from_pylist(rows, schema=schema(kind, extra.get(kind)))
    return Incoming(sha256, made)


def decided(incoming: Incoming, who: str, why: str) -> Incoming:
    """An export of which a person decided that its values supersede the earlier ones."""
    return replace(incoming, by=who, why=why)


def sweep(
    panel: str = "RB-014-1",
    hours: float = 24.0,
    scale: float = 1.0,
    frequencies: Iterable[float] = (1e5, 1e2, 1e-1),
    batch: str | None = None,
    **more: Any,
) -> list[Row]:
    """One impedance sweep of a panel, from high to low frequency as it was measured."""
    return [
        {
            "batch": batch or panel.rpartition("-")[0],
            "panel": panel,
            "measured_at": DAY + timedelta(hours=hours),
            "exposure_h": hours,
            "frequency_hz": frequency,
            "z_real_ohm": scale * 1e6 / frequency,
            "z_imag_ohm": -scale * 3e6 / frequency,
            **more,
        }
        for frequency in frequencies
    ]


def wet(value: float, batch: str = "RB-014", state: str = "as mixed") -> list[Row]:
    """One density of a batch of wet paint."""
    return [{"batch": batch, "measured_at": DAY, "state": state, "density_g_cm3": value}]


def recipe(batch: str, candidate: str, dose: float = 2.0) -> list[Row]:
    """One row of the register of batches."""
    return [{"batch": batch, "candidate": candidate, "dose_percent": dose}]


def plate(panel: str, batch: str, substrate: str = "S355") -> list[Row]:
    """One row of the register of panels."""
    return [{"batch": batch, "panel": panel, "substrate": substrate}]


def make_lab(root: Path, settings: str = "") -> Lab:
    root.mkdir(parents=True, exist_ok=True)
    (root / "tiecoat.toml").write_text(settings, encoding="utf-8")
    return open_lab(root)


def file(lab: Lab, *incoming: Incoming) -> list[Filed]:
    """File exports as the intake does: open the index, take the lock."""
    with open_index(lab) as index, write_lock(lab):
        return Store(lab, index).file(incoming)
