"""What stands on the page of a report, in the words in which it stands there."""

from __future__ import annotations

import math
import platform
import re
from collections.abc import Mapping, Sequence
from datetime import date
from importlib.metadata import version
from typing import assert_never

import pandas as pd
from pandas.api.types import is_numeric_dtype

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.against import PAIRS_APART
from tiecoat.compare.comparison import ONE_BATCH, Comparison
from tiecoat.compare.dose import Trend
from tiecoat.compare.links import NO_PROOF
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.strength import steps_rule
from tiecoat.compare.time_trend import METHOD as METHOD_OF_TIMES
from tiecoat.compare.verdict import VerdictWord
from tiecoat.evaluate.statistics.rank_correlation import METHOD
from tiecoat.plugin import PageTable
from tiecoat.report.brought_pages import MadePage
from tiecoat.report.conclusions import question
from tiecoat.report.figure_words import over_time_captions
from tiecoat.report.first_page import Answer
from tiecoat.report.labels import (
    OUTCOME_WORDS,
    at_place,
    conditions_words,
    difference_unit,
    interval,
    lab_words,
    label_words,
    number,
    p_text,
    place_of,
    presets_words,
    recipe_words,
)
from tiecoat.report.link_figure import link_words
from tiecoat.report.next_steps import next_steps
from tiecoat.report.notes import Footnotes
from tiecoat.report.origin_words import entry_of
from tiecoat.report.origins import Origin
from tiecoat.report.others import without_others
from tiecoat.report.quality import Quality
from tiecoat.report.recommended import application_rows, recommendation_words
from tiecoat.report.sources import method_rows, references, tests_named
from tiecoat.report.verdict_page import PropertyPage, overview
from tiecoat.report.words import day, in_numbers, joined, say, say_counted, spoken, translated
from tiecoat.wording import capital

RANKS = 9  # chances of so many ranks fit on a page; the CSV table has all
CHANGE = re.compile(r"(?P<key>margin|weight) of (?P<label>.+) (?P<word>halved|doubled)")
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
    brought: Sequence[MadePage],
    figures: Mapping[str, Sequence[str]],
    words: Mapping[str, Sequence[str]],
    *,
    pages: Sequence[PropertyPage],
    answers: Sequence[Answer],
    notes: Footnotes,
    origins: Sequence[Origin],
    on: date,
) -> dict[str, object]:
    """Return everything that the template asks for.

    Parameters
    ----------
    brought
        The pages of plugins.
    figures
        SVG by what it shows, as `draw_all` names it.
    words
        What they show, as `figure_words` gives it.
    pages
        Of the properties, with figures as drawn for the page.
    answers
        In short, at its beginning.
    notes
        What the pages of the properties cite; what else is cited here is added.
    on
        The date on the report.
    """
    trends = [_trend(one, notes) for one in data.trends if not one.reason]
    by = [translated(one) for one in dict.fromkeys(one.method for one in data.trends) if one]
    methods = method_rows(data)
    texts = [*(text for row in methods for text in row), *tests_named(data)]
    texts += [data.ranking.method] if data.ranking else []
    texts += [one.method for one in data.trends]
    comparison, ranking = data.comparison, data.ranking
    return {
        "say": say,
        "language": spoken().value,
        "study": comparison.study,
        "lab": lab_words(data.lab.root.name),
        "date": day(on),
        "question": question(data),
        "candidates": len(comparison.candidates),
        "first_page": answers,
        "cautions": [translated(one) for one in comparison.cautions if one != ONE_BATCH],
        "problems": _problems(data),
        "steps": _steps(comparison),
        "adjusted": translated(comparison.adjusted),
        "steps_rule": [translated(one) for one in steps_rule(comparison.properties)],
        "not_compared": [
            [label_words(one.what), ", ".join(one.batches), translated(one.why)]
            for one in comparison.not_compared
        ],
        "conditions": conditions_words(data.comparison.verdicts),
        "legend": [(translated(OUTCOME_WORDS[one][1]), meaning_of(one)) for one in VerdictWord],
        "overview": overview(comparison),
        "pairs": [_pairs(comparison, one) for one in comparison.references],
        "links": _links(data),
        "links_caution": translated(NO_PROOF),
        "pairs_apart": translated(PAIRS_APART),
        "across": columns_across(len(pages)),
        "pages": pages,
        "presets": presets_words(),
        "register": _register(data),
        "figures": figures,
        "brought": [_brought(page, figures) for page in brought],
        "courses": over_time_captions(data),
        "figure_words": {name: " ".join(of) for name, of in words.items()},
        "ranking": ranking_rows(data),
        "recommended": [recommendation_words(one) for one in data.recommendations],
        "applications": application_rows(data.recommendations),
        "changes": _changes(ranking),
        "no_ranking": translated(data.no_ranking),
        "ranking_method": translated(ranking.method) if ranking else "",
        "ranking_problems": [translated(one) for one in ranking.problems] if ranking else (),
        "trends": trends,
        "trend_methods": by,
        "trends_of_times": time_trend_words(data.trends),
        "untested_trends": _without_trend(data.trends),
        "notes": notes.listed,
        "quality": quality,
        "unlisted": _unlisted(quality),
        "frame_rows": frame_rows,
        "translated_all": lambda texts: [translated(str(one)) for one in texts],
        "methods": [[translated_lines(cell) for cell in row] for row in methods],
        "references": [(translated(name), translated(text)) for name, text in references(texts)],
        "origins": origins,
        "shared": data.shared,
        "count": len(data.measurements),
        "last_entry": entry_of(data.last_entry),
        "counted": say_counted,
        "evaluations": sorted(data.evaluations.items()),
        "versions": versions(),
    }


def _brought(page: MadePage, figures: Mapping[str, Sequence[str]]) -> dict[str, object]:
    """Return what stands on a page of a plugin, part by part."""
    parts: list[dict[str, object]] = []
    for part in page.parts:
        if isinstance(part, str):
            parts.append({"text": part})
        elif isinstance(part, PageTable):
            heads = [translated(str(one)) for one in part.table.columns]
            numbers = [n for n, one in enumerate(part.table.dtypes) if is_numeric_dtype(one)]
            table = {"caption": part.caption, "heads": heads, "rows": frame_rows(part.table)}
            parts.append({"table": {**table, "numbers": numbers}})
        elif drawings := figures.get(part.key):
            told = " ".join(part.words)
            parts.append({"figure": part, "drawings": drawings, "told": told})
    return {"name": page.name, "title": page.title, "parts": parts}


def _pairs(comparison: Comparison, reference: str) -> dict[str, object]:
    """Return what the table of one candidate against the others holds."""
    found = comparison.against(reference)
    return {
        "name": f"{reference} ({recipe_words(comparison.batches, reference)})",
        "labels": [label_words(one.label) for one in found.properties],
        "rows": overview(found),
        "across": columns_across(len(found.properties)),
        "methods": list(dict.fromkeys(translated(one.method) for one in found.verdicts)),
    }


def _links(data: StudyData) -> list[str]:
    """Return which results go together, and how that was found; nothing where nobody asked."""
    told = [link_words(one) for one in data.links]
    return [*told, f"{translated(METHOD)}."] if told else []


def translated_lines(text: str) -> str:
    """Return lines of a text, each in the language of the report."""
    return "\n".join(map(translated, text.split("\n")))


def _steps(comparison: Comparison) -> list[list[str]]:
    return [
        [
            label_words(one.verdict.property),
            one.verdict.batch,
            translated(OUTCOME_WORDS[one.verdict.outcome][1]),
            f"{one.verdict.n} / {one.verdict.n_control}",
            f"{one.needed} {translated(one.verdict.units)}",
            str(one.further),
        ]
        for one in next_steps(comparison)
    ]


def _problems(data: StudyData) -> list[str]:
    batches, pattern = data.comparison.batches.index, data.lab.settings.ids.batch
    told = (*data.comparison.problems, *data.left_out)
    return [translated(without_others(one, batches, pattern)) for one in told]


def meaning_of(outcome: VerdictWord) -> str:
    """Return what a verdict says, for the legend below all of them."""
    match outcome:
        case VerdictWord.BETTER:
            return say(
                "the interval, which holds for all candidates together with 95 %, excludes"
                " equality, and the difference still counts when all properties are looked at"
                " together (Holm)."
            )
        case VerdictWord.NOT_WORSE:
            return say(
                "the whole interval lies within the margin; this is never concluded from a large p."
            )
        case VerdictWord.WORSE:
            return say("as better, on the other side.")
        case VerdictWord.SIGNS_OF_HARM:
            return say(
                "worse if this property stood alone; it does not count as worse among all of them."
            )
        case VerdictWord.CANNOT_TELL:
            return say("none of these; the first page says what would settle it.")
        case VerdictWord.NOT_TESTED:
            return say("nothing that tells of the property was measured on the candidate.")
        case _:
            assert_never(outcome)


def _unlisted(quality: Quality) -> list[str]:
    """Say how many held files are not of this study alone, without their names."""
    told = []
    if quality.mixed == 1:
        told.append(
            say("1 further held file names batches of other studies too; tiecoat held lists it.")
        )
    elif quality.mixed:
        told.append(
            say(
                "{files} name batches of other studies too; tiecoat held lists them.",
                files=say_counted(quality.mixed, "further held file"),
            )
        )
    if quality.unplaced:
        files = say_counted(quality.unplaced, "held file")
        told.append(say("{files} of the lab that name no batch are not listed here.", files=files))
    return told


def contents(page: str, brought: Sequence[MadePage], *, brief: bool) -> list[tuple[str, str]]:
    """Return anchor and heading of each section that a page has, in its order."""
    listed = [
        ("answer", say("The answer in short")),
        ("strength", say("How strong, how weak")),
        ("verdicts", say("All verdicts")),
        ("property-1", say("The properties")),
        ("pairs", say("Candidate against candidate")),
        ("links", say("What goes together")),
        ("ranking", say("Overall ranking")),
        ("plates", say("Pictures")),
    ]
    if not brief:
        listed += [
            ("study", say("The study")),
            ("tables", say("Tables")),
            ("over-time", say("Over time")),
            ("impedance", say("Impedance spectra")),
            *((one.name, one.title) for one in brought),
            ("quality", say("How good the data are")),
            ("methods", say("Methods and sources")),
            ("values", say("The values behind the verdicts")),
            ("appendix", say("Where every number comes from")),
        ]
    return [(anchor, words) for anchor, words in listed if f' id="{anchor}"' in page]


def columns_across(columns: int, most: int = ACROSS) -> int:
    """Return how many columns of the overview stand beside each other, blocks about equal.

    Examples
    --------
    >>> columns_across(6), columns_across(7), columns_across(13), columns_across(0)
    (6, 4, 5, 1)
    """
    return math.ceil(columns / max(1, math.ceil(columns / most))) or 1


def _register(data: StudyData) -> list[list[str]]:
    comparison, rows = data.comparison, []
    first = [comparison.control, *comparison.candidates] if comparison.control else []
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
                translated("control" if batch == comparison.control else _shown(row["role"])),
                day(mixed.tz_convert(zone).date()) if isinstance(mixed, pd.Timestamp) else "",
                str(panels),
                note if isinstance(note, str) else "",
            ]
        )
    return rows


def ranking_rows(data: StudyData) -> list[dict[str, object]]:
    """Return rank, batch, recipe, desirability and chances of each batch, in words."""
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
                "recipe": translated("control")
                if is_control
                else recipe_words(comparison.batches, batch),
                "desirability": in_numbers(f"{row['desirability']:.2f}"),
                "interval": interval(row["low"], row["high"], place=-2),
                "chances": [float(one) for one in ranking.chances.loc[batch].to_numpy()[:RANKS]],
            }
        )
    return rows


def _changes(ranking: Ranking | None) -> list[list[str]]:
    """Return who is first with each margin and weight halved and doubled."""
    return [
        [_change_words(one.what), one.first or "–", f"{100 * one.share:.0f} %"]
        for one in (ranking.changes if ranking else ())
    ]


def _change_words(what: str) -> str:
    """Return such as "margin of modulus after 240 h halved" in the language of the report."""
    found = CHANGE.fullmatch(what)
    if found is None:
        return what
    return say(
        "{key} of {property} {word}",
        key=translated(found["key"]),
        property=label_words(found["label"]),
        word=translated(found["word"]),
    )


def _trend(one: Trend, notes: Footnotes) -> list[object]:
    is_ratio = one.change_is == "ratio"
    low = -math.inf if is_ratio and one.low == 0 else one.low  # an open end, as infinity is
    place = place_of(one.change, low, one.high)
    sign = "× " if is_ratio else "+" if one.change > 0 else ""
    unit = "" if is_ratio else difference_unit(one.unit)
    change = f"{sign}{at_place(one.change, place)} {unit}".strip()
    if is_ratio and one.change in {0.0, math.inf}:
        change = number(math.nan)
    doses = ", ".join(in_numbers(f"{dose:g}") for dose in one.doses)
    ends, p = interval(low, one.high, place=place), p_text(one.p_alone)
    cited = notes.cite([translated(one.cautions)])
    return [one.candidate, label_words(one.property), doses, str(one.n), change, ends, p, cited]


def time_trend_words(trends: Sequence[Trend]) -> list[str]:
    """Say by the property of which candidate more makes a time longer or shorter, as is shown."""
    found: dict[tuple[str, str], list[str]] = {}
    for one in trends:
        if one.method == METHOD_OF_TIMES and not one.reason:
            way = "longer" if one.low > 1 else "shorter" if one.high < 1 else "open"
            found.setdefault((label_words(one.property), way), []).append(one.candidate)
    return [
        {
            "longer": say("{property}: the median time is longer the more {candidates}.", **given),
            "shorter": say(
                "{property}: the median time is shorter the more {candidates}.", **given
            ),
            "open": say(
                "{property}: no change of the median time with the dose of {candidates} is shown.",
                **given,
            ),
        }[way]
        for (label, way), names in sorted(found.items())
        for given in [{"property": capital(label), "candidates": joined(names)}]
    ]


def _without_trend(trends: Sequence[Trend]) -> list[str]:
    """Say by the reason which properties were not tested over doses, of whom where not of all."""
    everyone = {one.candidate for one in trends}
    found: dict[str, dict[str, list[str]]] = {}
    for one in trends:
        if one.reason:
            of = found.setdefault(translated(one.reason), {})
            of.setdefault(label_words(one.property), []).append(one.candidate)
    return [
        say(
            "Not tested over doses ({reason}): {things}.",
            reason=reason,
            things=joined(
                [
                    label if {*names} == everyone else f"{label} ({', '.join(names)})"
                    for label, names in of.items()
                ]
            ),
        )
        for reason, of in found.items()
    ]
