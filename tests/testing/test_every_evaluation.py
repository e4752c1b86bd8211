"""All evaluations that are built in pass through the kit; some of them take long."""

from __future__ import annotations

import pytest
from test_built_in import EXAMPLE, NAMES

from tiecoat.testing import Conformance

pytestmark = pytest.mark.thorough
evaluations = Conformance(
    *(name for name in NAMES if name.startswith("evaluate_")), archive=EXAMPLE
)
