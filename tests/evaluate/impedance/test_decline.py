"""Decline of the modulus over exposure and the time to cross a limit."""

from __future__ import annotations

import numpy as np
import pytest
from films import AREA_CM2, R, frame_of, impedance
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.decline import decline, decline_rows, mean_of_groups, time_to_limit
from tiecoat.evaluate.impedance.spectra import Spectra, spectra_of

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
    assert rows.loc["B", "flags"] == "two exposures: no interval"
    assert np.isnan(rows.loc["B", "low"])
    assert rows.loc["C", "low"] < rows.loc["C", "value"] < rows.loc["C", "high"]
    assert rows.loc["", "flags"] == "1 of 3 panels have no decline"
    assert rows.loc["", "n"] == 2


def test_one_panel_has_a_decline_but_no_error_of_it() -> None:
    """One panel tells nothing of how panels differ; its time to a limit has no error either."""
    rows = decline_rows(panels(("A", 1, 1e9), ("A", 25, 1e7), ("A", 49, 1e6)), ImpedanceChoices())
    rows = rows[rows["panel"] == ""].set_index(["quantity", "condition"])
    for at, value in (
        (("modulus_decline", "0.1 Hz"), 1.5),
        (("time_to_limit", "below 1e+08 ohm cm2 at 0.1 Hz"), 13),
    ):
        row = rows.loc[at]
        assert (row["value"], row["n"]) == (pytest.approx(value), 1)
        assert row[["standard_error", "low", "high"]].isna().all()
    alone = rows.loc[("modulus_decline", "0.1 Hz")]
    assert (alone["flags"], alone["reason"]) == ("one panel: no interval between panels", "")


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
    assert rows.loc["", "low"] == pytest.approx((13 + 73 + 0) / 3)
    assert rows.loc["", "reason"].startswith("2 of 3 panels without a time: censored")


def test_a_batch_whose_panels_all_crossed_has_a_mean_with_an_interval() -> None:
    """13 and 19 hours: 16, with t(0.975, 1) = 12.706 times a standard error of 3."""
    spectra = panels(("A", 1, 1e9), ("A", 25, 1e7), ("B", 7, 1e9), ("B", 31, 1e7))
    rows = decline_rows(spectra, ImpedanceChoices())
    row = rows[(rows["condition"] == "below 1e+08 ohm cm2 at 0.1 Hz") & (rows["panel"] == "")].iloc[
        0
    ]
    assert (row["value"], row["standard_error"], row["n"]) == (
        pytest.approx(16),
        pytest.approx(3),
        2,
    )
    assert row["high"] == pytest.approx(16 + 12.706 * 3, rel=1e-4)
