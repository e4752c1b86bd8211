"""Do versions tell the truth: nothing comes out otherwise while a version stays?

`fingerprints.json` beside the examples keeps what rows, kinds and results were like in which
version. Of an earlier version of a kind it keeps the rows too, so that `migrate` can be tried: what
it makes of them must be what is read of the same exports today.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tiecoat.contract.changes import Following, KindLoaded, change_of
from tiecoat.contract.columns import arrow_type, columns_of, schema_of, told_of
from tiecoat.disk import fsio
from tiecoat.errors import PluginFault
from tiecoat.intake.workers.migrating import migrated
from tiecoat.intake.workers.sending import from_stream, to_stream
from tiecoat.plugin import Kind
from tiecoat.testing.examples import FINGERPRINTS, WRITE, ExampleExport
from tiecoat.testing.rows_told import BESIDE, RowTold, as_text, rows_of
from tiecoat.testing.workbench import Workbench

if TYPE_CHECKING:
    import pandas as pd
    import pyarrow as pa

REFUSED = Following.REFUSED
KEPT = 5  # rows of each example that are kept of a version of a kind


def fingerprints_in(folder: Path | None) -> dict[str, dict[str, Any]]:
    """Return what was kept; nothing where there is no such file.

    Raises
    ------
    ValueError
        If the file is damaged.
    """
    path = folder / FINGERPRINTS if folder else None
    if path is None or not fsio.is_file(path):
        return {"readers": {}, "kinds": {}, "evaluations": {}}
    try:
        found: dict[str, dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))
    except ValueError as error:
        raise ValueError(f"{path} is damaged ({error}); put it back from your repository") from None
    return {name: found.get(name, {}) for name in ("readers", "kinds", "evaluations")}


def readers_tell_their_version(bench: Workbench) -> Iterator[str]:
    """Rows are those of before, or the reader's version is another."""
    kept = fingerprints_in(bench.asked.exports)["readers"]
    for name, (version, digests) in rows_by_reader(bench).items():
        then = kept.get(name, {})
        if unkept := _unkept(f"reader {name}", version, then):
            yield unkept
            continue
        for example, digest in digests.items():
            if example not in then["rows"]:
                yield f"no fingerprint of {example} is kept: {WRITE} adds it"
            elif then["rows"][example] != digest:
                yield (
                    f"reader {name} gives other rows of {example} than before, and its version is"
                    f" {version} as before: raise it, for it stands beside the rows in the archive"
                )


def _unkept(what: str, version: str, then: Mapping[str, Any]) -> str:
    """Say that nothing is kept of the version of today; "" where something is."""
    if then.get("version") == version:
        return ""
    before = f"of version {then['version']}" if then else "none"
    return (
        f"{what} is of version {version}, and the fingerprints kept of it are {before}: {WRITE}"
        " adds them"
    )


def rows_by_reader(bench: Workbench) -> dict[str, tuple[str, dict[str, str]]]:
    """Return for each reader its version, and a digest of the rows of each example it reads."""
    found: dict[str, tuple[str, dict[str, str]]] = {}
    own = {reader.name for reader in bench.readers}
    for example in bench.sound:
        was = bench.was[example.sha256]
        if was.reader is not None and (was.reader in own or not own):
            version = (was.reading.reader or "").rpartition(" ")[2]
            digest = _digest([row.without(("batch", "panel"))[1:] for row in was.rows])
            found.setdefault(was.reader, (version, {}))[1][example.name] = digest
    return found


def _digest(rows: Sequence[object]) -> str:
    return hashlib.sha256(json.dumps(rows, ensure_ascii=False).encode()).hexdigest()[:32]


def kinds_tell_their_version(bench: Workbench) -> Iterator[str]:
    """A kind is as it was, or its version has risen, and it takes its rows along."""
    kept = fingerprints_in(bench.asked.exports)["kinds"]
    for kind in bench.kinds:
        versions = kept.get(kind.name, {})
        told = versions.get(str(kind.version))
        if told is None:
            higher = [version for version in versions if int(version) > kind.version]
            if higher:
                yield f"kind {kind.name} is of version {kind.version}, and was of {max(higher)}"
            else:
                what = f"version {kind.version} of kind {kind.name}"
                yield f"nothing is kept of {what}: {WRITE} adds it"
        elif (change := change_of(_schema(told, kind), KindLoaded.of(kind))).following is REFUSED:
            yield (
                f"kind {kind.name} has changed ({change}), and its version is {kind.version} as"
                " before: raise it, and give it migrate(frame, from_version)"
            )
        for version, then in versions.items():
            if int(version) < kind.version:
                yield from _migration(bench, kind, int(version), then)


def _migration(
    bench: Workbench, kind: Kind, version: int, told: Mapping[str, Any]
) -> Iterator[str]:
    """Try to take rows of an earlier version along, and compare them with what is read today."""
    what = f"kind {kind.name}, rows of version {version}"
    schema = _schema(told, kind)
    change = change_of(schema, KindLoaded.of(kind))
    if change.following is REFUSED:
        yield f"{what}: {change}. {change.why}"
        return
    for example in bench.sound:
        if example.name not in told["rows"]:
            continue
        then = _table(schema, told["rows"][example.name], example.name)
        after = then
        if change.following is Following.MIGRATED:
            try:
                after = from_stream(migrated(kind, to_stream(then), version))
            except PluginFault as error:
                yield f"{what}: migrate does not take them along: {error}"
                return
        yield from _compared(bench, example, kind, rows_of(kind.name, after), what)


def _compared(
    bench: Workbench, example: ExampleExport, kind: Kind, taken: Sequence[RowTold], what: str
) -> Iterator[str]:
    own = {info.name for info in columns_of(kind)}
    today = [dict(row.values) for row in bench.rows(example) if row.kind == kind.name]
    for row, now in zip(taken, today, strict=False):
        then = dict(row.values)
        for column in sorted(own & then.keys()):
            if then[column] != now.get(column):
                yield (
                    f"{what}: migrate makes {column} {then[column]} of {example.name},"
                    f" {row.place}, and read today it is {now.get(column, 'empty')}"
                )
                return


def _schema(told: Mapping[str, Any], kind: Kind) -> pa.Schema:
    """Return the schema of the tables of a version: its own columns as they were kept."""
    import pyarrow as pa

    moment = arrow_type("time")
    own = [
        pa.field(
            one["name"],
            moment if one["type"] == str(moment) else pa.type_for_alias(one["type"]),
            metadata={"unit": one["unit"], "meaning": one["meaning"], "role": "value"},
        )
        for one in told["columns"]
    ]
    beside = [field for field in schema_of(kind) if told_of(field).role != "value"]
    keys = [field for field in beside if told_of(field).role == "key"]
    fields = [*keys, *own, *(field for field in beside if field not in keys)]
    return pa.schema(fields, metadata=told["kind"])


def _table(schema: pa.Schema, rows: Sequence[Mapping[str, Any]], name: str) -> pa.Table:
    import pyarrow as pa

    columns = []
    for field in schema:
        values = [{**row, "source_name": name}.get(field.name) for row in rows]
        if pa.types.is_timestamp(field.type):
            values = [one and datetime.fromisoformat(one) for one in values]
        columns.append(pa.array(values, field.type))
    return pa.table(columns, schema=schema)


def of_kind(bench: Workbench, kind: Kind) -> dict[str, Any]:
    """Return what is kept of a version of a kind: its schema, and rows of the examples."""
    schema = schema_of(kind)
    own = [info.name for info in columns_of(kind)]
    rows = {}
    for example in bench.sound:
        found = [row for row in bench.rows(example) if row.kind == kind.name][:KEPT]
        if found:
            rows[example.name] = [_typed(row, schema, own) for row in found]
    return {
        "kind": {key.decode(): value.decode() for key, value in schema.metadata.items()},
        "columns": [
            {
                "name": field.name,
                "type": str(field.type),
                "unit": told_of(field).unit,
                "meaning": told_of(field).meaning,
            }
            for field in schema
            if told_of(field).role == "value"
        ],
        "rows": rows,
    }


def _typed(row: RowTold, schema: pa.Schema, own: Sequence[str]) -> dict[str, Any]:
    values: dict[str, Any] = {"source_row": row.row}
    for name, text in row.values:
        if name in own or name in BESIDE:
            values[name] = _value(text, schema.field(name).type)
    return values


def _value(text: str, kept: pa.DataType) -> object:
    import pyarrow as pa

    if pa.types.is_boolean(kept):
        return text == str(True)
    if pa.types.is_integer(kept):
        return int(text)
    return float(text) if pa.types.is_floating(kept) else text


def evaluations_tell_their_version(bench: Workbench) -> Iterator[str]:
    """Results are those of before, or the evaluation's version is another."""
    kept = fingerprints_in(bench.asked.exports)["evaluations"]
    for name, found in results_by_evaluation(bench).items():
        then, version = kept.get(name, {}), found["version"]
        if unkept := _unkept(f"evaluation {name}", version, then):
            yield unkept
        elif then.get("rows") != found["rows"]:
            yield (
                f"evaluation {name} is given other rows than those whose results are kept; what it"
                f" gives of these {WRITE} keeps"
            )
        elif then["results"] != found["results"]:
            yield (
                f"evaluation {name} gives other results of the same rows than before, and its"
                f" version is {version} as before: raise it; where its code is as it was, find what"
                " it builds on that has changed (its kind, a library) first"
            )


def results_by_evaluation(bench: Workbench) -> dict[str, dict[str, str]]:
    """Return for each evaluation its version, and digests of the rows it gets and of what it gives.

    Of rows counts what an evaluation may look at: not which file and measurement they are of.
    """
    from tiecoat.testing.evaluating import computed, frames_of

    found = {}
    for one in bench.evaluations:
        frames = frames_of(bench, one)
        table, wrong = computed(one, frames)
        if table is not None and not wrong:
            given = [_as_texts(rows, _of_origin(rows)) for rows in frames.values()]
            found[one.name] = {
                "version": one.version,
                "rows": _digest(given),
                "results": _digest(_as_texts(table, ["measurement"])),
            }
    return found


def _as_texts(table: pd.DataFrame, without: Sequence[str]) -> list[list[str]]:
    """Return rows as they are compared, in whatever order they come."""
    texts = table.drop(columns=[*without]).astype(object).where(table.notna(), "")
    return sorted(texts.map(as_text).to_numpy().tolist())


def _of_origin(rows: pd.DataFrame) -> list[str]:
    """Return the columns that say which file and measurement rows are of."""
    names = map(str, rows.columns)
    return [one for one in names if one in ("measurement", "reader") or one.startswith("source_")]
