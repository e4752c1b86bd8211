"""Measurements of one kind, of many files at once: completed, compared and checked by pandera.

One frame a kind and one validation a frame make this cheap. Each row remembers its file, so that a
fault finds its way back: the file with the fault is held, the others of the frame stay valid.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from tiecoat.contract.columns import MAY_BE_EMPTY, columns_of, validator_of
from tiecoat.errors import FileHeld
from tiecoat.extend.blame import blame
from tiecoat.intake.workers.gate import Piece
from tiecoat.plugin import Kind
from tiecoat.reasons import Fault, Reason
from tiecoat.wording import shortened, unit_told

if TYPE_CHECKING:
    from numpy.typing import NDArray

_LONGEST = 60  # characters of a text that are shown
_BOUNDS = {
    "greater_than": "above",
    "greater_than_or_equal_to": "at least",
    "less_than": "below",
    "less_than_or_equal_to": "at most",
}


@dataclass
class FaultsFound:
    """What is wrong: at positions of a frame, with whole files, and with reader or kind.

    `broken` maps a file to the words for whoever wrote its reader or kind.
    """

    at: list[tuple[int, Fault]] = field(default_factory=list)
    whole: list[tuple[int, Fault]] = field(default_factory=list)
    broken: dict[int, tuple[Reason, str]] = field(default_factory=dict)


@dataclass(frozen=True)
class RowSource:
    """A file that rows come from: its number in the chunk, and what the rows remember of it."""

    file: int
    sha256: str
    name: str
    reader: str


@dataclass(frozen=True)
class Rows:
    """The rows of one kind, one after the other: `frame` has its columns, the rest says whose.

    `file` and `piece` are for each row the number of its file, and the place of its piece in
    `pieces` and `sources`; `row` is the row of the original.
    """

    kind: Kind
    pieces: Sequence[Piece]
    sources: Sequence[RowSource]
    frame: pd.DataFrame
    file: NDArray[np.intp]
    piece: NDArray[np.intp]
    row: NDArray[np.int32]


def assemble(kind: Kind, pieces: Sequence[Piece], sources: Sequence[RowSource]) -> Rows:
    """Return the rows of pieces of one kind, one after the other."""
    lengths = [len(piece.rows) for piece in pieces]
    columns = {}
    for info in columns_of(kind):
        parts = [piece.columns[info.name] for piece in pieces]
        if info.type == "str":
            texts = [text for part in parts for text in part]
            columns[info.name] = pd.Series(texts, dtype="str")
        elif info.type in MAY_BE_EMPTY:
            values = [value for part in parts for value in part]
            columns[info.name] = pd.Series(values, dtype=MAY_BE_EMPTY[info.type])
        else:
            columns[info.name] = pd.Series(np.concatenate(parts))
            if info.type == "time":
                columns[info.name] = columns[info.name].dt.tz_localize("UTC")
    return Rows(
        kind,
        pieces,
        sources,
        pd.DataFrame(columns),
        np.repeat(np.asarray([source.file for source in sources], dtype=np.intp), lengths),
        np.repeat(np.arange(len(pieces)), lengths),
        np.concatenate([piece.rows for piece in pieces]),
    )


def validate(rows: Rows) -> tuple[Rows, dict[int, list[Fault]], dict[int, tuple[Reason, str]]]:
    """Return the completed rows, the faults of each file in its order, and what broke down.

    The rows of a file with faults are still there, and not to be filed.
    """
    findings = FaultsFound()
    rows = replace(rows, frame=_derived(rows, findings))
    return rows, *_faults(rows, findings)


def faults_in(rows: Rows) -> tuple[dict[int, list[Fault]], dict[int, tuple[Reason, str]]]:
    """Return the faults of rows that are complete, and what broke down, as `validate` does."""
    return _faults(rows, FaultsFound())


def _faults(
    rows: Rows, findings: FaultsFound
) -> tuple[dict[int, list[Fault]], dict[int, tuple[Reason, str]]]:
    findings.at += _infinite(rows.frame)
    _identity(rows, findings)
    findings.at += _repeated(rows)
    _by_pandera(rows, np.arange(len(rows.frame)), findings)
    _within(rows, findings)
    _between(rows, findings)
    return _by_file(rows, findings), findings.broken


def _derived(rows: Rows, findings: FaultsFound) -> pd.DataFrame:
    """Return the frame completed by its kind; what it refuses stays as it is."""
    if rows.kind.derive is None:
        return rows.frame
    parts = []
    left = [np.arange(len(rows.frame))]
    refused: set[int] = set()  # files: at first their faulty rows are set aside, then all of them
    while left:
        positions = left.pop()
        try:
            parts.append(_derive(rows.kind, rows.frame.iloc[positions]))
        except FileHeld as held:
            faulty = _refused(held, rows, positions, findings)
            if faulty is None:
                left += _file_by_file(rows, positions)
                continue
            aside = np.isin(positions, faulty) | np.isin(rows.file[positions], list(refused))
            refused |= set(rows.file[faulty].tolist())
            if not aside.all():
                left.append(positions[~aside])
        except KeyboardInterrupt:
            raise
        except BaseException as error:  # noqa: BLE001 - a kind may be a stranger's code
            left += _broken(rows, positions, findings, error)
    if len(parts) == 1 and len(parts[0]) == len(rows.frame):
        return parts[0]
    completed = pd.concat(parts) if parts else rows.frame.iloc[:0]
    rest = rows.frame.drop(completed.index)
    return pd.concat([completed, rest]).sort_index().reset_index(drop=True)


def _derive(kind: Kind, part: pd.DataFrame) -> pd.DataFrame:
    assert kind.derive is not None
    with np.errstate(all="ignore"):
        derived = kind.derive(part.reset_index(drop=True))
    if not isinstance(derived, pd.DataFrame) or len(derived) != len(part):
        raise TypeError("derive returned something else than a frame of as many rows")
    if list(map(str, derived.dtypes)) != list(map(str, part.dtypes)):
        raise TypeError("derive changed the type of a column")
    if list(derived.columns) != list(part.columns):
        raise TypeError("derive added, lost or moved columns")
    return derived.set_axis(part.index)


def _refused(
    held: FileHeld, rows: Rows, positions: NDArray[np.intp], findings: FaultsFound
) -> NDArray[np.intp] | None:
    """Note what derive refused and return the positions; None if it does not say where."""
    if held.faults and all(
        fault.row is not None and 0 <= fault.row < len(positions) for fault in held.faults
    ):
        faulty = positions[[fault.row or 0 for fault in held.faults]]
        findings.at += zip(faulty.tolist(), held.faults, strict=True)
        return faulty
    files = np.unique(rows.file[positions])
    if len(files) > 1:
        return None
    findings.whole += [(int(files[0]), fault) for fault in held.faults or (Fault(held.reason),)]
    return positions


def _broken(
    rows: Rows, positions: NDArray[np.intp], findings: FaultsFound, error: BaseException
) -> list[NDArray[np.intp]]:
    """Note a breakdown of the kind's own code; of several files return each, to find the one."""
    files = np.unique(rows.file[positions])
    if len(files) > 1:
        return _file_by_file(rows, positions)
    said = f"kind {rows.kind.name} {rows.kind.version}: {blame(error)}"
    findings.broken[int(files[0])] = (Reason.READER_FAILED, said)
    return []


def _file_by_file(rows: Rows, positions: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    of = rows.file[positions]
    return [positions[of == file] for file in np.unique(of)]


def _infinite(frame: pd.DataFrame) -> Iterator[tuple[int, Fault]]:
    for name in frame.columns:
        if frame[name].dtype == np.float64:
            values = frame[name].to_numpy()
            for position in np.flatnonzero(np.isinf(values)).tolist():
                yield (
                    position,
                    Fault(
                        Reason.OUT_OF_BOUNDS, None, name, str(values[position]), "a finite number"
                    ),
                )


def _identity(rows: Rows, findings: FaultsFound) -> None:
    """A measurement has one identity; a reader that mixes two has not told them apart."""
    first = np.searchsorted(rows.piece, rows.piece)  # for each row the first row of its piece
    for name in rows.kind.identity:
        values = rows.frame[name]
        starts = values.iloc[first].reset_index(drop=True)
        same = (values == starts).fillna(False) | (values.isna() & starts.isna())
        changes = ~same.to_numpy(dtype=bool)
        for position in np.flatnonzero(changes).tolist():
            if (file := int(rows.file[position])) in findings.broken:
                continue
            said = (
                f"column {name!r} changes within one measurement at row {rows.row[position]}: "
                f"{_shown(starts.iloc[position])}, then {_shown(values.iloc[position])}; "
                "expected a new measurement there"
            )
            findings.broken[file] = (Reason.READER_BROKE_RULES, said)


def arrays_of(frame: pd.DataFrame) -> dict[str, Any]:
    """Return the columns of a frame as a kind is given them to be checked."""
    arrays: dict[str, Any] = {}
    for name in frame.columns:
        match str(frame[name].dtype):
            case "Int64":
                arrays[name] = frame[name].to_numpy(dtype=np.float64, na_value=np.nan)
            case "boolean":
                values = frame[name].astype(object)
                arrays[name] = values.where(values.notna(), None).to_numpy()
            case _:
                arrays[name] = frame[name].to_numpy()
    return arrays


def _within(rows: Rows, findings: FaultsFound) -> None:
    """Ask the kind what contradicts itself within a measurement."""
    if rows.kind.check is None or not len(rows.frame):
        return
    arrays = arrays_of(rows.frame)
    starts = np.searchsorted(rows.piece, np.arange(len(rows.pieces)))
    stops = np.append(starts[1:], len(rows.piece))
    for start, stop in zip(starts.tolist(), stops.tolist(), strict=True):
        if start < stop:
            _ask(rows, findings, rows.kind.check, arrays, np.arange(start, stop))


def _between(rows: Rows, findings: FaultsFound) -> None:
    """Ask the kind what contradicts itself between the measurements of a file."""
    if rows.kind.together is None or not len(rows.frame):
        return
    arrays = arrays_of(rows.frame)
    pieces = [rows.pieces[at] for at in rows.piece.tolist()]
    for name in ("batch", "panel"):
        arrays[name] = np.array([getattr(piece.keys, name) for piece in pieces], dtype=object)
    moments = [piece.measured_at for piece in pieces]
    arrays["measured_at"] = np.array(
        [
            np.datetime64("NaT") if at is None else at.astimezone(UTC).replace(tzinfo=None)
            for at in moments
        ],
        dtype="datetime64[us]",
    )
    arrays["row"] = rows.row
    for file in np.unique(rows.file).tolist():
        _ask(rows, findings, rows.kind.together, arrays, np.flatnonzero(rows.file == file))


def _ask(
    rows: Rows,
    findings: FaultsFound,
    check: Callable[[Mapping[str, Any]], Iterable[Fault]],
    arrays: Mapping[str, Any],
    positions: NDArray[np.intp],
) -> None:
    """Ask one check of the kind about some rows of one file."""
    file = int(rows.file[positions[0]])
    if file in findings.broken:
        return
    try:
        told = list(check({name: values[positions] for name, values in arrays.items()}))
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # noqa: BLE001 - a kind may be a stranger's code
        said = f"kind {rows.kind.name} {rows.kind.version}: {blame(error, check)}"
        findings.broken[file] = (Reason.READER_FAILED, said)
        return
    findings.at += [(int(positions[fault.row or 0]), fault) for fault in told]


def _repeated(rows: Rows) -> Iterator[tuple[int, Fault]]:
    names = list(rows.kind.unique)
    if not names:
        return
    keys = rows.frame[names].assign(measurement=rows.piece)
    numbers = [name for name in names if rows.frame[name].dtype != "str"]
    again = keys.duplicated().to_numpy() & rows.frame[numbers].notna().all(axis=1).to_numpy()
    if not again.any():
        return
    group = keys.groupby(list(keys.columns), dropna=False, sort=False).ngroup().to_numpy()
    _, first, which = np.unique(group, return_index=True, return_inverse=True)
    earlier = first[which]
    for position in np.flatnonzero(again).tolist():
        shared = ", ".join(f"{name} {_shown(rows.frame[name].iloc[position])}" for name in names)
        yield (
            position,
            Fault(
                Reason.REPEATED_ROW,
                None,
                names[-1],
                f"{shared} as in row {rows.row[earlier[position]]}",
                "one row for each",
            ),
        )


def _by_pandera(rows: Rows, positions: NDArray[np.intp], findings: FaultsFound) -> None:
    """Validate rows by the model of the kind; file by file where a check does not say where."""
    from pandera.config import ValidationDepth, config_context
    from pandera.errors import SchemaErrors

    schema = validator_of(rows.kind)
    frame = rows.frame.iloc[positions]
    # an environment variable can switch pandera off; here it may not
    depth = ValidationDepth.SCHEMA_AND_DATA
    try:
        with config_context(validation_enabled=True, validation_depth=depth):
            schema.validate(frame, lazy=True)
    except SchemaErrors as errors:
        cases = errors.failure_cases
        if not cases["index"].isna().any():
            findings.at += _cases(cases, schema, rows.kind)
            return
        said = ValueError(f"check {cases['check'].iloc[0]}: {cases['failure_case'].iloc[0]}")
        for of_file in _broken(rows, positions, findings, said):
            _by_pandera(rows, of_file, findings)


def _cases(cases: pd.DataFrame, schema: Any, kind: Kind) -> Iterator[tuple[int, Fault]]:
    """Translate pandera's failure cases; their columns are taken by name, as the order changes."""
    infos = {info.name: info for info in columns_of(kind)}
    phrases: dict[str, str] = {}
    named = zip(cases["index"], cases["column"], cases["check"], cases["failure_case"], strict=True)
    for position, column, check, value in named:
        if column not in infos:  # a check of the whole frame
            yield int(position), Fault(Reason.OUT_OF_BOUNDS, None, None, None, str(check))
        elif check == "not_nullable":
            fault = Fault(
                Reason.MISSING_VALUE, None, column, "nothing", f"a value: {infos[column].meaning}"
            )
            yield int(position), fault
        else:
            unit = unit_told(infos[column].unit)
            if column not in phrases:
                phrases[column] = phrase(schema.columns[column].checks, unit)
            found = _shown(value, unit)
            yield int(position), Fault(Reason.OUT_OF_BOUNDS, None, column, found, phrases[column])


def allowed_by(kind: Kind) -> dict[str, str]:
    """Return in words what each column of a kind may hold; "" for anything of its type."""
    declared = kind.model.to_schema().columns
    said = {}
    for info in columns_of(kind):
        words = [phrase(declared[info.name].checks, unit_told(info.unit))]
        words += [] if info.nullable else ["never empty"]
        said[info.name] = ", ".join(filter(None, words))
    return said


def phrase(checks: Iterable[Any], unit: str) -> str:
    """Return in words what a column expects: `between 0.5 and 4 g/cm**3`, `one of: up, down`."""
    low: list[tuple[str, str]] = []
    high: list[tuple[str, str]] = []
    others = []
    for check in checks:
        known = check.statistics or {}
        if check.name in _BOUNDS:
            (bound,) = known.values()
            side = low if check.name.startswith("greater") else high
            side.append((_BOUNDS[check.name], _shown(bound)))
        elif check.name == "isin":
            others.append("one of: " + ", ".join(str(value) for value in known["allowed_values"]))
        else:
            others.append(str(check.error or check.name))
    if [word for word, _ in low + high] == ["at least", "at most"]:
        bounds = [f"between {low[0][1]} and {high[0][1]}"]
    else:
        bounds = [f"{word} {bound}" for word, bound in low + high]
    said = " and ".join(bounds)
    return "; ".join([f"{said} {unit}".rstrip()] * bool(said) + others)


def _shown(value: Any, unit: str = "") -> str:
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, int | np.integer):
        return f"{value} {unit}".rstrip()
    if isinstance(value, float):
        return f"{value:.10g} {unit}".rstrip()
    if not isinstance(value, str):
        return "nothing" if pd.isna(value) else str(value)
    return repr(shortened(value, _LONGEST))


def _by_file(rows: Rows, findings: FaultsFound) -> dict[int, list[Fault]]:
    """Return the faults of each file: one a cell, in the order of the rows, with the true row."""
    faults: dict[int, list[Fault]] = {}
    for file, fault in findings.whole:
        faults.setdefault(file, []).append(fault)
    seen: set[tuple[int, str | None]] = set()
    place: Callable[[tuple[int, Fault]], int] = lambda found: found[0]  # noqa: E731
    for position, fault in sorted(findings.at, key=place):
        if fault.column is not None and (position, fault.column) in seen:
            continue
        seen.add((position, fault.column))
        sheet = rows.pieces[rows.piece[position]].keys.sheet
        placed = replace(fault, row=int(rows.row[position]), sheet=sheet)
        faults.setdefault(int(rows.file[position]), []).append(placed)
    return faults
