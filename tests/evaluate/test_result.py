"""Result tables as whoever writes an evaluation makes them."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tiecoat.evaluate.result import results


@pytest.mark.parametrize("empty", ["", None, np.nan, [None], [np.nan], pd.array([None], "str")])
def test_an_empty_text_is_one_thing_however_it_is_given(empty: object) -> None:
    """Else results of wet paint would not be those of the same batch elsewhere."""
    found = results("pick_up", {"batch": "RB-014", "panel": empty}, 1.0, "g/m2")
    assert found["panel"].tolist() == [""]
    assert found["measurement"].tolist() == [""]


@pytest.mark.parametrize("reason", ["", None, [None], np.array([np.nan])])
def test_a_missing_value_has_a_reason_however_it_is_left_out(reason: object) -> None:
    """An empty one is none."""
    with pytest.raises(ValueError, match="pick_up: 1 values are missing without a reason"):
        results("pick_up", {}, np.nan, "g/m2", reason=reason)
