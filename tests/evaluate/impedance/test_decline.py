"""Decline of the modulus over exposure and the time to cross a limit."""

from __future__ import annotations

import numpy as np
import pytest
from films import AREA_CM2, R, frame_of, impedance
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.decline import decline_rows
from tiecoat.evaluate.impedance.group_estimates import decline, mean_of_groups
from tiecoat.evaluate.impedance.spectra import Spectra, spectra_of
from tiecoat.evaluate.impedance.straightness import common_bends, own_bends
from tiecoat.evaluate.impedance.times_to_limit import time_to_limit
from tiecoat.evaluate.statistics.censored_times import fit_times

HZ = np.array([0.1, 1.0])


def panels(*moduli: tuple[str, float, float], **columns: object) -> Spectra:
    """Return spectra from panel, hours and modulus in ohm cm2."""
    parts = [(HZ, impedance(R(ohm_cm2 / AREA_CM2), HZ)) for _, _, ohm_cm2 in moduli]
    given_ = {"panel": [one[0] for one in moduli], "exposure_h": [one[1] for one in moduli]}
    return spectra_of(frame_of(parts, **given_, **columns))


def test_the_decline_that_was_put_in_comes_out_within_its_interval() -> None:
    """The 95 % interval covers the truth for 95 % of 4000 panels with five exposures each.

    Within three standard errors of the share: 1.0 %.
    """
    rng = np.random.default_rng(5)
    days = np.tile([0.0, 1, 3, 7, 10], 4000)
    panel = np.repeat(np.arange(4000), 5)
    lg = 9 - 0.12 * days + rng.normal(0, 0.1, days.size)
    found = decline(days, lg, panel, 4000)
    assert ((found.low < 0.12) & (found.high > 0.12)).mean() == pytest.approx(0.95, abs=0.0104)
    assert found.value.mean() == pytest.approx(0.12, abs=3e-4 * 3)


def test_the_mean_over_panels_covers_too() -> None:
    """The t interval over three panels: 95 % of 4000 batches, within three standard errors."""
    rng = np.random.default_rng(6)
    batch = np.repeat(np.arange(4000), 3)
    found = mean_of_groups(rng.normal(0.12, 0.03, batch.size), batch, 4000)
    assert ((found.low < 0.12) & (found.high > 0.12)).mean() == pytest.approx(0.95, abs=0.0104)
    assert (found.n == 3).all()


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 5), st.floats(0, 100), st.floats(2, 12)), max_size=40),
    st.randoms(),
)
def test_the_order_of_the_rows_does_not_matter(
    rows: list[tuple[int, float, float]], chance: object
) -> None:
    """Groups of any size, mixed in any order, give what each gives alone."""
    group, days, lg = (np.array([one[k] for one in rows], dtype=float) for k in range(3))
    found = decline(days, lg, group.astype(np.int64), 6)
    for g in range(6):
        alone = decline(days[group == g], lg[group == g], np.zeros((group == g).sum(), int), 1)
        assert found.value[g] == pytest.approx(alone.value[0], nan_ok=True, rel=1e-6, abs=1e-9)
        assert found.n[g] == alone.n[0]


def test_few_exposures_give_no_more_than_they_can() -> None:
    """One gives nothing and says why, two a decline without an interval, three one with it."""
    spectra = panels(
        ("A", 1, 1e9), ("B", 1, 1e9), ("B", 25, 1e8), ("C", 1, 1e9), ("C", 25, 1e8), ("C", 49, 2e7)
    )
    rows = decline_rows(spectra, ImpedanceChoices())
    rows = rows[rows["quantity"] == "modulus_decline"].set_index("panel")
    assert rows.loc["A", "reason"] == "fewer than two exposures with a modulus"
    assert rows.loc["B", "value"] == pytest.approx(1)
    assert rows.loc["B", "flags"] == (
        "two exposures: no interval, and nothing tells whether it is straight"
    )
    assert np.isnan(rows.loc["B", "low"])
    assert rows.loc["C", "low"] < rows.loc["C", "value"] < rows.loc["C", "high"]
    assert rows.loc["", "flags"] == "1 of 3 panels have no decline"
    assert rows.loc["", "n"] == 2


def test_one_panel_has_a_decline_but_no_error_of_it() -> None:
    """One panel tells nothing of how panels differ; of its time only the exposures are known."""
    course = (("A", 1.0, 1e9), ("A", 25.0, 10**7.7), ("A", 49.0, 10**6.5))
    rows = decline_rows(panels(*course), ImpedanceChoices())
    rows = rows[rows["panel"] == ""].set_index(["quantity", "condition"])
    alone = rows.loc[("modulus_decline", "0.1 Hz")]
    assert (alone["value"], alone["n"]) == (pytest.approx(1.25), 1)
    assert alone[["standard_error", "low", "high"]].isna().all()
    assert (alone["flags"], alone["reason"]) == ("one panel: no interval between panels", "")
    time = rows.loc[("time_to_limit", "below 1e+08 ohm cm2 at 0.1 Hz")]
    assert np.isnan(time["value"])
    assert (time["low"], time["high"], time["n"]) == (1, 25, 1)
    assert time["reason"].startswith("after 1 h and by 25 h: something is known of 1 panel;")


def test_spots_and_repeats_are_averaged_before_the_line_is_drawn() -> None:
    """The panel counts once an exposure, with the geometric mean; uneven spots are told."""
    spectra = panels(("A", 1, 1e9), ("A", 1, 1e7), ("A", 25, 1e7), spot=["left", "right", "left"])
    row = decline_rows(spectra, ImpedanceChoices()).iloc[0]
    assert (row["value"], row["n"]) == (pytest.approx(1), 2)
    assert "not the same number of spots at every exposure" in row["flags"]


@settings(deadline=None)
@given(
    st.lists(st.floats(4, 11), min_size=1, max_size=12),
    st.floats(5, 10),
)
def test_a_crossing_lies_where_the_modulus_first_falls_below(lg: list[float], limit: float) -> None:
    """Between the two exposures, or there is none and the bound says on which side."""
    hours = np.arange(1.0, len(lg) + 1)
    found = time_to_limit(hours, np.array(lg), limit)
    below = [value < limit for value in lg]
    if not any(below):
        assert (np.isnan(found.hours), found.after) == (True, hours[-1])
        assert np.isnan(found.before)
    elif below[0]:
        assert (np.isnan(found.hours), found.before) == (True, 1.0)
        assert np.isnan(found.after)
    else:
        assert (found.after, found.before) == (
            hours[below.index(True) - 1],
            hours[below.index(True)],
        )
        assert found.after <= found.hours <= found.before
        at = np.interp(found.hours, hours, lg)
        assert at == pytest.approx(limit, abs=1e-9)


def test_a_limit_that_is_not_crossed_is_censored() -> None:
    """No number is made up beyond the last exposure: it stands as the bound, and is said so."""
    spectra = panels(
        ("A", 1, 1e9), ("A", 25, 1e7), ("B", 1, 1e9), ("B", 73, 5e8), ("C", 1, 1e7), ("C", 25, 1e7)
    )
    rows = decline_rows(spectra, ImpedanceChoices())
    rows = rows[rows["condition"] == "below 1e+08 ohm cm2 at 0.1 Hz"].set_index("panel")
    assert rows.loc["A", "value"] == pytest.approx(13)
    assert rows.loc["A", ["low", "high"]].tolist() == [1, 25]
    assert rows.loc["B", "reason"] == (
        "censored: not crossed by the last exposure, 73 h; it takes longer"
    )
    assert rows.loc["B", "low"] == 73
    assert rows.loc["C", "reason"] == "below the limit already at the first exposure, 1 h"
    assert rows.loc["", "reason"] == (
        "after 1 h and by 25 h: the interval of the median has no end on either side"
    )
    assert rows.loc["", ["low", "high"]].tolist() == [1, 25]
    assert "2 of 3 panels crossed the limit" in rows.loc["", "flags"]


def test_a_batch_whose_panels_crossed_apart_has_a_median_with_an_interval_above_zero() -> None:
    """Log-normal from intervals, as `fit_times` gives it: no plain mean and no time below zero.

    Two panels that crossed in the first day, one on the second and one within the ninth: a plain
    mean of the interpolated times would reach down to -72 h.
    """
    spectra = panels(
        *(("A", 1, 1e9), ("A", 25, 1e7), ("B", 1, 1e9), ("B", 25, 1e7)),
        *(("C", 25, 1e9), ("C", 49, 1e7), ("D", 193, 1e9), ("D", 217, 1e7)),
    )
    rows = decline_rows(spectra, ImpedanceChoices())
    at = (rows["condition"] == "below 1e+08 ohm cm2 at 0.1 Hz") & (rows["panel"] == "")
    row = rows[at].iloc[0]
    fit = fit_times([1, 1, 25, 193], [25, 25, 49, 217], "log-normal")
    assert (row["value"], row["n"]) == (pytest.approx(fit.median.value), 4)
    assert (row["low"], row["high"]) == pytest.approx(fit.median_interval)
    assert 0 < row["low"] < row["value"] < row["high"]


def test_a_fall_by_many_decades_between_two_exposures_is_told() -> None:
    """From 1e9 to 2e3 ohm cm2 in a day: the interpolated 5 h say little."""
    rows = decline_rows(panels(("A", 1, 1e9), ("A", 25, 2e3)), ImpedanceChoices())
    at = (rows["condition"] == "below 1e+08 ohm cm2 at 0.1 Hz") & (rows["panel"] == "A")
    told = "fell by 5.7 decades between two exposures: when between is open"
    assert told in rows[at].iloc[0]["flags"]


def test_straight_courses_are_seldom_refused() -> None:
    """Of 2,000 batches of three panels that fall straight 5 % at most are called bent.

    A slope of 0.3 a day, panels that differ by 0.1 in it, and 0.1 decades of scatter.
    """
    rng = np.random.default_rng(7)
    batches = 2000
    days = np.tile([0.04, 1, 3, 7, 10], 3 * batches)
    unit = np.repeat(np.arange(3 * batches), 5)
    slope = rng.normal(0.3, 0.1, 3 * batches)
    lg = 10 - slope[unit] * days + rng.normal(0, 0.1, days.size)
    found = common_bends(days, lg, unit, np.repeat(np.arange(batches), 3), batches)
    assert found.tested.all()
    assert found.bent.mean() < 0.05 + 3 * np.sqrt(0.05 * 0.95 / batches)
    alone = own_bends(days, lg, unit, 3 * batches)
    assert alone.bent.mean() < 0.05 + 3 * np.sqrt(0.05 * 0.95 / (3 * batches))


def test_bent_courses_are_mostly_found() -> None:
    """Of 2,000 batches whose courses fall with the root of time 95 % are, with the same scatter."""
    rng = np.random.default_rng(8)
    batches = 2000
    days = np.tile([0.04, 1, 3, 7, 10], 3 * batches)
    unit = np.repeat(np.arange(3 * batches), 5)
    lg = 10 - np.sqrt(days) + rng.normal(0, 0.1, days.size)
    found = common_bends(days, lg, unit, np.repeat(np.arange(batches), 3), batches)
    assert found.bent.mean() > 0.95


def test_the_spots_of_a_single_panel_tell_whether_it_is_straight() -> None:
    """Three spots that all fall and stay bend alike: no slope, though one panel stands alone."""
    hours, lg = (1.0, 24.0, 72.0), (9.5, 7.6, 7.5)
    course = [
        ("A", h, 10 ** (y + 0.02 * k)) for k in range(3) for h, y in zip(hours, lg, strict=True)
    ]
    spectra = panels(*course, spot=[f"s{k}" for k in range(3) for _ in hours])
    row = decline_rows(spectra, ImpedanceChoices()).iloc[0]
    assert row["reason"].startswith("the course is not straight")


def test_a_course_that_begins_below_what_is_good_says_so() -> None:
    """A film at 4.7e6 ohm cm2 that falls no further has a small decline, and is no good film."""
    course = (("A", 24.0, 4.7e6), ("A", 48.0, 4.6e6), ("A", 72.0, 4.7e6), ("A", 96.0, 4.65e6))
    rows = decline_rows(panels(*course), ImpedanceChoices())
    (flags,) = rows[(rows["quantity"] == "modulus_decline") & (rows["panel"] == "A")]["flags"]
    told = "below 1e+08 ohm cm2 already at the first exposure, 24 h, at 4.7e+06"
    assert flags.split("; ")[0] == told
