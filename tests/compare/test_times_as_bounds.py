"""Times of which only a bound is known are told as such: on the screen, the page, in the tables."""

from __future__ import annotations

import io
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest
from rich.console import Console
from study_tables import NONE_FILED, register

from tiecoat.ask.study_data import no_panels
from tiecoat.cli.verdict_screen import show_verdicts
from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import VerdictWord
from tiecoat.evaluate.result import results, together
from tiecoat.report.conclusions import candidate_rows
from tiecoat.report.first_page import AnswerTo, first_page
from tiecoat.report.verdict_page import overview

LIMIT = "below 1e+08 ohm cm2 at 0.1 Hz"
STUDY = '[[property]]\nname = "time to a limit"\nmargin_percent = 50\n'
FOLLOWED_H, NAN = 336.0, float("nan")


def times(batch: str, ends: list[tuple[float, float]]) -> pd.DataFrame:
    """Return the time of each panel, as it is known: NaN where an end is open."""
    keys = {"batch": batch, "panel": [f"{batch}-{place}" for place, _ in enumerate(ends, 1)]}
    low, high = ([one[end] for one in ends] for end in (0, 1))
    reason = ["known as an interval"] * len(ends)
    values = [NAN] * len(ends)
    return results(
        "time_to_limit", keys, values, "h", condition=LIMIT, low=low, high=high, reason=reason
    )


NEVER, AT_ONCE, BETWEEN = (FOLLOWED_H, NAN), (NAN, 24.0), (72.0, 168.0)


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    """A control that holds, films dead by the first day, and some that fall in the first week."""
    return compare(
        load_study(STUDY),
        results={
            "impedance": together(
                [
                    times("RB-010", [NEVER] * 6),
                    times("RB-011", [AT_ONCE] * 6),
                    times("RB-012", [BETWEEN] * 6),
                    times("RB-013", [BETWEEN, NEVER, NEVER, NEVER, NEVER, NEVER]),
                ]
            )
        },
        batches=register(["RB-010", "RB-011", "RB-012", "RB-013"]),
        panels=no_panels(),
        filed=NONE_FILED,
    )


def data_of(comparison: Comparison) -> Any:
    """Return what the first page asks of a study: its comparison, without a ranking."""
    return SimpleNamespace(
        comparison=comparison, ranking=None, no_ranking="too few", recommendations=[]
    )


def test_the_screen_tells_a_control_that_holds_as_above_its_last_look(
    comparison: Comparison,
) -> None:
    """No panel of the control crossed the limit by 336 h: that is no median of 336 h."""
    console = Console(file=io.StringIO(), width=200)
    show_verdicts(comparison, console, everything=True)
    assert isinstance(console.file, io.StringIO)
    shown = console.file.getvalue()
    assert "control RB-010: above 336 h, n 6" in shown
    assert "× 0" not in shown
    assert "∞" not in shown


def test_the_first_page_tells_a_dead_film_by_the_bound_of_its_ratio(comparison: Comparison) -> None:
    """No ratio is known where one side had all failed by the first look; "× 0" is none."""
    nothing: Any = SimpleNamespace(held=(), missing=())
    page = first_page(data_of(comparison), candidate_rows(data_of(comparison), []), nothing)
    blocks = {one.of: list(one.sentences) for one in page}
    (dead,) = (one for one in blocks[AnswerTo.HARM] if one.startswith("RB-011"))
    (verdict,) = (one for one in comparison.verdicts if one.batch == "RB-011")
    assert verdict.outcome is VerdictWord.WORSE
    assert (verdict.effect, verdict.low) == (0, 0)
    assert dead.partition(" is worse on ")[2] == (
        f"time to a limit (below {verdict.high:.2g})."
        if verdict.standing.value == "firm"
        else f"time to a limit (below {verdict.high:.2g}), {verdict.condition}."
    )


def test_the_overview_shows_the_interval_where_the_ratio_is_open(comparison: Comparison) -> None:
    """A dash for the ratio, and on which side of what it lies."""
    cells = {batch: cell for batch, _, (cell,) in overview(comparison)}
    assert cells["RB-011"] is not None
    assert cells["RB-011"].effect == "–"
    assert cells["RB-011"].interval.startswith("below 0.")


def test_the_table_says_on_which_side_the_medians_lie(comparison: Comparison) -> None:
    """336 h of the control lies below its median, 24 h of the dead above; 120 h is one."""
    table = comparison.table().set_index("batch")
    told = table[["value", "side", "value_control", "side_control"]].apply(tuple, axis=1).to_dict()
    assert told == {
        "RB-011": (24.0, "below", 336.0, "above"),
        "RB-012": (120.0, "", 336.0, "above"),
        "RB-013": (336.0, "above", 336.0, "above"),
    }
