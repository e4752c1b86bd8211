"""Contrast ratio of dry films, what studies ask of it, its figure, and a page of a report."""

from tiecoat.evaluate.result import results
from tiecoat.plugin import (
    Evaluation,
    PageTable,
    StudyFigure,
    StudyPage,
    StudyProperty,
    hookimpl,
)

RATIO = StudyProperty("hiding power", "contrast_ratio", margin=2)


def compute(frames, choices):
    """Return reflectance over black as a share of that over white, the mean of the spots."""
    rows = frames["hiding"]
    rows = rows.assign(ratio=100 * rows["over_black_percent"] / rows["over_white_percent"])
    found = rows.groupby(["batch", "panel"])["ratio"].agg(["mean", "size"]).reset_index()
    method = "mean of the spots"
    return results("contrast_ratio", found, found["mean"], "%", n=found["size"], method=method)


def draw(figure, results, rows, names):
    """Draw a row a batch, with a mark a panel."""
    axes = figure.subplots()
    for place, batch in enumerate(names):
        mine = results[results["batch"] == batch]
        axes.plot(mine["value"], [place] * len(mine), "o", alpha=0.7)
    axes.set_yticks(range(len(names)), list(names.values()))
    axes.invert_yaxis()
    axes.set_xlabel("contrast ratio (%)")


FIGURE = StudyFigure("hiding", "hiding", "Hiding power", draw, "A mark is the mean of a panel.")


def tell(study):
    """Say how many spots there are, and list the darkest of each batch."""
    spots = study.rows["hiding"]
    yield f"{len(spots)} spots were read on {spots['panel'].nunique()} panels."
    darkest = spots.groupby("batch")["over_black_percent"].min().reset_index()
    yield PageTable("The darkest spot of each batch over black", darkest)


@hookimpl
def tiecoat_evaluations():
    """Return the evaluation with its property."""
    return [Evaluation("hiding", "hiding", compute, properties=(RATIO,))]


@hookimpl
def tiecoat_figures():
    """Return the figure."""
    return [FIGURE]


@hookimpl
def tiecoat_pages():
    """Return the page."""
    return [StudyPage("spots", "hiding", "Spots over black and white", tell)]
