"""Wear of a panel under abrasive wheels, wear_index in mg, and how a report shows it."""

from scipy.stats import t as student

from tiecoat.evaluate.result import results
from tiecoat.plugin import Evaluation, PageTable, StudyFigure, StudyPage, StudyProperty, hookimpl


def compute(frames, choices):
    """Return the mean slope of mass loss over revolutions, for each panel and load."""
    rows = frames["abrasion"]
    run = [rows[name] for name in ("batch", "panel", "load_n", "measurement")]
    off = rows["revolutions"] - rows["revolutions"].groupby(run).transform("mean")
    slope = (off * rows["loss_mg"]).groupby(run).sum() / (off**2).groupby(run).sum()
    panel = (1000 * slope).groupby(level=["batch", "panel", "load_n"])
    found = panel.agg(["mean", "sem", "count"]).reset_index()
    error = found["sem"].where(found["sem"] > 0)
    half = student.ppf(0.975, found["count"] - 1) * error
    return results(
        *("wear_index", found, found["mean"], "mg"),
        condition=[f"{load:g} N" for load in found["load_n"]],
        standard_error=error,
        low=found["mean"] - half,
        high=found["mean"] + half,
        n=found["count"],
        method="mean slope of the runs, in 1000 revolutions; interval by t over runs",
        reason=["" if count else "fewer than two weighings" for count in found["count"]],
    )


def draw(figure, results, rows, names):
    """Draw the wear of each panel with its interval, a line for each batch."""
    axes = figure.subplots()
    for place, batch in enumerate(names):
        mine = results[results["batch"] == batch]
        half = (mine["high"] - mine["value"]).fillna(0)
        axes.errorbar(mine["value"], [place] * len(mine), xerr=half, fmt="o", alpha=0.6)
    axes.set_yticks(range(len(names)), list(names.values()))
    axes.invert_yaxis()
    axes.set_xlabel("mass lost in 1000 revolutions (mg)")


def tell(study):
    """Tell the wear of each batch, and how many runs stand behind it."""
    wear, runs = study.results["abrasion"], study.rows["abrasion"]["measurement"].nunique()
    yield f"{runs} runs on {wear['panel'].nunique()} panels; the control is {study.control}."
    table = wear.groupby(["batch", "condition"])["value"].agg(["mean", "min", "max", "count"])
    yield PageTable("Mass lost in 1000 revolutions (mg), over panels", table.reset_index())


@hookimpl
def tiecoat_evaluations():
    wear = StudyProperty("wear", "wear_index", direction="lower", scale="ratio", margin_percent=25)
    return [Evaluation("abrasion", "abrasion", compute, by_batch=True, properties=(wear,))]


@hookimpl
def tiecoat_figures():
    caption = "A mark is a panel, its bar the 95 % interval over its runs."
    return [StudyFigure("abrasion", "abrasion", "Wear under wheels", draw, caption)]


@hookimpl
def tiecoat_pages():
    return [StudyPage("abrasion", "abrasion", "Abrasion by loaded wheels", tell)]
