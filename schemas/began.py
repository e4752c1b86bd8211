"""When an exposure began: the hours until a measurement follow where an export states none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tiecoat.plugin import Relation, Source
from tiecoat.schemas.words import panels as words

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_HOUR_S = 3600.0


def hours_since(
    began_s: NDArray[np.float64], measured_s: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the hours between two times, both in seconds since one moment.

    Examples
    --------
    >>> import numpy as np
    >>> hours_since(np.array([0.0]), np.array([86_400.0]))
    array([24.])
    """
    return (measured_s - began_s) / _HOUR_S


BEGAN = Source("began_at", "", "when the immersion began", words.IMMERSED_AT, type="time")
TEST_BEGAN = Source(
    BEGAN.name, "", "when the exposure began", words.IMMERSED_AT + words.EXPOSED_AT, type="time"
)
EXPOSED = Relation("exposure_h", (BEGAN.name, "moment"), hours_since, within=0.1)
