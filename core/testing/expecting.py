"""Is what is filed of the examples what a person expects, and does it stay so?"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

from tiecoat.ask.query import open_archive
from tiecoat.contract.columns import columns_of
from tiecoat.disk import fsio
from tiecoat.errors import UnknownName
from tiecoat.intake.outcome import FileStatus
from tiecoat.plugin import Kind
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.testing.examples import WRITE, ExampleExport, NotAsExpected, expected_rows
from tiecoat.testing.rows_told import (
    BESIDE,
    RowTold,
    difference,
    factor_between,
    rows_of,
    same_rows,
)
from tiecoat.testing.workbench import WasRead, Workbench
from tiecoat.verify.verify import verify

KEYED = ("batch", "panel", "remark")  # what is known of a row only once it is filed
SHOWN = 3  # rows that are told of a file


def rows_are_as_expected(bench: Workbench) -> Iterator[str]:
    """Each example gives the rows that stand beside it."""
    for example in bench.good:
        was = bench.was[example.sha256]
        if was.hold is not None:
            yield f"{example.name} is held: {was.told}"
            continue
        for kind in sorted({row.kind for row in was.rows} - example.expected.keys()):
            yield (
                f"{example.name}: nothing says which rows of {kind} are expected; {WRITE} writes"
                f" {example.expected_in(kind).name} from what is read now: look it through"
            )
        for kind, path in example.expected.items():
            found = [row.without(KEYED) for row in was.rows if row.kind == kind]
            yield from _compared(bench, example.name, kind, path, found, passed_over=KEYED)


def _compared(
    bench: Workbench,
    name: str,
    kind: str,
    path: Path,
    found: Iterable[RowTold],
    *,
    passed_over: Collection[str] = (),
) -> Iterator[str]:
    """Tell how rows differ from those of a file."""
    if kind not in bench.plugins.kinds:
        known = ", ".join(sorted(bench.plugins.kinds))
        yield f"{path.name}: there is no kind {kind!r}; there are {known}"
        return
    of = bench.plugins.kinds[kind]
    try:
        wanted, columns, looked_at = expected_rows(path, of)
    except NotAsExpected as error:
        yield str(error)
        return
    if not looked_at:
        yield f"{path.name} was written from what was read, and nobody has looked it through yet"
    found = list(found)
    untold = sorted({key for row in found for key, _ in row.values} - columns - {*BESIDE})
    if untold:
        yield f"{name}: column {untold[0]!r} is filled, and {path.name} does not have it"
    told = [row.without({key for key, _ in row.values} - columns) for row in found]
    wanted = [row.without(passed_over) for row in wanted]
    sheets = any(row.sheet for row in wanted)
    told = told if sheets else [row._replace(sheet=None) for row in told]
    if not same_rows(wanted, told):
        factor = factor_between(wanted, told, {one.name: one.unit for one in columns_of(of)})
        yield f"{name}: expected and found differ: {difference(wanted, told)}{factor}"


def broken_are_held(bench: Workbench) -> Iterator[str]:
    """Each example in `broken` is held for the reason in its name."""
    for example in bench.examples:
        if not example.broken:
            continue
        reason = example.reason
        if reason is None:
            yield (
                f"broken/{example.name}: its name does not begin with the code of a reason, such as"
                " not-a-number.overload.csv"
            )
        found, told = _why_held(bench, example, bench.was[example.sha256])
        if found is None:
            yield f"broken/{example.name} is not held: {told}"
        elif reason is not None and found != reason.code:
            yield f"broken/{example.name} is held for {found}, expected {reason.code}: {told}"


def _why_held(bench: Workbench, example: ExampleExport, was: WasRead) -> tuple[str | None, str]:
    if was.hold is not None:
        return was.hold.reason, was.told
    held = bench.would_hold(example.file)  # an id that cannot be is found behind the workers
    return (held.reason.code, str(held.detail)) if held else (None, was.told)


def filed_and_read_back(bench: Workbench) -> Iterator[str]:
    """What is filed is read back as it is expected, and proved."""
    for example in bench.sound:
        outcome = bench.taken_in.get(example.name)
        if outcome and outcome.status is FileStatus.KNOWN:
            continue  # another example gives the same determinations, and the same values
        if outcome is None or outcome.status is not FileStatus.FILED:
            yield f"{example.name} is not filed: {outcome.line if outcome else 'nothing is told'}"
            continue
        for kind, path in example.expected.items():
            if kind in bench.plugins.kinds:
                found = filed(bench, bench.plugins.kinds[kind], example.name)
                yield from _compared(bench, f"{example.name}, filed", kind, path, found)
    for one in verify(bench.lab).findings if bench.taken_in else ():
        yield f"the archive does not prove: {one.where} {one.said}"


def filed(bench: Workbench, kind: Kind, name: str = "") -> list[RowTold]:
    """Return the rows of a kind as they stand in the archive, of one export or of all."""
    try:
        table = open_archive(bench.lab.root).arrow(kind.name).to_table()
    except UnknownName:
        return []
    if name:
        table = table.filter([one == name for one in table["source_name"].to_pylist()])
    return rows_of(kind.name, table)


def rebuilt_alike(bench: Workbench) -> Iterator[str]:
    """The archive is the same when it is made again from the originals."""
    if not bench.taken_in:
        return
    kinds = [kind for name, kind in bench.plugins.kinds.items() if _is_filed(bench, name)]
    before = {kind.name: filed(bench, kind) for kind in kinds}
    made = rebuild(bench.lab, "the author's kit")
    for one in made.differences.otherwise[:SHOWN]:
        changes = made.changes.get(one.measurement, ())
        yield f"a rebuild reads {one.measurement} otherwise: {'; '.join(changes) or one}"
    for name, _ in [*made.differences.gone.items()][:SHOWN]:
        yield f"a rebuild does not give {name} again"
    for held in made.differences.held[:SHOWN]:
        yield f"a rebuild holds {held.name}: {held.reason.text}"
    if made.swapped:
        for kind in kinds:
            if told := difference(before[kind.name], filed(bench, kind)):
                yield f"{kind.name} is otherwise after a rebuild: {told}"


def _is_filed(bench: Workbench, kind: str) -> bool:
    return fsio.is_folder(bench.lab.archive / kind)
