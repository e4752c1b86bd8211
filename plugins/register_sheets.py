"""Reads the register: the tables of batches and of panels, as text or in sheets of a workbook."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from tiecoat.plugin import Claim, Export, Measurement, Reader, Table, hookimpl

BATCHES: dict[str, Sequence[str]] = {
    "batch": ("Batch",),
    "recipe": ("Recipe",),
    "candidate": ("Candidate",),
    "dose": ("Dose",),
    "role": ("Role",),
    "mixed_on": ("Mixed on",),
    "note": ("Note",),
}
PANELS: dict[str, Sequence[str]] = {
    "panel": ("Panel",),
    "batch": ("Batch",),
    "substrate": ("Substrate",),
    "coat_system": ("Coat system",),
    "thickness": ("Dry film", "Dry film thickness"),
    "coated_on": ("Coated on",),
    "coat_2_on": ("Coat 2 on", "Second coat on"),
    "coat_3_on": ("Coat 3 on", "Third coat on"),
    "immersed_at": ("Immersed at",),
    "note": ("Note",),
}
# columns that a register may do without; cells of the others are asked for by the kinds
OPTIONAL = {
    *("recipe", "dose", "mixed_on"),
    *("substrate", "thickness", "coated_on", "immersed_at", "note"),
    *("coat_2_on", "coat_3_on"),
}


class RegisterSheets:
    """The register of batches and of panels: one row, one batch or panel."""

    name, kind, version = "register_sheets", "batches", "1"

    def recognise(self, export: Export) -> Claim:
        """Claim what shows the titles of one of the two tables, or of both."""
        missing = {"batches": export.missing(BATCHES, OPTIONAL)}
        missing["panels"] = export.missing(PANELS, OPTIONAL)
        if shown := [table for table, titles in missing.items() if not titles]:
            return Claim(0.8, f"the titles of the register of {' and of '.join(shown)}")
        shares = {
            table: _shown(missing[table], len(titles.keys() - OPTIONAL))
            for table, titles in (("batches", BATCHES), ("panels", PANELS))
        }
        nearest = max(shares, key=lambda table: shares[table])
        return Claim(0.4 * shares[nearest], f"for the register of {nearest}: {missing[nearest]}")

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return a measurement for each batch and then for each panel."""
        shown = [titles for titles in (BATCHES, PANELS) if not export.missing(titles, OPTIONAL)]
        for titles in shown or [BATCHES]:
            for table in export.tables(titles, OPTIONAL):
                yield from _batches(table) if titles is BATCHES else _panels(table)


def _shown(missing: str, needed: int) -> float:
    """Return the share of the needed columns that are there."""
    return 1 - (missing.count("no column ") or needed) / needed


def _batches(table: Table) -> Iterator[Measurement]:
    columns: Mapping[str, Sequence[Any]] = {
        "recipe": table.texts("recipe"),
        "candidate": table.texts("candidate"),
        "dose_percent": table.numbers("dose", "percent", unit="%"),
        "role": table.texts("role"),
        "mixed_on": table.times("mixed_on"),
        "note": table.texts("note"),
    }
    return _rows("batches", table, columns, table.texts("batch"), [None] * len(table.rows))


def _panels(table: Table) -> Iterator[Measurement]:
    columns: Mapping[str, Sequence[Any]] = {
        "substrate": table.texts("substrate"),
        "coat_system": table.texts("coat_system"),
        "thickness_um": table.numbers("thickness", "um"),
        "coated_on": table.times("coated_on"),
        "coat_2_on": table.times("coat_2_on"),
        "coat_3_on": table.times("coat_3_on"),
        "immersed_at": table.times("immersed_at"),
        "note": table.texts("note"),
    }
    return _rows("panels", table, columns, table.texts("batch"), table.texts("panel"))


def _rows(
    kind: str,
    table: Table,
    columns: Mapping[str, Sequence[Any]],
    batches: Sequence[str | None],
    panels: Sequence[str | None],
) -> Iterator[Measurement]:
    for i, row in enumerate(table.rows):
        yield Measurement(
            columns={name: [values[i]] for name, values in columns.items()},
            rows=[row],
            batch=batches[i],
            panel=panels[i],
            kind=kind,
            sheet=table.sheet,
        )


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [RegisterSheets()]
