"""What a plugin draws over time in the report of a study, as gloss and rust are drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import pandas as pd

    CoursesOf = Callable[[pd.DataFrame, pd.DataFrame], Iterable["TimeCourse"]]


class Clock(Enum):
    """From when time is counted, which says how it is told: in minutes, hours or days."""

    EXPOSURE = "exposure"
    CHAMBER = "chamber"  # exposure that is told in hours, however long
    REST = "rest"
    FOAM = "foam"
    FIRST = "first reading"


@dataclass(frozen=True)
class TimeCourse:
    """Values over time, of what may be drawn in one frame.

    Parameters
    ----------
    axis
        What the value is, with its unit: "gloss at 60° (GU)".
    points
        A row a reading: `batch`; `panel` or `measurement`, as `StudyCourse.line` says; `time_h` in
        hours; `value`; and where they are known `low` and `high` of its interval, and `failed`,
        which is drawn with a cross. Of panels `measurement` or `measured_at` tell which coat they
        had then. Other columns are passed over.
    condition
        Under which they hold, such as "0.1 Hz".
    title
        What tells them from the others of the same quantity.
    """

    axis: str
    points: pd.DataFrame = field(repr=False)
    condition: str = ""
    title: str = ""


@dataclass(frozen=True)
class StudyCourse:
    """A quantity over time in the report of a study: a candidate in each frame, beside the control.

    It stands in the section "Over time", in the slides and among the files, with a line for each
    panel or determination, in the looks that the report has for doses. There is none where nothing
    was read twice. Panels are parted by coat system, substrate and dolly, as they must be.

    Parameters
    ----------
    name
        Unique among the figures of all plugins; its files are called by it.
    kind
        The kind that it is of; there is none where a study has nothing of it.
    courses
        A pure function: gets the results of the kind, and its rows, of the batches compared, an
        empty panel "" in both, and returns each `TimeCourse`. What it raises stands in the place of
        the figure.
    clock
        From when time is counted.
    line
        What a line is: a panel, a measurement (of wet paint), or a batch.
    quantity
        Of the results: the times at which a study compares it are marked. "": none are.
    condition
        Under which it is drawn alone, where a study compares `quantity` under no other; "": each.
    caption
        What is to be known besides to read the figure.
    is_log, is_graded
        Whether the axis of values is logarithmic, or has the grades 0 to 5 of ISO 4628.
    """

    name: str
    kind: str
    courses: CoursesOf
    clock: Clock = Clock.EXPOSURE
    line: Literal["panel", "measurement", "batch"] = "panel"
    quantity: str = ""
    condition: str = ""
    caption: str = ""
    is_log: bool = False
    is_graded: bool = False

    @property
    def title(self) -> str:
        """How it is listed."""
        return f"{self.name.replace('_', ' ')} over time"
