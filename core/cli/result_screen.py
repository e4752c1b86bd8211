"""Results on the screen: no more digits than they are good for, and reasons in plain words."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from rich.markup import escape
from rich.table import Table

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping

    import pandas as pd
    from rich.console import Console

METHODS_SHOWN = 24
DIGITS = 4  # of a value without an uncertainty
AS_POWER = (-3, 6)  # from which powers of ten on a value is written with one
JUDGEMENT = (
    "These results support judgement. They replace neither the standards nor the person who answers"
    " for a release."
)


def show_results(table: pd.DataFrame, console: Console) -> None:
    """Print results, each with its uncertainty, its reason and what must be known of it."""
    if not len(table):
        console.print("There is nothing to compute results from.")
        return
    notes = _notes(table)
    console.print(results_table(table, notes))
    console.print("\n± is the standard error; the interval is the 95 % one.", style="dim")
    for note, number in notes.items():
        console.print(f"{number} {note}", markup=False, highlight=False)
    methods = dict.fromkeys(
        (str(quantity), str(method))
        for quantity, method in zip(table["quantity"], table["method"], strict=True)
        if method
    )
    if len(methods) <= METHODS_SHOWN:
        for quantity, method in methods:
            console.print(f"{quantity}: {method}", style="dim", markup=False, highlight=False)
    else:
        console.print("How each was computed stands in the column method: see --to.", style="dim")
    console.print(JUDGEMENT, style="dim")


def _notes(table: pd.DataFrame) -> dict[str, int]:
    """Return a number for each reason and flag, in the order of the rows."""
    said = (
        note
        for reason, flags in zip(table["reason"], table["flags"], strict=True)
        for note in _said(str(reason), str(flags))
    )
    return {note: number for number, note in enumerate(dict.fromkeys(said), 1)}


def _said(reason: str, flags: str) -> list[str]:
    return [note for note in (reason, *flags.split("; ")) if note]


def results_table(table: pd.DataFrame, notes: Mapping[str, int]) -> Table:
    """Return results as a table for the screen, under a heading for each batch, panel and time."""
    shown = Table(box=None, pad_edge=False)
    shown.add_column("result", overflow="fold", min_width=20)
    for name in ("value", "95 %", "n"):
        shown.add_column(name, justify="right", no_wrap=True)
    shown.add_column("note", overflow="fold", min_width=4)
    heading = None
    for row in table.to_dict("records"):
        if (above := _heading(row)) != heading:
            heading = above
            shown.add_row(f"[bold]{escape(heading)}[/bold]")
        name = f"  {row['quantity']}" + (f" ({row['condition']})" if row["condition"] else "")
        numbers = [str(notes[note]) for note in _said(row["reason"], row["flags"])]
        value, interval = _value_and_interval(row)
        shown.add_row(escape(name), value, interval, str(row["n"]), ", ".join(numbers))
    return shown


def _heading(row: Mapping[Hashable, Any]) -> str:
    whose: str = row["panel"] or row["batch"] or "all batches"
    return whose if math.isnan(row["exposure_h"]) else f"{whose} after {row['exposure_h']:g} h"


def _value_and_interval(row: Mapping[Hashable, Any]) -> tuple[str, str]:
    """Return both; bounds of what has no value stand in its place, for they are not 95 % ones."""
    text = value_text(row["value"], row["standard_error"])
    interval = interval_text(row["low"], row["high"], row["standard_error"])
    unknown = math.isnan(row["value"])
    if unknown and interval:
        text, interval = interval, ""
    has_unit = row["unit"] not in {"", "1"} and not (unknown and text == value_text(math.nan))
    return (escape(f"{text} {row['unit']}") if has_unit else text), interval


def value_text(value: float, error: float = math.nan) -> str:
    """Return a value with as many digits as its standard error leaves certain.

    Two digits of the error are kept; a value without an error has four.

    Examples
    --------
    >>> value_text(7.711588, 0.176089), value_text(7.711588), value_text(math.nan)
    ('7.71 ± 0.18', '7.712', '–')
    >>> value_text(3.2158e8, 1.24e7), value_text(6.0)
    ('(3.22 ± 0.12)e+08', '6')
    """
    if math.isnan(value):
        return "–"
    if not (math.isfinite(error) and error > 0):
        return f"{value:.{DIGITS}g}"
    power = _power(value, error)
    decimals = _decimals(error, power)
    text = f"{value / 10**power:.{decimals}f} ± {error / 10**power:.{decimals}f}"
    return f"({text})e{power:+03d}" if power else text


def interval_text(low: float, high: float, error: float = math.nan) -> str:
    """Return an interval in the digits of its value.

    Examples
    --------
    >>> interval_text(7.258936, 8.164239, 0.176), interval_text(7.2589, math.nan)
    ('7.26 to 8.16', 'above 7.259')
    """
    ends = []
    for end in (low, high):
        if math.isfinite(error) and error > 0 and math.isfinite(end) and not _power(end, error):
            ends.append(f"{end:.{_decimals(error, 0)}f}")
        else:
            ends.append(f"{end:.{DIGITS}g}")
    if math.isnan(low) and math.isnan(high):
        return ""
    if math.isnan(high):
        return f"above {ends[0]}"
    return f"below {ends[1]}" if math.isnan(low) else f"{ends[0]} to {ends[1]}"


def _power(value: float, error: float) -> int:
    """Return the power of ten with which to write a value and its error; 0 for handy numbers."""
    power = math.floor(math.log10(max(abs(value), error)))
    return 0 if AS_POWER[0] <= power < AS_POWER[1] else power


def _decimals(error: float, power: int) -> int:
    """Return after how many decimals the second digit of the error stands."""
    return max(0, 1 + power - math.floor(math.log10(error)))
