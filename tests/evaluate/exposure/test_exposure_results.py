"""From inspections to what the chemist writes into the report."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t as student

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.choices import ExposureRatingChoices
from tiecoat.evaluate.exposure import chamber_record
from tiecoat.evaluate.exposure.exposure_rating import compute
from tiecoat.evaluate.exposure.inspections import Course, reached_between
from tiecoat.evaluate.result import COLUMNS
from tiecoat.schemas.chamber_record import READINGS
from tiecoat.schemas.exposure_rating import RATINGS, complete

BEGIN = pd.Timestamp("2026-10-12 06:00", tz="UTC")
NSS = "neutral salt spray"
NO_RECORD = pd.DataFrame(
    {
        "batch": pd.Series([], dtype="str"),
        "measured_at": pd.Series([], dtype="datetime64[us, UTC]"),
        **{name: pd.Series([], dtype="float64") for name in READINGS},
    }
)


def seen(
    ratings: Mapping[float, Any],
    panel: str = "RB-014-1",
    rated: str = "rust",
    column: str = "rating",
    **more: Any,
) -> pd.DataFrame:
    """Ratings of one panel by hours, as the archive gives them."""
    hours, n = list(ratings), len(ratings)
    columns: dict[str, Any] = {name: [math.nan] * n for name in RATINGS}
    columns |= {
        "exposure": [NSS] * n,
        "exposure_h": [float(hour) for hour in hours],
        "property": [rated] * n,
        "reading": [1.0] * n,
        "rating": [None] * n,
        column: list(ratings.values()),
    }
    frame = pd.DataFrame({name: more.get(name, values) for name, values in columns.items()})
    frame = complete(frame.astype(dict.fromkeys(("exposure", "property", "rating"), "str")))
    return frame.assign(
        batch=panel[:6],
        panel=panel,
        measurement=[f"{panel}-{rated}-{hour}" for hour in hours],
        measured_at=[BEGIN + pd.Timedelta(hours=hour) for hour in hours],
    )


def evaluated(
    *panels: pd.DataFrame, record: pd.DataFrame = NO_RECORD, **choices: Any
) -> pd.DataFrame:
    """The result table."""
    rows = pd.concat(panels, ignore_index=True)
    frames = {"exposure_rating": rows, "chamber_record": record}
    table = compute(frames, ExposureRatingChoices(**choices))
    assert list(table.columns) == list(COLUMNS)
    return table


def one(table: pd.DataFrame, quantity: str, panel: str = "", hour: float = math.nan) -> Any:
    """The one row of a quantity; without a panel that of the batch."""
    at = table["exposure_h"].isna() if math.isnan(hour) else table["exposure_h"] == hour
    rows = table[(table["quantity"] == quantity) & (table["panel"] == panel) & at]
    assert len(rows) == 1, table[table["quantity"] == quantity]
    return rows.iloc[0]


def ends(row: Any) -> list[float]:
    """Value, low and high of a row, -1 where there is none."""
    return [-1.0 if math.isnan(row[name]) else row[name] for name in ("value", "low", "high")]


def test_a_grade_has_a_band_of_areas_and_an_area_has_a_grade() -> None:
    """What was rated is a value; on the other scale it is a band, or a grade."""
    table = evaluated(
        seen({240: "Ri 0", 480: "Ri 3"}),
        seen({240: 0.2, 480: 9.0}, "RB-014-2", column="area_percent"),
        seen({240: 6.0, 480: 10.0}, "RB-014-3", column="d610_grade"),
    )
    first, second, third = (f"RB-014-{place}" for place in (1, 2, 3))
    assert ends(one(table, "rust_grade", first, 480)) == [3, -1, -1]
    assert ends(one(table, "rusted_area", first, 480)) == [-1, 0.5, 8]
    assert "a grade stands for a band of areas" in one(table, "rusted_area", first, 480)["reason"]
    assert ends(one(table, "rust_grade_d610", first, 480)) == [-1, 4, 6]
    assert ends(one(table, "rust_grade", second, 240)) == [-1, 1, 2]
    assert "between two pictures" in one(table, "rust_grade", second, 240)["reason"]
    assert "ISO 4628-3:2016" in one(table, "rust_grade", second, 240)["method"]
    assert "ISO 4628-3:2024" in one(table, "rusted_area", second, 240)["method"]
    assert ends(one(table, "rusted_area", second, 480)) == [9, -1, -1]
    assert ends(one(table, "rust_grade_d610", second, 480)) == [4, -1, -1]
    assert ends(one(table, "rust_grade", third, 240)) == [-1, 1, 3]
    assert ends(one(table, "rust_grade", third, 480)) == [-1, 0, 1]
    assert "allows several degrees" in one(table, "rust_grade", third, 480)["reason"]
    assert ends(one(table, "rust_grade_d610", third, 240)) == [6, -1, -1]
    assert ends(one(table, "rusted_area", third, 240)) == [-1, 0.3, 1]


def test_an_area_between_two_pictures_is_followed_to_the_time_of_a_grade() -> None:
    """1.05 % may be Ri 3 or Ri 4, of 1.0 and 8 % pictures exist: neither is given the worse one."""
    rows = seen({240: 0.5, 480: 1.05, 720: 8.0}, column="area_percent")
    table = evaluated(rows, rust_grade=4)
    hours = (240, 480, 720)
    found = [ends(one(table, "rust_grade", "RB-014-1", hour)) for hour in hours]
    assert found == [[2, -1, -1], [-1, 3, 4], [4, -1, -1]]
    assert ends(one(table, "time_to_rust_grade", "RB-014-1")) == [-1, 240, 720]
    assert ends(one(evaluated(rows), "time_to_rust_grade", "RB-014-1")) == [-1, 240, 480]


def test_what_is_not_clear_at_the_worst_has_no_one_grade() -> None:
    """Of a panel and of its batch low and high are told, unless a clear grade is as bad."""
    open_rows = seen({240: 0.5, 480: 1.05}, column="area_percent")
    table = evaluated(open_rows, seen({480: "Ri 2"}, "RB-014-2"))
    for panel in ("RB-014-1", ""):
        worst = one(table, "rust_grade_worst", panel)
        assert ends(worst) == [-1, 3, 4]
        assert "the ratings leave open" in worst["reason"]
        assert "first seen" not in worst["method"]
    settled = evaluated(open_rows, seen({480: "Ri 4"}, "RB-014-2"))
    assert ends(one(settled, "rust_grade_worst")) == [4, -1, -1]


def test_half_steps_stand_between_their_neighbours() -> None:
    """Ri 2.5 is not yet Ri 3; its areas are those between the two pictures."""
    table = evaluated(seen({240: "Ri 2.5", 480: "3,5"}))
    assert ends(one(table, "rust_grade", "RB-014-1", 240)) == [2.5, -1, -1]
    assert ends(one(table, "rusted_area", "RB-014-1", 240)) == [-1, 0.5, 1]
    assert ends(one(table, "time_to_rust_grade", "RB-014-1")) == [-1, 240, 480]
    assert ends(one(table, "rust_grade_worst")) == [3.5, -1, -1]


def test_two_scales_of_one_panel_narrow_each_other() -> None:
    """A degree and a grade of ASTM D610 leave the areas that both allow."""
    table = evaluated(seen({480: "Ri 2"}, d610_grade=[6.0]))
    assert ends(one(table, "rusted_area", "RB-014-1", 480)) == [-1, 0.3, 1]


def test_the_worst_of_panel_and_batch() -> None:
    """The worst grade so far, when it was first seen, and the greatest size of blisters."""
    table = evaluated(
        seen({240: "0", 480: "2(S4)", 720: "3(S2)"}, rated="blisters"),
        seen({240: "1(S2)", 480: "1(S2)"}, "RB-014-2", rated="blisters"),
    )
    worst = one(table, "blister_density_worst", "RB-014-1")
    assert (worst["value"], worst["n"]) == (3, 3)
    assert "first seen at 720 h" in worst["method"]
    assert one(table, "blister_size_worst", "RB-014-1")["value"] == 4
    assert one(table, "blister_density_worst")["value"] == 3
    assert one(table, "blister_density_worst")["n"] == 2
    assert one(table, "blister_size_worst", "RB-014-2")["value"] == 2


def test_a_panel_reaches_a_grade_between_two_inspections() -> None:
    """There is no value, but the inspections, and the limit that a sound panel tells."""
    table = evaluated(
        seen({240: "Ri 1", 480: "Ri 4"}),
        seen({240: "Ri 3", 480: "Ri 3"}, "RB-014-2"),
        seen({240: "Ri 0", 480: "Ri 2"}, "RB-014-3"),
        seen({0: "Ri 3", 480: "Ri 3"}, "RB-014-4"),
    )
    found = {place: one(table, "time_to_rust_grade", f"RB-014-{place}") for place in (1, 2, 3, 4)}
    assert ends(found[1]) == [-1, 240, 480]
    assert "after 240 h and by 480 h" in found[1]["reason"]
    assert ends(found[2]) == [-1, 0, 240]
    assert ends(found[3]) == [-1, 480, -1]
    assert found[3]["reason"] == "not reached by 480 h"
    assert "before the exposure began" in found[4]["reason"]
    assert found[1]["condition"] == f"{NSS}; Ri 3"
    median = one(table, "time_to_rust_grade_median")
    assert ends(median) == [-1, 240, 480]
    assert "no confidence interval" in median["method"]
    assert "RB-014-4 is left out" in median["flags"]
    assert "2 of 3 panels reached it" in median["flags"]
    shares = [one(table, "share_below_rust_grade", hour=hour)["value"] for hour in (240, 480)]
    assert shares == pytest.approx([100 * 2 / 3, 100 / 3])


@given(
    st.floats(1, 1500),
    st.lists(
        st.sampled_from([24.0, 48, 96, 168, 240, 336, 480, 720, 1000]), min_size=1, unique=True
    ),
)
def test_the_true_time_lies_in_what_the_inspections_leave(
    true_h: float, hours: list[float]
) -> None:
    """Whatever the inspections: sound before, reached after, the time itself is between."""
    grades = tuple(3 if hour >= true_h else 1 for hour in sorted(hours))
    course = Course("RB-014", "RB-014-1", NSS, "rust", tuple(sorted(hours)), grades, grades)
    low, high = reached_between(course, 3)
    assert low < true_h <= high
    assert not any(low < hour < high for hour in hours)


def test_a_grade_known_as_a_band_is_not_taken_for_reached_before_it_certainly_is() -> None:
    """Grade 6 of ASTM D610 may be Ri 2 or Ri 3: the interval stays open over it."""
    table = evaluated(seen({240: 7.0, 480: 6.0, 720: 5.0}, column="d610_grade"))
    assert ends(one(table, "time_to_rust_grade", "RB-014-1")) == [-1, 240, 720]


def test_the_grade_is_the_labs_choice() -> None:
    """Another grade has another time, and one that no panel can have is refused."""
    rows = seen({240: "Ri 1", 480: "Ri 4"})
    table = evaluated(rows, rust_grade=1)
    assert ends(one(table, "time_to_rust_grade", "RB-014-1")) == [-1, 0, 240]
    for name in ("rust_grade", "blister_density", "cracking_quantity", "flaking_quantity"):
        for grade in (0, 6):
            with pytest.raises(ValueError, match=f"{name} = {grade}: allowed is 1 to 5"):
                ExposureRatingChoices(**{name: grade})


def test_an_error_that_the_profile_contradicts_is_not_given() -> None:
    """Beside an interval that is far from even stands no standard error, and it is said why."""
    hours = (24, 72, 168)
    panels = [
        seen({h: "Ri 3" if h >= end else "Ri 1" for h in hours}, f"RB-014-{place}")
        for place, end in enumerate((24, 168, 168), 1)
    ]
    table = evaluated(*panels)
    for name in ("time_to_rust_grade_median_fitted", "time_to_rust_grade_shape"):
        row = one(table, name)
        assert row["value"] > 0
        assert math.isnan(row["standard_error"])
        assert "no standard error: the interval by profile is too uneven for one" in row["flags"]
        assert "the error is rough" not in row["flags"]


def test_a_median_whose_interval_ends_nowhere_is_not_told() -> None:
    """The likeliest one excludes no other time: a reason, and what inspections leave open stays."""
    hours = (24, 48, 96, 240)
    panels = [
        seen({h: "Ri 3" if h >= end else "Ri 1" for h in hours if first <= h <= last}, name)
        for name, first, last, end in (
            ("RB-014-1", 48, 240, 48),
            ("RB-014-2", 24, 240, 96),
            ("RB-014-3", 24, 24, 999),
            ("RB-014-4", 24, 240, 999),
        )
    ]
    table = evaluated(*panels)
    row = one(table, "time_to_rust_grade_median_fitted")
    assert np.isnan([row["value"], row["low"], row["high"]]).all()
    assert row["reason"] == "the interval of the median has no end on either side"
    assert "time_to_rust_grade_shape" not in table["quantity"].tolist()
    assert one(table, "time_to_rust_grade_median")["low"] >= 0


def test_where_panels_suffice_a_distribution_is_fitted() -> None:
    """The median has a value, an error and an interval, and few panels are told."""
    failed = [240, 336, 336, 480, 720]
    hours = (168, 240, 336, 480, 720, 1000)
    panels = [
        seen({h: "Ri 3" if h >= end else "Ri 1" for h in hours}, f"RB-014-{place}")
        for place, end in enumerate(failed, 1)
    ]
    for distribution in ("weibull", "log-normal"):
        row = one(evaluated(*panels, distribution=distribution), "time_to_rust_grade_median_fitted")
        assert 100 < row["low"] < 240 < row["value"] < 480 < row["high"] < 1000
        assert row["standard_error"] > 0
        assert row["method"].startswith(distribution)
        assert "rests on 5 panels" in row["flags"]
    lasting = [seen(dict.fromkeys(hours, "Ri 1"), f"RB-014-{place}") for place in (6, 7)]
    row = one(evaluated(panels[0], panels[4], *lasting), "time_to_rust_grade_median_fitted")
    assert row["low"] < row["value"]
    assert math.isnan(row["high"])
    assert "the interval has no upper end" in row["flags"]
    table = evaluated(*panels[:2])
    assert (
        "known of 2 panels; a distribution needs 3"
        in one(table, "time_to_rust_grade_median_fitted")["reason"]
    )


def test_what_cannot_be_is_flagged() -> None:
    """Grades that improve, two ratings at the same hours, and hours that fall with the date."""
    falling = seen({240: "Ri 1", 480: "Ri 3", 720: "Ri 2"})
    table = evaluated(falling, falling.iloc[[2]].assign(rating="Ri 1", grade=1.0))
    for quantity in ("rust_grade_worst", "time_to_rust_grade"):
        flags = one(table, quantity, "RB-014-1")["flags"]
        assert "the grade improves from 3 at 480 h to 2 at 720 h" in flags
        assert "rated more than once at 720 h: the worse counts" in flags
    assert "RB-014-1: the grade improves" in one(table, "rust_grade_worst")["flags"]
    turned = falling.assign(measured_at=falling["measured_at"].to_numpy()[::-1])
    flags = one(evaluated(turned), "rust_grade_worst", "RB-014-1")["flags"]
    assert "2026-11-01 06:00 UTC has 480 h, an earlier one 720 h" in flags
    assert "has 240 h, an earlier one 480 h" in flags


def test_shares_are_told_as_far_as_something_is_known() -> None:
    """Up to the last that reached it or was still sound, not at each inspection after."""
    grades = {240: "Ri 1", 480: "Ri 3", 720: "Ri 4"}
    for other, expected in (
        ({480: "Ri 3"}, {240: 100, 480: 0}),
        ({480: "Ri 1"}, {240: 100, 480: 50}),
    ):
        table = evaluated(seen(grades), seen({240: "Ri 1", **other}, "RB-014-2"))
        shares = table[table["quantity"] == "share_below_rust_grade"]
        assert shares.set_index("exposure_h")["value"].to_dict() == expected


def test_of_two_ratings_at_the_same_hours_the_worse_decides() -> None:
    """One rater says Ri 1, the other Ri 3: the grade counts as reached."""
    rows = seen({240: "Ri 1", 480: "Ri 1"})
    table = evaluated(rows, rows.iloc[[1]].assign(rating="Ri 3", grade=3.0))
    assert ends(one(table, "time_to_rust_grade", "RB-014-1")) == [-1, 240, 480]


def test_a_share_that_inspections_leave_open_is_told_as_such() -> None:
    """The panel was inspected at 480 h, but its D610 grade 6 may be Ri 2 or Ri 3."""
    table = evaluated(
        seen({240: 7.0, 480: 6.0, 720: 5.0}, column="d610_grade"),
        seen({240: "Ri 0", 480: "Ri 1", 720: "Ri 1"}, "RB-014-2"),
    )
    row = one(table, "share_below_rust_grade", hour=480)
    assert ends(row) == [-1, 50, 100]
    assert row["reason"] == "not of every panel was a clear grade seen then"
    unclear = evaluated(seen({240: 6.0}, column="d610_grade"))
    median = one(unclear, "time_to_rust_grade_median")
    assert median["reason"] == "inspections leave it open"
    assert one(unclear, "time_to_rust_grade", "RB-014-1")["reason"] == "never rated below the grade"


def scribed(creeps: Sequence[float], panel: str) -> pd.DataFrame:
    """Readings along the scribe of one panel after 1000 h."""
    parts = []
    for n, creep in enumerate(creeps, 1):
        widths = {"scribe_width_mm": [1.0], "reading": [float(n)]}
        width = {1000: 1 + 2 * creep}
        parts.append(seen(width, panel, "scribe delamination", "damage_width_mm", **widths))
    return pd.concat(parts, ignore_index=True)


def test_creep_of_a_batch_rests_on_its_panels() -> None:
    """Of a panel the readings are the unit, of a batch the means of the panels."""
    panels = {"RB-014-1": [2.0, 2.4, 2.2], "RB-014-2": [3.0], "RB-014-3": [2.6, 2.6]}
    table = evaluated(*(scribed(creeps, panel) for panel, creeps in panels.items()))
    means = [2.2, 3.0, 2.6]
    row = one(table, "scribe_delamination", hour=1000)
    half = student.ppf(0.975, 2) * np.std(means, ddof=1) / math.sqrt(3)
    assert ends(row) == pytest.approx([2.6, 2.6 - half, 2.6 + half])
    assert "mean of 3 panel means; interval by t, panels as unit" in row["method"]
    first = one(table, "scribe_delamination", "RB-014-1", 1000)
    half = student.ppf(0.975, 2) * 0.2 / math.sqrt(3)
    assert ends(first) == pytest.approx([2.2, 2.2 - half, 2.2 + half])
    assert (
        one(table, "scribe_delamination", "RB-014-2", 1000)["flags"]
        == "no interval from one reading"
    )
    assert one(table, "scribe_delamination", "RB-014-3", 1000)["flags"] == "no interval: no spread"


def test_creep_does_not_reach_below_zero() -> None:
    """Panels that hardly creep: the interval by t is cut, and the method says so."""
    panels = {"RB-014-1": [0.0], "RB-014-2": [0.1], "RB-014-3": [0.6]}
    table = evaluated(*(scribed(creeps, panel) for panel, creeps in panels.items()))
    row = one(table, "scribe_delamination", hour=1000)
    assert row["low"] == 0.0
    assert row["method"].endswith("panels as unit, cut at 0")


def record_of(*readings: tuple[float, float, float, float]) -> pd.DataFrame:
    """Daily readings of the chamber that RB-014 was in."""
    rows = pd.DataFrame(list(readings), columns=list(READINGS), dtype="float64")
    return rows.assign(
        batch="RB-014",
        measurement=[f"m{day}" for day in range(len(rows))],
        measured_at=[BEGIN + pd.Timedelta(days=day) for day in range(len(rows))],
    )


SOUND = (35.0, 1.5, 6.8, 50.0)


def test_a_chamber_out_of_its_limits_is_told_with_the_ratings() -> None:
    """On how many days; only salt spray is judged by these limits."""
    record = record_of(SOUND, (38.0, 2.4, 6.8, 50.0), SOUND)
    table = evaluated(seen({480: "Ri 1"}), scribed([2.0], "RB-014-1"), record=record)
    said = "chamber out of limits on 1 of 3 days"
    for quantity in ("rust_grade_worst", "time_to_rust_grade_median"):
        assert said in one(table, quantity)["flags"]
    assert said in one(table, "scribe_delamination", hour=1000)["flags"]
    damp = evaluated(seen({480: "Ri 1"}, exposure=["condensation"]), record=record)
    assert said not in one(damp, "rust_grade_worst")["flags"]
    sound = evaluated(seen({480: "Ri 1"}), record=record_of(SOUND))
    assert one(sound, "rust_grade_worst")["flags"] == ""


def test_the_record_of_a_chamber() -> None:
    """Each reading with the limits that it breaks, shares within, means, days outside."""
    rows = record_of(SOUND, (38.0, 2.4, 6.8, 50.0), (35.0, math.nan, math.nan, 49.0))
    table = chamber_record.compute({"chamber_record": rows}, Choices())
    broken = table[table["quantity"] == "limits_broken"]
    assert broken["value"].tolist() == [0, 2, 0]
    assert broken["flags"].iloc[1] == (
        "temperature 38 degC, limits 33 to 37 degC; collected spray 2.4 ml/h, limits 1 to 2 ml/h"
    )
    assert broken["condition"].iloc[1] == "2026-10-13 06:00 UTC"
    within = table[table["quantity"] == "within_limits"].set_index("condition")
    assert within["value"].round(1).to_dict() == {
        "temperature 33 to 37 degC": 66.7,
        "collected spray 1 to 2 ml/h": 50.0,
        "pH 6.5 to 7.2": 100.0,
        "salt 45 to 55 g/l": 100.0,
        "all limits": 66.7,
    }
    assert one(table, "chamber_temperature")["value"] == pytest.approx(36)
    assert one(table, "chamber_collected_spray")["n"] == 2
    days = one(table, "days_outside")
    assert (days["value"], days["n"]) == (1, 3)
