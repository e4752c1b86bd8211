"""What stands on the page of a report, in the words in which it stands there."""

from __future__ import annotations

import math
import platform
from collections.abc import Mapping, Sequence
from datetime import date
from importlib.metadata import version

import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.dose import Trend
from tiecoat.compare.verdict import VerdictWord
from tiecoat.report.conclusions import answers, candidate_rows, question
from tiecoat.report.labels import (
    OUTCOME_WORDS,
    difference_unit,
    interval,
    number,
    p_text,
    recipe_words,
)
from tiecoat.report.origins import Origin
from tiecoat.report.quality import Quality
from tiecoat.report.sources import method_rows, references, tests_named
from tiecoat.report.verdict_page import (
    SHORT,
    candidates,
    overview,
    property_pages,
)
from tiecoat.wording import counted

RANKS = 9  # chances of so many ranks fit on a page; the CSV table has all
ACROSS = 6  # columns of the overview that fit beside each other
LIBRARIES = ("tiecoat", "numpy", "scipy", "pandas", "pyarrow", "matplotlib", "jinja2")


def frame_rows(table: pd.DataFrame) -> list[list[str]]:
    """Return a frame's cells as texts."""
    return [[_shown(cell) for cell in row] for row in table.itertuples(index=False)]


def _shown(cell: object) -> str:
    if isinstance(cell, float):
        return "" if math.isnan(cell) else number(cell)
    return "" if cell is None or cell is pd.NaT else str(cell)


def versions() -> list[tuple[str, str]]:
    """Return the versions of what computed and drew the report."""
    return [("Python", platform.python_version()), *((one, version(one)) for one in LIBRARIES)]


def context(
    data: StudyData,
    quality: Quality,
    figures: Mapping[str, Sequence[str]],
    origins: Sequence[Origin],
    on: date,
) -> dict[str, object]:
    """Return everything that the template asks for.

    Parameters
    ----------
    figures
        SVG by what it shows, as `draw_all` names it.
    on
        The date on the report.
    """
    pages = property_pages(data, figures, origins)
    rows = candidate_rows(data, pages)
    trend_notes = list(dict.fromkeys(note for one in data.trends for note in _notes(one)))
    methods = method_rows(data)
    texts = [*(text for row in methods for text in row), *tests_named(data)]
    texts += [data.ranking.method] if data.ranking else []
    return {
        "study": data.comparison.study,
        "lab": data.lab.root.name,
        "date": on.isoformat(),
        "question": question(data),
        "answers": answers(data, rows),
        "comparison": data.comparison,
        "candidates": rows,
        "outcomes": [OUTCOME_WORDS[one][1] for one in VerdictWord],
        "overview": overview(data),
        "across": _across(len(pages)),
        "pages": pages,
        "register": _register(data),
        "figures": figures,
        "ranking": _ranking(data),
        "no_ranking": data.no_ranking,
        "ranking_method": data.ranking.method if data.ranking else "",
        "ranking_problems": data.ranking.problems if data.ranking else (),
        "trends": [_trend(one, trend_notes) for one in data.trends],
        "trend_notes": trend_notes,
        "quality": quality,
        "frame_rows": frame_rows,
        "methods": methods,
        "references": references(texts),
        "origins": origins,
        "count": len(data.measurements),
        "counted": counted,
        "evaluations": sorted(data.evaluations.items()),
        "left_out": data.left_out,
        "versions": versions(),
    }


def _across(columns: int) -> int:
    """Return how many columns of the overview stand beside each other, blocks about equal.

    Examples
    --------
    >>> _across(6), _across(7), _across(13), _across(0)
    (6, 4, 5, 1)
    """
    return math.ceil(columns / max(1, math.ceil(columns / ACROSS))) or 1


def _register(data: StudyData) -> list[list[str]]:
    comparison, rows = data.comparison, []
    first = [comparison.control, *candidates(comparison)] if comparison.control else []
    zone = data.lab.settings.times.zone  # filed is midnight of the lab as UTC: the day before
    for batch in dict.fromkeys([*first, *comparison.batches.index]):
        row = comparison.batches.loc[batch].to_dict()
        mixed, note = row.get("mixed_on"), row.get("note")
        panels = data.panels.loc[data.panels["batch"] == batch, "panel"].nunique()
        rows.append(
            [
                batch,
                _shown(row["recipe"]),
                "–" if batch == comparison.control else recipe_words(comparison.batches, batch),
                "control" if batch == comparison.control else _shown(row["role"]),
                f"{mixed.tz_convert(zone):%Y-%m-%d}" if isinstance(mixed, pd.Timestamp) else "",
                str(panels),
                note if isinstance(note, str) else "",
            ]
        )
    return rows


def _ranking(data: StudyData) -> list[dict[str, object]]:
    ranking = data.ranking
    if ranking is None:
        return []
    comparison = data.comparison
    rows = []
    for row in ranking.table.to_dict("records"):
        batch = str(row["batch"])
        is_control = batch == comparison.control
        rows.append(
            {
                "rank": row["rank"],
                "batch": batch,
                "recipe": "control" if is_control else recipe_words(comparison.batches, batch),
                "desirability": f"{row['desirability']:.2f}",
                "interval": f"{row['low']:.2f} to {row['high']:.2f}",
                "chances": [float(one) for one in ranking.chances.loc[batch].to_numpy()[:RANKS]],
            }
        )
    return rows


def _notes(one: Trend) -> list[str]:
    return [note for note in (one.reason or one.cautions,) if note]


def _trend(one: Trend, notes: Sequence[str]) -> list[str]:
    change, ends, p = "not determinable", "", ""
    if not one.reason:
        is_ratio = one.change_is == "ratio"
        sign = "× " if is_ratio else "+" if one.change > 0 else ""
        unit = "" if is_ratio else difference_unit(one.unit)
        change = f"{sign}{number(one.change, SHORT)} {unit}".strip()
        ends, p = interval(one.low, one.high, SHORT), p_text(one.p)
    doses = ", ".join(f"{dose:g}" for dose in one.doses)
    told = ", ".join(str(notes.index(note) + 1) for note in _notes(one))
    return [one.candidate, one.property, doses, str(one.n), change, ends, p, told]
