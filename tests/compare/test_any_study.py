"""Whatever was measured, a study ends in verdicts or in sentences."""

from __future__ import annotations

import math
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study_tables import NONE_FILED, panel_rows, panels_of, register

from tiecoat.compare.comparison import compare
from tiecoat.compare.dose import dose_trends, trend_table
from tiecoat.compare.ranking import rank
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import VerdictWord
from tiecoat.evaluate.estimate import NotDeterminable

BATCHES = ["RB-010", "RB-011", "RB-012", "RB-013"]
VALUES = st.one_of(
    st.sampled_from([0.0, 1.0, 1.0, 2.0, 5.0, -3.0, 1e-12, 1e12, math.nan]), st.floats(0.1, 10)
)
PANELS = st.lists(VALUES, max_size=4)
ASKED = st.sampled_from(
    [
        "margin = 1",
        'direction = "lower"\nmargin_percent = 10',
        'scale = "ratio"\nmargin_percent = 30',
        'direction = "target"\nmargin = 2',
        'direction = "target"\nmargin = 2\ntarget = 0',
        'direction = "target"\nscale = "ratio"\nmargin_percent = 20\ntarget = 3',
        'method = "ratings"\nmargin = 0.2',
        'ideal = 10\nunacceptable = 0\nscale = "ratio"',
        "",
    ]
)


@pytest.mark.thorough
@settings(max_examples=12, deadline=None)
@given(
    st.lists(PANELS, min_size=4, max_size=4), ASKED, st.sampled_from([[], [24.0], [24.0, 240.0]])
)
def test_no_study_ends_in_a_traceback(
    panels: list[list[float]], asked: str, hours: list[float]
) -> None:
    """Empty, alone, equal, negative, huge, missing: outcomes keep their rules."""
    values = dict(zip(BATCHES, panels, strict=True))
    table = panel_rows("gloss", values, exposure_h=24.0 if hours else math.nan)
    text = f'exposure_h = {hours}\n[[property]]\nname="g"\nkind="film"\nquantity="gloss"\n{asked}'
    comparison = compare(
        load_study(text),
        results={"film": table},
        batches=register(
            BATCHES, doses={"RB-012": 9.0}, candidates={"RB-011": "talc", "RB-012": "talc"}
        ),
        panels=panels_of(table),
        filed=NONE_FILED,
    )
    assert len(comparison.table()) == len(comparison.verdicts)
    for one in comparison.verdicts:
        assert one.because
        if one.outcome is VerdictWord.NOT_WORSE:
            assert one.low > one.limit_low or one.limit_low == -math.inf
            assert one.high < one.limit_high or one.limit_high == math.inf
        if one.outcome in {VerdictWord.BETTER, VerdictWord.WORSE}:
            assert one.p <= 0.05
            assert min(one.n, one.n_control) >= 2
        if math.isfinite(one.effect):
            assert one.low <= one.effect <= one.high
    assert len(trend_table(dose_trends(comparison))) <= len(comparison.properties)
    with suppress(NotDeterminable):
        chances = rank(comparison, draws=50).chances
        assert math.isclose(chances.to_numpy().sum(), len(chances))
