"""What becomes of a file of the other lab in a merge."""

from __future__ import annotations

from enum import StrEnum


class ComesAs(StrEnum):
    """What becomes of a file of the other lab; each has one, the last that was found."""

    FILED = "filed"  # comes with measurements
    KNOWN = "known"  # comes, and this lab has its values
    WAITING = "waiting"  # comes, and waits as there
    DISCARDED = "discarded"  # comes, as discarded there
    GONE_ON = "gone_on"  # comes, as the beginning of another one
    HELD = "held"  # comes, contradicts this lab and is held here
    LEFT_OUT = "left_out"  # does not come
