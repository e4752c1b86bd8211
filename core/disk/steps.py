"""The named steps of a file's way, and the one seam at which a test can end the process there.

In normal use nobody listens, and reaching a step does nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, get_args

Step = Literal[
    # in the service, one file
    "settled",  # seen in an inbox, and quiet for long enough
    "copied",  # into the stage, not flushed yet
    # in the service, the files that are preserved together
    "preserved",  # under originals/, durable
    "sent",  # to a worker
    # in the worker
    "recognised",  # one file: its reader is known
    "read",  # one file
    "validated",  # all files that were sent together
    # in the service, a round
    "answered",  # the worker's rows are back
    "held",  # one file: beside its reason
    "keyed",  # batch and panel are known
    "begun",  # the journal says which exports go to more than one table
    "announced",  # the index says which tables are about to change
    "staged",  # one table: made, not flushed
    "flushed",  # one table: on the disk, not in its place
    "published",  # every table in its place
    "indexed",  # the index lists what is in the tables
    "recorded",  # the journal says what became of each file
    "remembered",  # the index says so too
    "released",  # one file: out of the held
    "cleared",  # one file: out of its inbox
]
STEPS: tuple[Step, ...] = get_args(Step)

listener: Callable[[Step], None] | None = None


def reached(step: Step) -> None:
    """Tell whoever listens that a step lies behind us."""
    if listener is not None:
        listener(step)
