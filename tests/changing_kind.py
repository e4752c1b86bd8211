"""A kind of our own that changes: a column is added, gets another unit, another name."""

from __future__ import annotations

from pathlib import Path

from labs import LabAtWork

from tiecoat.extend.loading import load_plugins
from tiecoat.plugin import Kind

KIND = "coat_weight"
WEIGHT = 'weight: float = column("{unit}", "weight of the wet coat", ge=0)'
TEMPERATURE = 'temperature: float = column("degC", "of the room", nullable=True)'
TO_MILLIGRAMS = """
def migrate(frame, from_version):
    if from_version < 3:
        frame["weight"] *= 1000
    return frame
"""
RENAMED = (
    TO_MILLIGRAMS.rpartition("    return")[0]
    + """\
    return frame.rename(columns={"weight": "coat"})
"""
)
COLUMNS = {
    1: [WEIGHT.format(unit="g")],
    2: [WEIGHT.format(unit="g"), TEMPERATURE],
    3: [WEIGHT.format(unit="mg"), TEMPERATURE],
    4: [WEIGHT.format(unit="mg").replace("weight:", "coat:"), TEMPERATURE],
}
MIGRATES = {1: "", 2: "", 3: TO_MILLIGRAMS, 4: RENAMED}

PLUGIN = '''
import pandera.pandas as pa
from tiecoat.plugin import Claim, Kind, Measurement, column, hookimpl

class Coat(pa.DataFrameModel):
    """The wet coat, weighed on its panel."""
    layer: str = column("", "which coat of the system")
    {columns}
{migrate}
class CoatTable:
    name, kind, version = "coat_table", "{kind}", "1"
    titles = {{"weight": ("Coat weight",)}}

    def recognise(self, export):
        missing = export.missing(self.titles)
        return Claim(0.0, missing) if missing else Claim(0.9, "a coat weight")

    def read(self, export):
        for table in export.tables(self.titles):
            columns = {{
                "layer": [table.entry(("Layer",))] * len(table.rows),
                "{weight}": table.numbers("weight", "{unit}"),
            }}
            yield Measurement(columns=columns, rows=table.rows, panel=table.entry(("Panel",)))

@hookimpl
def tiecoat_kinds():
    return [Kind("{kind}", Coat, per="panel", identity=("layer",), version={version}{more})]

@hookimpl
def tiecoat_readers():
    return [CoatTable()]
'''


def plugin(
    version: int, columns: int | None = None, migrate: str | None = None, kind: str = KIND
) -> str:
    """The plugin with the kind in a version.

    Parameters
    ----------
    columns
        Of which version its columns are, if of another.
    migrate
        Its function, if another.
    """
    columns = version if columns is None else columns
    migrate = MIGRATES[columns] if migrate is None else migrate
    return PLUGIN.format(
        version=version,
        columns="\n    ".join(COLUMNS[columns]),
        migrate=migrate,
        kind=kind,
        weight="coat" if columns == 4 else "weight",
        unit="g" if columns < 3 else "mg",
        more=", migrate=migrate" if migrate else "",
    )


def install(at_work: LabAtWork, text: str, name: str = "coat.py") -> None:
    """Put a plugin into the readers folder of a lab, in place of the one of before."""
    path = at_work.root / "readers" / name
    path.parent.mkdir(exist_ok=True)
    path.parent.chmod(0o755)
    path.write_text(text, encoding="utf-8")
    path.chmod(0o644)


def kind_of(at_work: LabAtWork) -> Kind:
    """The kind as the plugin in the lab has it now."""
    return load_plugins(at_work.root / "readers").kinds[KIND]


def weighed(panel: str = "RB-014-1", layer: str = "first", grams: str = "12,5") -> str:
    """An export of one coat."""
    return f"Panel;{panel}\nLayer;{layer}\n\nCoat weight [g]\n{grams}\n"


def file_of(root: Path, batch: str, kind: str = KIND) -> Path:
    """The file of a table."""
    return root / "archive" / kind / batch / "data.parquet"
