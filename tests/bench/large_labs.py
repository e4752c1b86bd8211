"""Labs of any size, made quickly: as intake would have filed them, without reading every export.

One export goes the ordinary way. The others are like it but for panel, exposure and values: their
originals, rows, journal and index are written by the program's own writers in large rounds. That
`rebuild` finds the same archive in them is a test (tests/test_large_labs.py).
"""

from __future__ import annotations

import hashlib
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Incoming, Store
from tiecoat.archive.tables.contents import as_tables
from tiecoat.archive.words import Became, RecordSort
from tiecoat.intake.outcome import Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.ids import table_path
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import digest_of, shaping

A_BATCH = 40  # measurements in a batch: four panels, looked at ten times
ROUND = 100  # batches filed together
POINTS = 8  # of a spectrum: few, as a million of them are read and proved
HERTZ = 10.0 ** np.arange(5, 5 - POINTS, -1)
SETTINGS = """\
[intake]
settle_s = 0.0
[ids]
batch = 'RB-[0-9]{3,6}'
panel = '(?P<batch>RB-[0-9]{3,6})-[0-9]{1,3}'
"""


@dataclass(frozen=True)
class Spectrum:
    """One export of an impedance spectrum, of which every number is written as it is read."""

    number: int

    @property
    def batch(self) -> str:
        """Each batch is complete before the next begins."""
        return f"RB-{self.number // A_BATCH:03d}"

    @property
    def panel(self) -> str:
        """One of four."""
        return f"{self.batch}-{self.number % 4 + 1}"

    @property
    def hours(self) -> int:
        """How long the panel was immersed."""
        return self.number % A_BATCH // 4 * 24

    @property
    def name(self) -> str:
        """Its file name."""
        return f"{self.panel} spectrum {self.number:07d}.csv"

    @property
    def z_ohm(self) -> tuple[list[str], list[str]]:
        """Real and imaginary parts of a resistor beside a capacitor, with noise, as written."""
        draw = np.random.default_rng(self.number)
        resistance, capacitance = 10 ** draw.uniform(7, 9), 10 ** draw.uniform(-10, -9)
        z = resistance / (1 + 2j * np.pi * HERTZ * resistance * capacitance)
        z *= 1 + draw.normal(0, 0.01, POINTS)
        return [f"{one:.6g}" for one in z.real], [f"{one:.6g}" for one in z.imag]

    @property
    def text(self) -> str:
        """What the instrument wrote."""
        columns = ([f"{one:g}" for one in HERTZ], *self.z_ohm)
        rows = "\n".join(",".join(row) for row in zip(*columns, strict=True))
        return (
            f"Invented data for a benchmark\nPanel: {self.panel}\nCell area: 14.6 cm2\n"
            f"Immersed for: {self.hours} h\n\nFrequency [Hz],Z' [Ohm],Z'' [Ohm]\n{rows}\n"
        )


def large_lab(root: Path, count: int) -> Lab:
    """Make a lab with so many measurements, a file each."""
    lab = new_lab(root, SETTINGS)
    write_exports(root / "inbox", 0, 1)
    take(lab, [], Teller(lambda line: None, lambda outcome: None))
    like = pq.read_table(table_path(lab.archive, "impedance", Spectrum(0).batch))
    with closing(open_index(lab)) as index:
        for start in range(0, count, A_BATCH * ROUND):
            every = [Spectrum(n) for n in range(max(start, 1), min(start + A_BATCH * ROUND, count))]
            with write_lock(lab):
                _file(lab, index, every, like)
    return lab


def write_exports(folder: Path, start: int, end: int) -> list[Path]:
    """Write the exports of these numbers into a folder, and return their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for one in map(Spectrum, range(start, end)):
        paths.append(folder / one.name)
        paths[-1].write_text(one.text, encoding="utf-8")
    return paths


def _file(lab: Lab, index: Any, every: list[Spectrum], like: pa.Table) -> None:
    digests = [_preserved(lab, one) for one in every]
    rows = _rows(every, digests, like)
    incoming = [
        Incoming(sha256, {"impedance": rows.slice(place * POINTS, POINTS)})
        for place, sha256 in enumerate(digests)
    ]
    filed = Store(lab, index).file(incoming)
    own = digest_of(shaping(lab))
    reader = like["reader"][0].as_py()
    Journal(lab).append(
        [
            {
                "event": RecordSort.FILED,
                "name": spectrum.name,
                "sha256": one.sha256,
                "reader": reader,
                "from": [f"inbox/{spectrum.name}"],
                "rows": POINTS,
                "tables": as_tables(one.contents),
                "settings": own,
            }
            for spectrum, one in zip(every, filed, strict=True)
        ]
    )
    originals = zip(every, digests, strict=True)
    index.record_originals(
        (sha256, one.name, Became.FILED, None, reader) for one, sha256 in originals
    )


def _preserved(lab: Lab, one: Spectrum) -> str:
    content = one.text.encode()
    sha256 = hashlib.sha256(content).hexdigest()
    folder = lab.originals / sha256[:2] / sha256
    folder.mkdir(parents=True)
    (folder / one.name).write_bytes(content)
    return sha256


def _rows(every: list[Spectrum], digests: list[str], like: pa.Table) -> pa.Table:
    """Return the rows of spectra, those of a file together, as a worker sends them."""
    z = [one.z_ohm for one in every]
    own: dict[str, list[Any]] = {
        "measurement": [f"{sha256[:16]}-0001" for sha256 in digests],
        "batch": [one.batch for one in every],
        "panel": [one.panel for one in every],
        "exposure_h": [one.hours for one in every],
        "source_sha256": digests,
        "source_name": [one.name for one in every],
    }
    rising = {"z_real_ohm": [real[::-1] for real, _ in z], "z_imag_ohm": [i[::-1] for _, i in z]}
    columns = []
    for field in like.schema:
        if field.name in rising:
            values = np.concatenate(rising[field.name]).astype(float)
            columns.append(pa.array(values, field.type))
        elif field.name in own:
            columns.append(pa.array(own[field.name], field.type).take(_repeated(len(every))))
        else:
            column = like[field.name].combine_chunks()
            columns.append(pa.concat_arrays([column] * len(every)))
    return pa.table(columns, schema=like.schema)


def _repeated(count: int) -> pa.Array:
    return pa.array(np.repeat(np.arange(count), POINTS))
