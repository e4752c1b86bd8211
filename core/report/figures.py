"""Every figure of a report, drawn: by what it shows, in the order of the page."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import count, zip_longest
from typing import TypeAlias

from matplotlib.figure import Figure

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.plugin import StudyFigure
from tiecoat.report.alike import by_line
from tiecoat.report.bode_figures import bode_figures
from tiecoat.report.brought_pages import MadePage, drawn_by
from tiecoat.report.evidence import single_tests
from tiecoat.report.line_up_figure import line_up_figures
from tiecoat.report.link_figure import link_figures
from tiecoat.report.looks import MOST_HEIGHT, WIDTH, FigureFiles, drawn, looks, undrawn
from tiecoat.report.over_time import courses_of, over_time
from tiecoat.report.over_time_figures import over_time_figures
from tiecoat.report.property_figure import property_figure
from tiecoat.report.strength_figure import strength_figures
from tiecoat.wording import Told, untold

BODE_HIGHER = 1.2  # than a figure that fills a slide: two rows of axes and a legend
OF_PROPERTY = "property "  # before the label of a property, which may be any text

DrawsSome: TypeAlias = Callable[[Comparison], Iterable[Figure]]  # of the candidates in it


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


def slide_figures(
    data: StudyData,
    pages: Sequence[MadePage],
    figures: Mapping[str, Sequence[FigureFiles]],
    room: tuple[float, float],
    *,
    least_points: float,
    dpi: float,
) -> dict[str, list[FigureFiles]]:
    """Return figures for slides: those whose words would be too small in so much room anew.

    Such a figure is drawn in as many parts as it takes: fewer properties or links in each, then
    fewer candidates.

    Parameters
    ----------
    figures
        As `draw_all` gives them.
    room
        Width and height of a figure on a slide, in inches.
    """
    comparison = data.comparison
    height = WIDTH * room[1] / room[0]  # of a figure that fills it

    def of_properties(wanted: Property) -> DrawsSome:
        return lambda some: [_property(data, some, wanted)]

    def of_plugin(wanted: StudyFigure) -> DrawsSome:
        return lambda some: drawn_by(data, wanted, [some.control, *some.candidates])

    lower: dict[str, DrawsSome] = {
        "strength": lambda some: strength_figures(some, height),
        "line_up": lambda some: line_up_figures(some, height),
        "bode": lambda some: _bode(data, some, BODE_HIGHER * height),
    }
    fewer: dict[str, DrawsSome] = {
        **{OF_PROPERTY + one.label: of_properties(one) for one in _with_verdicts(data)},
        **{one.key: of_plugin(one.figure) for page in pages for one in page.figures},
    }

    def points_of(files: Iterable[FigureFiles]) -> float:
        return min((one.points_within(*room) for one in files), default=math.inf)

    found = {name: list(files) for name, files in figures.items()}
    points = {name: points_of(files) for name, files in figures.items()}
    most = len(comparison.candidates)
    with looks():
        if points["links"] < least_points:
            found["links"] = [drawn(one, dpi=dpi) for one in link_figures(data.links, down=1)]
        for name, draws in (lower | fewer).items():
            if (now := points.get(name, math.inf)) >= least_points or not most:
                continue
            parts = 1 if name in lower else _more_parts(1, least_points / now, most)
            drawings = _in_parts(comparison, draws, parts)
            while (now := points_of(map(undrawn, drawings))) < least_points and parts < most:
                parts = _more_parts(parts, least_points / now, most)
                drawings = _in_parts(comparison, draws, parts)
            found[name] = [drawn(one, dpi=dpi) for one in drawings]
    return found


def _more_parts(parts: int, larger: float, most: int) -> int:
    """Return in how many parts words may be so much larger: a figure is as high as it has rows."""
    return min(most, max(parts + 1, math.ceil(parts * larger)))


def _in_parts(comparison: Comparison, draws: DrawsSome, parts: int) -> list[Figure]:
    """Return the figures of so many parts, those of one property or link beside each other."""
    of_parts = zip_longest(*(draws(part) for part in _some_candidates(comparison, parts)))
    return [one for of in of_parts for one in of if one]


def _some_candidates(comparison: Comparison, parts: int) -> Iterator[Comparison]:
    """Yield the comparison of some candidates at a time, in so many parts."""
    each = math.ceil(len(comparison.candidates) / parts)
    for start in range(0, len(comparison.candidates), each):
        mine = comparison.candidates[start : start + each]
        yield replace(
            comparison, verdicts=tuple(one for one in comparison.verdicts if one.batch in mine)
        )


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
    found["bode"] += _bode(data, comparison)
    found["links"] = list(link_figures(data.links))
    of_properties = {
        OF_PROPERTY + one.label: [_property(data, comparison, one)] for one in _with_verdicts(data)
    }
    of_pages = {one.key: list(drawn_by(data, one.figure)) for page in pages for one in page.figures}
    return found | of_properties | of_pages


def _bode(
    data: StudyData, comparison: Comparison, most_height: float = MOST_HEIGHT
) -> Iterator[Figure]:
    if (rows := data.rows.get("impedance")) is not None and len(rows):
        for line, part in by_line(data, "impedance", rows):
            yield from bode_figures(comparison, part, bode_hours(data), line, most_height)


def _with_verdicts(data: StudyData) -> list[Property]:
    told = {one.property for one in data.comparison.verdicts}
    return [one for one in data.comparison.properties if one.label in told]


def _property(data: StudyData, comparison: Comparison, wanted: Property) -> Figure:
    tests = single_tests(data, wanted) if wanted.method == "strengths" else None
    if tests is not None and len(tests):
        from tiecoat.evaluate.adhesion.pull_off import marked

        tests = marked(tests, data.lab.settings.evaluate.pull_off)
    return property_figure(comparison, wanted, tests)
