"""Every figure of a report, drawn: by what it shows, in the order of the page."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import count

from matplotlib.figure import Figure

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.properties import Property
from tiecoat.report.alike import by_line
from tiecoat.report.bode_figures import bode_figures
from tiecoat.report.brought_pages import MadePage, drawn_by
from tiecoat.report.evidence import single_tests
from tiecoat.report.line_up_figure import line_up_figures
from tiecoat.report.link_figure import link_figures
from tiecoat.report.looks import FigureFiles, drawn, looks
from tiecoat.report.over_time import courses_of, over_time
from tiecoat.report.over_time_figures import over_time_figures
from tiecoat.report.property_figure import property_figure
from tiecoat.report.strength_figure import strength_figures
from tiecoat.wording import Told, untold

OF_PROPERTY = "property "  # before the label of a property, which may be any text


def draw_all(
    data: StudyData,
    pages: Sequence[MadePage],
    *,
    with_png: bool,
    told: Told = untold,
    dpi: float | None = None,
) -> dict[str, list[FigureFiles]]:
    """Return the figures by what they show; `dpi` is of the PNG, as of `drawn`.

    `strength`, `line_up`, `bode`, `links` and what is drawn over time (`courses_of`) hold as many
    figures as it takes; each property that has verdicts holds one, under `OF_PROPERTY` and
    its label; those of `pages`, which plugins bring, stand under their keys.
    """
    with looks():
        wanted = figures_of(data, pages)
        total, done = sum(map(len, wanted.values())), count(1)
        told("drawing", 0, total)

        def draw(figure: Figure) -> FigureFiles:
            files = drawn(figure, with_png=with_png, dpi=dpi)
            told("drawing", next(done), total)
            return files

        return {name: [draw(one) for one in figures] for name, figures in wanted.items()}


def bode_hours(data: StudyData) -> float:
    """Return the exposure time whose spectra are drawn: the last one compared, else the last."""
    hours = [one.exposure_h for one in data.comparison.properties if one.kind == "impedance"]
    compared = [one for one in hours if not math.isnan(one)]
    if compared or "impedance" not in data.rows:
        return max(compared, default=math.nan)
    return float(data.rows["impedance"]["exposure_h"].max())


def figures_of(data: StudyData, pages: Sequence[MadePage]) -> dict[str, list[Figure]]:
    """Return the figures themselves, by what they show; they are drawn within `looks()`."""
    comparison = data.comparison
    names = ("strength", "line_up", *courses_of(data), "bode")
    found: dict[str, list[Figure]] = {name: [] for name in names}
    if comparison.verdicts:
        found["strength"] = list(strength_figures(comparison))
        found["line_up"] = list(line_up_figures(comparison))
    for one in over_time(data):
        found[one.name] += over_time_figures(comparison, one)
    if (rows := data.rows.get("impedance")) is not None and len(rows):
        for line, part in by_line(data, "impedance", rows):
            found["bode"] += bode_figures(comparison, part, bode_hours(data), line)
    found["links"] = list(link_figures(data.links))
    of_properties = {
        OF_PROPERTY + one.label: [_property(data, one)] for one in _with_verdicts(data)
    }
    of_pages = {one.key: list(drawn_by(data, one.figure)) for page in pages for one in page.figures}
    return found | of_properties | of_pages


def _with_verdicts(data: StudyData) -> list[Property]:
    told = {one.property for one in data.comparison.verdicts}
    return [one for one in data.comparison.properties if one.label in told]


def _property(data: StudyData, wanted: Property) -> Figure:
    tests = single_tests(data, wanted) if wanted.method == "strengths" else None
    if tests is not None and len(tests):
        from tiecoat.evaluate.adhesion.pull_off import marked

        tests = marked(tests, data.lab.settings.evaluate.pull_off)
    return property_figure(data.comparison, wanted, tests)
