"""The page of a report on where the films failed; it comes in by the hook for pages."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from tiecoat.plugin import StudyContents, StudyFigure, StudyPage, hookimpl
from tiecoat.report.failure_figure import draw_failures, failure_words, places_in

TITLE = "Where the films failed"
CAPTION = (
    "Places of ISO 4624: a letter is a layer (A the substrate, B the first coat), two letters a"
    " border between layers, Y the glue. A bar is a panel; each place has a shade and a hatch of"
    " its own, the same in every figure."
)


def _tell(study: StudyContents) -> Iterator[StudyFigure]:
    """Return the one figure, in which a place looks the same for panels of all coats."""
    draw = partial(draw_failures, places_of_all=places_in(study.rows["pull_off"]))
    yield StudyFigure(
        "failure", "pull_off", TITLE, draw, CAPTION, words=failure_words, with_coats=True
    )


@hookimpl
def tiecoat_pages() -> list[StudyPage]:
    """Return the page."""
    return [StudyPage("failure", "pull_off", TITLE, _tell)]
