"""From photographs in transmitted light to what the chemist writes into the report."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.choices import DefectCountChoices
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.film.defects import WAVES, compute
from tiecoat.evaluate.statistics.counts import dispersion, rate


def photograph(
    panel: str, seen: dict[str, int], area_mm2: float = 5000.0, **more: Any
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """A photograph as the archive gives it, and its defects, of 0.2, 0.3, ... mm."""
    names = ("pinholes", "craters", "bare_spots", "thin_spots")
    row = {
        "batch": panel[:6],
        "panel": panel,
        "photograph": f"{panel} a",
        "evaluated_mm2": area_mm2,
        **{name: float(seen.get(name, 0)) for name in names},
        "least_diameter_mm": 0.1,
        **dict.fromkeys(WAVES.values(), 1.5),
        "parameters": "margin 5 mm",
        "remarks": None,
        **more,
    }
    classes = [
        name.removesuffix("s").replace("_", " ") for name in names for _ in range(seen.get(name, 0))
    ]
    diameters = 0.2 + 0.1 * np.arange(len(classes))
    regions = pd.DataFrame(
        {
            "batch": panel[:6],
            "panel": panel,
            "defect_class": classes,
            "diameter_mm": diameters,
            "area_mm2": math.pi / 4 * diameters**2,
        }
    )
    return pd.DataFrame([row]), regions


def evaluated(*photographs: tuple[pd.DataFrame, pd.DataFrame]) -> pd.DataFrame:
    """The result table."""
    films, regions = zip(*photographs, strict=True)
    frames = {
        "defects": pd.concat(films, ignore_index=True),
        "defect_regions": pd.concat(regions, ignore_index=True),
    }
    return compute(frames, DefectCountChoices())


def one(table: pd.DataFrame, quantity: str, panel: str, condition: str) -> pd.Series[Any]:
    """The one row of a quantity; without a panel that of the batch."""
    rows = table[(table["quantity"] == quantity) & (table["condition"] == condition)]
    rows = rows[rows["panel"] == panel]
    assert len(rows) == 1
    return rows.iloc[0]


def test_rates_are_pooled_over_photographs() -> None:
    """Sum of counts over sum of areas, in 1/dm², with Garwood's interval."""
    table = evaluated(
        photograph("RB-014-1", {"pinholes": 3}, 5000.0),
        photograph("RB-014-1", {"pinholes": 7}, 15000.0, photograph="b"),
    )
    row = one(table, "defects_per_dm2", "RB-014-1", "pinhole")
    assert (row["value"], row["unit"], row["n"]) == (5.0, "1/dm2", 2)
    assert (row["low"], row["high"]) == pytest.approx((4.795 / 2, 18.390 / 2), abs=1e-3)
    assert row["standard_error"] == pytest.approx(math.sqrt(10) / 2)
    assert "10 on 2 dm2, 2 photographs" in row["method"]
    clean = one(table, "defects_per_dm2", "RB-014-1", "crater")
    assert (clean["value"], clean["low"]) == (0.0, 0.0)
    assert clean["high"] == pytest.approx(3.689 / 2, abs=1e-3)
    assert math.isnan(clean["standard_error"])
    both = one(table, "defects_per_dm2", "", "all classes")
    assert both["value"] == 5.0


def test_panels_that_differ_by_more_than_chance_are_told() -> None:
    """The Poisson interval is flagged, and one over panels stands beside it."""
    uneven = evaluated(
        *(photograph(f"RB-014-{n}", {"pinholes": c}) for n, c in enumerate((2, 3, 40), 1))
    )
    row = one(uneven, "defects_per_dm2", "", "pinhole")
    assert "panels differ by more than chance" in row["flags"]
    over = one(uneven, "defects_per_dm2_over_panels", "", "pinhole")
    assert over["value"] == row["value"] == pytest.approx(30.0)
    assert over["low"] == 0.0
    assert over["high"] > row["high"]
    assert one(uneven, "defects_dispersion", "", "pinhole")["value"] > 10
    alike = evaluated(
        *(photograph(f"RB-014-{n}", {"pinholes": c}) for n, c in enumerate((14, 16, 15), 1))
    )
    assert one(alike, "defects_per_dm2", "", "pinhole")["flags"] == ""
    none = one(alike, "defects_dispersion", "", "crater")
    assert (none["reason"], math.isnan(none["value"])) == ("nothing was counted", True)


def test_counts_that_agree_by_chance_make_no_sure_rate() -> None:
    """One defect on each of two panels: no less than the Poisson error, times t; none, no end."""
    table = evaluated(*(photograph(f"RB-014-{n}", {"pinholes": 1}) for n in (1, 2)))
    over = one(table, "defects_per_dm2_over_panels", "", "pinhole")
    assert (over["value"], over["low"]) == (2.0, 0.0)
    assert over["standard_error"] == pytest.approx(math.sqrt(2))
    assert over["high"] == pytest.approx(2 + 12.706 * math.sqrt(2), rel=1e-4)
    none = one(table, "defects_per_dm2_over_panels", "", "crater")
    assert none["value"] == 0.0
    assert math.isnan(none["high"])
    assert none["flags"] == "no interval: nothing was counted"


def test_one_panel_is_not_compared_with_itself() -> None:
    """No dispersion and no interval over panels without a second one."""
    table = evaluated(photograph("RB-014-1", {"pinholes": 3}))
    asked = {"defects_dispersion", "defects_per_dm2_over_panels"}
    assert not asked & set(table["quantity"])


def test_the_median_size_has_its_interval_from_six_defects_on() -> None:
    """By order statistics; fewer give the median alone, none a reason."""
    table = evaluated(photograph("RB-014-1", {"pinholes": 9, "craters": 3}))
    row = one(table, "defect_diameter_median", "RB-014-1", "pinhole")
    assert (row["value"], row["n"]) == (pytest.approx(0.6), 9)
    # 9 values: the second and the eighth enclose the median with 96.1 %
    assert (row["low"], row["high"]) == pytest.approx((0.3, 0.9))
    few = one(table, "defect_diameter_median", "RB-014-1", "crater")
    assert few["value"] == pytest.approx(1.2)
    assert math.isnan(few["low"])
    assert "no interval: it takes 6 defects" in few["flags"]
    none = one(table, "defect_diameter_median", "RB-014-1", "thin spot")
    assert none["reason"] == "nothing was counted"


def test_photographs_that_do_not_compare_are_told() -> None:
    """Other smallest defects, other limits, remarks, and regions that are missing."""
    films, regions = photograph("RB-014-1", {"pinholes": 4}, remarks="noise")
    table = evaluated(
        (films, regions.iloc[:3]),
        photograph("RB-014-1", {}, least_diameter_mm=0.2, parameters="margin 9 mm"),
    )
    flags = one(table, "defects_per_dm2", "RB-014-1", "pinhole")["flags"]
    for said in (
        "smallest defects counted of 0.1 and 0.2 mm together: rates do not compare",
        "photographs read with different limits together",
        "1 defects too few in defect_regions",
        "noise",
    ):
        assert said in flags


def test_the_area_of_all_defects_is_told_in_percent() -> None:
    """Sum of their areas over the film's."""
    films, regions = photograph("RB-014-1", {"pinholes": 2})
    row = one(evaluated((films, regions)), "defect_area", "RB-014-1", "all classes")
    assert row["value"] == pytest.approx(100 * math.pi / 4 * (0.2**2 + 0.3**2) / 5000)


def test_waves_are_relative_and_say_so() -> None:
    """Mean over the panels' means; bands that no photograph shows have a reason."""
    table = evaluated(
        photograph("RB-014-1", {}, **{WAVES["1 to 3 mm"]: 2.0, WAVES["10 to 30 mm"]: math.nan}),
        photograph("RB-014-2", {}, **{WAVES["1 to 3 mm"]: 4.0, WAVES["10 to 30 mm"]: math.nan}),
    )
    row = one(table, "brightness_waves", "", "1 to 3 mm")
    assert (row["value"], row["unit"], row["n"]) == (3.0, "%", 2)
    assert row["flags"].startswith("relative: ")
    unseen = one(table, "brightness_waves", "", "10 to 30 mm")
    assert "too small" in unseen["reason"]


def test_without_photographs_there_is_nothing() -> None:
    """An empty table, not an error."""
    films, regions = photograph("RB-014-1", {"pinholes": 1})
    frames = {"defects": films.iloc[:0], "defect_regions": regions.iloc[:0]}
    assert len(compute(frames, DefectCountChoices())) == 0


def test_nonsense_is_refused() -> None:
    """Counts below 0, no area, one panel, a chance that is none."""
    with pytest.raises(ValueError, match="counts of at least 0 and areas above 0"):
        rate([-1], [1.0])
    with pytest.raises(ValueError, match="counts of at least 0 and areas above 0"):
        rate([1], [0.0])
    with pytest.raises(NotDeterminable, match="one panel does not differ"):
        dispersion([3], [1.0])
    with pytest.raises(ValueError, match="differ_below = 1: allowed is above 0, below 1"):
        DefectCountChoices(differ_below=1.0)


@given(st.lists(st.integers(0, 200), min_size=1, max_size=5), st.floats(0.1, 50))
def test_the_rate_lies_within_its_interval_and_scales_with_the_area(
    events: list[int], area: float
) -> None:
    """Half the area is twice the rate."""
    found, (low, high) = rate(events, [area] * len(events))
    assert low <= found.value <= high
    half, ends = rate(events, [area / 2] * len(events))
    assert (half.value, *ends) == pytest.approx((2 * found.value, 2 * low, 2 * high))


def test_the_area_of_defects_has_an_interval() -> None:
    """Of 25 equal defects it is Garwood's of 25; few are told, and panels that differ widen it."""
    films, regions = photograph("RB-014-1", {"craters": 25}, 10000.0)
    row = one(evaluated((films, regions.assign(area_mm2=1.0))), "defect_area", "", "all classes")
    assert row["value"] == pytest.approx(0.25)
    assert (row["low"], row["high"]) == pytest.approx((0.16179, 0.36905), abs=2e-5)
    assert row["flags"] == ""
    few = one(evaluated(photograph("RB-014-1", {"craters": 3})), "defect_area", "", "all classes")
    assert "rests on few defects, 3: the interval is rough" in few["flags"]
    none = photograph("RB-014-2", {"craters": 0}, 10000.0)
    both = evaluated((films, regions.assign(area_mm2=1.0)), none)
    row = one(both, "defect_area", "", "all classes")
    assert row["low"] == 0.0
    assert row["high"] > 1
    assert "by t over the panels" in row["method"]
    clean = one(both, "defect_area", "RB-014-2", "all classes")
    assert (clean["value"], clean["flags"]) == (0.0, "no interval: nothing was counted")


def test_defects_that_touch_raise_the_upper_end() -> None:
    """At 5 % of the film 10.8 % more may be there than are counted; at 0.25 % nothing is said."""
    films, regions = photograph("RB-014-1", {"craters": 20}, 10000.0)
    dense = one(
        evaluated((films, regions.assign(area_mm2=25.0))), "defects_per_dm2", "RB-014-1", "crater"
    )
    assert dense["high"] == pytest.approx(30.888 / 0.95**2, abs=2e-3)
    assert "those that touch and count as one" in dense["method"]
    sparse = one(evaluated((films, regions)), "defects_per_dm2", "RB-014-1", "crater")
    assert sparse["high"] == pytest.approx(30.888, abs=1e-3)
    assert "touch" not in sparse["method"]
