"""Groups of rows by their positions: what is computed of thousands makes no frame of each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray


def grouped(
    rows: pd.DataFrame, by: Sequence[str]
) -> Iterator[tuple[tuple[Any, ...], NDArray[np.intp]]]:
    """Return for each group its key and the positions of its rows, in the order of the keys.

    Rows without a part of the key belong to no group.

    Examples
    --------
    >>> rows = pd.DataFrame({"batch": ["RB-011", "RB-010", "RB-011", None]})
    >>> [(key, positions.tolist()) for key, positions in grouped(rows, ["batch"])]
    [(('RB-010',), [1]), (('RB-011',), [0, 2])]
    """
    keyed = rows[list(by)].notna().all(axis=1).to_numpy(dtype=bool)
    number = np.where(keyed, rows.groupby(list(by), sort=True).ngroup().to_numpy(), -1)
    order = np.argsort(number, kind="stable")[int((number < 0).sum()) :]
    starts = np.flatnonzero(np.diff(number[order], prepend=-1))
    keys = rows[list(by)].iloc[order[starts]].itertuples(index=False, name=None)
    yield from zip(keys, np.split(order, starts[1:]), strict=False)
