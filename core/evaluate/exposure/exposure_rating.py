"""Exposed panels: grades over time, the worst of them, when a grade is reached, scribe creep.

The grades are a rater's, who takes the nearest of a few pictures: two raters differ by one. What is
computed here supports the judgement of the person who answers for a release and replaces neither
that nor the standard.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import pandas as pd

from tiecoat.contract.notations.rated_properties import NEUTRAL_SALT_SPRAY
from tiecoat.contract.notations.rust_scales import RI_PERCENT, d610_of_area
from tiecoat.contract.standards import ISO_4628_3, ISO_4628_3_NEWER
from tiecoat.evaluate.choices import ExposureRatingChoices
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.exposure.chamber_record import days_outside
from tiecoat.evaluate.exposure.inspections import (
    COURSE,
    NAMES,
    SIZES,
    Course,
    Rating,
    courses,
    ratings_of,
)
from tiecoat.evaluate.exposure.scribe_creep import creeps, is_creep
from tiecoat.evaluate.exposure.times_to_grade import (
    GradeResults,
    Limit,
    tell_batch,
    tell_fits,
    tell_panels,
)
from tiecoat.evaluate.grouping import groups_of, numbered
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.result import results, together
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL

OPEN = "the ratings leave open which of several degrees it is"
LEFT_OPEN = "low and high: what they leave open"
RATED_AREA = f"as rated: a percentage, which {ISO_4628_3_NEWER} rates by as well"
OF_GRADE = f"low and high: the areas that the grade may stand for ({ISO_4628_3})"
NEAR_RI_5 = f"{OF_GRADE}; {ISO_4628_3_NEWER} corrected that of Ri 5"  # to a figure not seen

ROW = ["batch", "panel", "measurement", "exposure_h"]


def compute(frames: Mapping[str, pd.DataFrame], choices: ExposureRatingChoices) -> pd.DataFrame:
    """Return the results of exposed panels.

    Quantities at each inspection: rust_grade, rust_grade_d610, rusted_area in %; blister_density,
    blister_size, cracking_quantity, cracking_size, flaking_quantity, flaking_size;
    scribe_delamination, scribe_corrosion, and scribe_creep where it is not told which of them, in
    mm, of panels and batches. Of each panel and batch
    the worst of each grade: `..._worst`. When the grade of the choices was reached: time_to_...
    of each panel, time_to_..._median, share_below_... over time, time_to_..._median_fitted and
    time_to_..._shape of the batch.

    Parameters
    ----------
    frames
        `exposure_rating` and `chamber_record`, as the archive gives them.
    choices
        What the laboratory has set.
    """
    rows, ledger = frames["exposure_rating"], Ledger()
    creep = is_creep(rows)
    graded = rows[~creep].reset_index(drop=True)
    ratings = ratings_of(graded)
    flags_of = _chamber_flags(rows, frames["chamber_record"])
    of_batches = []
    for (batch, exposure, rated), listed in groupby(
        courses(graded, ratings), key=lambda one: (one.batch, one.exposure, one.rated)
    ):
        flags, limit, panels = flags_of[batch, exposure], _limit_of(choices, rated), list(listed)
        _tell_worst(ledger, panels, flags)
        times = tell_panels(ledger, panels, limit, flags)
        of_batches.append(GradeResults(ledger, {"batch": batch}, limit, exposure, times))
        tell_batch(of_batches[-1])
    tell_fits(of_batches, choices.distribution)
    tables = [*_at_inspections(graded, ratings), *_worst_sizes(graded, flags_of)]
    return together([*tables, *creeps(rows[creep], flags_of), ledger.table()])


def _limit_of(choices: ExposureRatingChoices, rated: str) -> Limit:
    """Return the grade of a property whose time is wanted."""
    name = NAMES[rated]
    grade = getattr(choices, name)
    words = f"Ri {grade}" if rated == "rust" else f"{name.replace('_', ' ')} {grade}"
    return Limit(name, grade, words)


def _chamber_flags(
    rows: pd.DataFrame, records: pd.DataFrame
) -> dict[tuple[str, str], tuple[str, ...]]:
    """Return for each batch and exposure whether the chamber kept its limits."""
    chambers, keys = groups_of(records, ["batch"])
    days = zip(*(column.tolist() for column in days_outside(records, chambers)), strict=True)
    out_of_limits = {
        batch: (f"chamber out of limits on {outside} of {read} days",)
        for batch, (outside, read) in zip(keys["batch"].tolist(), days, strict=True)
        if outside
    }
    known = rows[["batch", "exposure"]].drop_duplicates().itertuples(index=False, name=None)
    return {
        (batch, exposure): out_of_limits.get(batch, ()) if exposure == NEUTRAL_SALT_SPRAY else ()
        for batch, exposure in known
    }


def _at_inspections(graded: pd.DataFrame, ratings: Sequence[Rating]) -> Iterator[pd.DataFrame]:
    """Return the grade of each inspection of each panel, and what it is on other scales."""
    least = np.array([one.least for one in ratings], dtype=float)
    worst = np.array([one.worst for one in ratings], dtype=float)
    for rated, name in NAMES.items():
        of = (graded["property"] == rated).to_numpy(dtype=bool)
        if not of.any():
            continue
        rows, chosen = graded[of], [one for one, is_one in zip(ratings, of, strict=True) if is_one]
        wide = least[of] < worst[of]
        yield results(
            name,
            rows[ROW],
            np.where(wide, np.nan, worst[of]),
            "",
            condition=rows["exposure"].to_numpy(),
            low=np.where(wide, least[of], np.nan),
            high=np.where(wide, worst[of], np.nan),
            method=[one.method for one in chosen],
            reason=[one.reason for one in chosen],
        )
        if rated == "rust":
            yield _areas(rows, chosen)
            yield _d610(rows, chosen)
        else:
            yield results(
                SIZES[rated],
                rows[ROW],
                rows["size"].to_numpy(),
                "",
                condition=rows["exposure"].to_numpy(),
                method="as rated (ISO 4628)",
            )


def _areas(rows: pd.DataFrame, ratings: Sequence[Rating]) -> pd.DataFrame:
    """Return the rusted areas: as rated, else the band that the grades allow."""
    known = rows["area_percent"].notna().to_numpy()
    ends = np.array([(one.area.low, one.area.high) for one in ratings if one.area])
    return results(
        "rusted_area",
        rows[ROW],
        rows["area_percent"].to_numpy(),
        "%",
        condition=rows["exposure"].to_numpy(),
        low=np.where(known, np.nan, ends[:, 0]),
        high=np.where(known, np.nan, ends[:, 1]),
        method=np.where(
            known, RATED_AREA, np.where(ends[:, 1] > RI_PERCENT[4], NEAR_RI_5, OF_GRADE)
        ),
        reason=np.where(known, "", "a grade stands for a band of areas"),
    )


def _d610(rows: pd.DataFrame, ratings: Sequence[Rating]) -> pd.DataFrame:
    """Return the rust grades of ASTM D610: as rated or of the area, else a band of grades."""
    value, low, high, method = [], [], [], []
    for given, one in zip(rows["d610_grade"], ratings, strict=True):
        assert one.area is not None
        best, worst = d610_of_area(one.area.low), d610_of_area(one.area.high)
        as_rated = not np.isnan(given)
        known = as_rated or best == worst
        value.append(given if as_rated else float(worst) if known else np.nan)
        low.append(np.nan if known else float(worst))
        high.append(np.nan if known else float(best))
        found = "of the rusted area (ASTM D610)" if known else "low and high: what Ri allows"
        method.append("as rated (ASTM D610)" if as_rated else found)
    missing = np.isnan(value)
    return results(
        "rust_grade_d610",
        rows[ROW],
        value,
        "",
        condition=rows["exposure"].to_numpy(),
        low=low,
        high=high,
        method=method,
        reason=np.where(missing, "the degree Ri stands for several grades", ""),
    )


def _tell_worst(ledger: Ledger, panels: Sequence[Course], flags: Sequence[str]) -> None:
    """Tell the worst grade so far of each panel, and of them together."""
    name, exposure = f"{NAMES[panels[0].rated]}_worst", panels[0].exposure
    for course in panels:
        n, odd = len(course.hours), (*course.flags, *flags)
        least, greatest = max(course.least), max(course.worst)
        method = "worst of the inspections"
        if least == greatest:
            hour = course.hours[course.least.index(least)]
            method = f"worst of the inspections; first seen at {hour:g} h"
        worst = _Worst(least, greatest, n, method, odd)
        worst.tell(ledger, name, course.keys, exposure)
    odd = tuple(f"{course.panel}: {flag}" for course in panels for flag in course.flags)
    least = max(max(course.least) for course in panels)
    greatest = max(max(course.worst) for course in panels)
    worst = _Worst(least, greatest, len(panels), "worst of the panels", (*odd, *flags))
    worst.tell(ledger, name, {"batch": panels[0].batch}, exposure)


def _worst_sizes(
    graded: pd.DataFrame, flags_of: Mapping[tuple[str, str], Sequence[str]]
) -> Iterator[pd.DataFrame]:
    """Return the greatest size of defects so far of each panel, and of them together."""
    sized = graded[graded["property"].isin(SIZES) & graded["panel"].notna()]
    if not len(sized):
        return
    for by, unit in ((COURSE, "inspections"), (COURSE[:-1], "panels")):
        groups, keys = groups_of(sized, by)
        sizes = sized["size"].to_numpy(dtype=float)
        greatest = groups.most(np.where(np.isnan(sizes), -np.inf, sizes))
        unknown = np.isinf(greatest)
        rated, exposures = keys.pop("property").tolist(), keys.pop("exposure").tolist()
        method = f"greatest of the {unit}"
        both = zip(keys["batch"].tolist(), exposures, strict=True)
        yield results(
            [f"{SIZES[one]}_worst" for one in rated],
            keys,
            np.where(unknown, np.nan, greatest),
            "",
            condition=exposures,
            n=groups.sizes if "panel" in by else groups.distinct(numbered(sized["panel"])[0]),
            method=np.where(unknown, f"{method}; {LEFT_OPEN}", method),
            reason=np.where(unknown, OPEN, ""),
            flags=["; ".join(flags_of[one]) for one in both],
        )


@dataclass(frozen=True)
class _Worst:
    """The worst grade or size of some inspections or panels: from `least` to `greatest`."""

    least: float
    greatest: float
    n: int
    method: str
    flags: Sequence[str]

    def tell(self, ledger: Ledger, name: str, keys: Mapping[str, str], exposure: str) -> None:
        clear = self.least == self.greatest
        ledger.add(
            name,
            "",
            keys,
            Estimate(float(self.greatest)) if clear else NotDeterminable(OPEN),
            condition=exposure,
            method=self.method if clear else f"{self.method}; {LEFT_OPEN}",
            flags="; ".join(self.flags),
            interval=NO_INTERVAL if clear else (self.least, self.greatest),
            n=self.n,
        )
