"""Tables on the screen, for the commands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.table import Table
from rich.text import Text

from tiecoat.intake.held.files import Held, explain
from tiecoat.remarks import summed
from tiecoat.wording import counted, listed

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.ask.contents import ArchiveHolds
    from tiecoat.ask.overlay import Overlay
    from tiecoat.intake.trying import Trial
    from tiecoat.lab.settings import Lab

ROWS_SHOWN = 12
WIDEST_TEXT = 30  # columns of a text that is broken between its words
BETWEEN_COLUMNS = 2
OF_NO_INTEREST = ("source_", "withdrawn", "superseded_by", "reader")


def show_overlays(count: int, overlays: Iterable[Overlay], lab: Lab, console: Console) -> int:
    """Print each overlay as it is done, with the progress below; return how many there are not."""
    missing = 0
    with Progress(
        TextColumn("drawing"), BarColumn(), MofNCompleteColumn(), console=console, transient=True
    ) as progress:
        for overlay in progress.track(overlays, total=count):
            missing += overlay.path is None
            where = str(overlay.path.relative_to(lab.root)) if overlay.path else "not drawn"
            said = "; ".join(part for part in (where, overlay.remark) if part)
            progress.console.print(
                Text.assemble((overlay.name, "bold"), "\n  ", said), soft_wrap=True
            )
    drawn = counted(count - missing, "picture")
    console.print(f"{drawn} in {lab.root / 'overlays'}", soft_wrap=True)
    return missing


def show_held(held: Sequence[Held], console: Console) -> None:
    """Print the held files, the oldest first, each with its reason and its first fault."""
    for one in held:
        since = one.held_at[:16].replace("T", " ")
        heading = Text.assemble((one.id, "bold"), "  ", one.name, (f"  since {since} UTC", "dim"))
        console.print(heading, soft_wrap=True)
        console.print(Padding(Text(one.reason.text, "yellow"), (0, 0, 0, 4)))
        if one.faults and one.faults[0].sentence != one.reason.text:
            more = f" (and {one.total - 1:,} more)" if one.total > 1 else ""
            console.print(Padding(Text(one.faults[0].sentence + more), (0, 0, 0, 4)))


def contents_table(holds: ArchiveHolds) -> Table:
    """Return what the archive holds: measurements and rows of each kind, over how many batches."""
    table = Table(box=None, pad_edge=False)
    table.add_column("kind")
    for title in ("batches", "panels", "measurements", "rows"):
        table.add_column(title, justify="right")
    table.add_column("measured (UTC)")
    for one in holds.kinds:
        days = dict.fromkeys(f"{at:%Y-%m-%d}" for at in (one.first, one.last) if at)
        span = " to ".join(days)
        counts = (one.batches, one.panels, one.measurements, one.rows)
        table.add_row(one.kind, *(f"{count:,}" for count in counts), span)
    return table


def show_contents(holds: ArchiveHolds, console: Console) -> None:
    """Print what the archive holds, and below it what is remarked on the measurements."""
    console.print(contents_table(holds))
    show_remarks(holds.remarks, console)


def show_remarks(remarks: Iterable[str] | Mapping[str, int], console: Console) -> None:
    """Print the remarks on measurements: how many have one, and each code.

    Parameters
    ----------
    remarks
        One text each, or how many have each text.
    """
    texts = Counter(remarks)
    if texts:
        total = counted(texts.total(), "measurement")
        console.print(f"\n{total} with a remark, which every result carries:")
    for line in summed(texts):
        console.print(f"  {line}", markup=False, highlight=False)


def show_trial(trial: Trial, console: Console) -> None:
    """Print who claims the file and why, the rows that would be filed, and each fault."""
    from tiecoat.intake.checks.checker import remarks_in

    beside = f" with {listed(trial.beside, ' and ')}" if trial.beside else ""
    console.print(escape(trial.name + beside), style="bold")
    winner = trial.reader.split(" ")[0] if trial.reader else None
    for reader, _, why in trial.claims:
        if reader == winner:
            console.print(f"read by {reader}: {why}", markup=False, highlight=False)
    for problem in trial.problems:
        console.print(f"left out: {problem}", markup=False, style="yellow")
    for kind, rows in trial.rows.items():
        console.print()
        for table in _rows_tables(kind, rows, console.width):
            console.print(table)
    show_remarks(remarks_in(trial.rows), console)
    console.print()
    if trial.held:
        console.print(f"It would be held: {trial.held.reason.text}.", style="yellow")
        print(explain(trial.held).split("\n\n", 1)[1].split("What to do next")[0].strip())
        console.print(f"What to do: {trial.held.reason.advice}", markup=False)
    if trial.awaits[1]:
        more = listed(trial.awaits[0], " and ")
        said = f"An inbox would wait {trial.awaits[1]:g} s for {more} beside it first."
        console.print(said, markup=False, highlight=False)
    if not trial.held:
        count = sum(rows.num_rows for rows in trial.rows.values())
        said = f"{counted(count, 'row')} would be filed. Nothing was filed now."
        console.print(said, style="green")


def _rows_tables(kind: str, rows: pa.Table, width: int) -> Iterator[Table]:
    """Return the first rows, without columns that are empty or only tell the origin.

    Columns that do not fit beside each other stand below, so that no id, number or time is broken.
    """
    shown = [
        name
        for name in rows.column_names
        if not name.startswith(OF_NO_INTEREST) and rows[name].null_count < len(rows)
    ]
    heading = f"{kind}: {counted(rows.num_rows, 'row')}"
    if rows.num_rows > ROWS_SHOWN:
        heading = f"{kind}: the first {ROWS_SHOWN} of {rows.num_rows:,} rows"
    first = rows.slice(0, ROWS_SHOWN).to_pylist()
    places = [str(row["source_row"]) for row in first]
    cells = {name: [_cell(row[name]) for row in first] for name in shown}
    for names in _side_by_side(cells, width - max(map(len, ["row", *places]))):
        table = Table(box=None, pad_edge=False, title=heading, title_justify="left")
        table.add_column("row", justify="right", style="dim")
        for name in names:
            most = _width(name, cells[name])
            table.add_column(name, overflow="fold", min_width=most, max_width=most)
        for place, *of_row in zip(places, *(cells[name] for name in names), strict=True):
            table.add_row(place, *map(escape, of_row))
        heading = ""
        yield table


def _side_by_side(cells: Mapping[str, Sequence[str]], width: int) -> Iterator[list[str]]:
    """Return names of columns in groups that fit into a width, at least one in each."""
    group: list[str] = []
    taken = 0
    for name, of_column in cells.items():
        more = BETWEEN_COLUMNS + _width(name, of_column)
        if group and taken + more > width:
            yield group
            group, taken = [], 0
        group.append(name)
        taken += more
    if group:
        yield group


def _width(name: str, cells: Sequence[str]) -> int:
    """Return how wide a column must be: for its longest word, and for texts up to a limit."""
    words = (len(word) for cell in cells for word in cell.split())
    return max(len(name), *words, *(min(len(cell), WIDEST_TEXT) for cell in cells))


def _cell(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.6g}" if isinstance(value, float) else str(value)
