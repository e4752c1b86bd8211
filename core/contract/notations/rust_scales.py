"""Two scales for rust, and the share of the area that each grade stands for.

ISO 4628-3 rates by pictures, and names one rusted area for each: Ri 0 0 %, Ri 1 0.05 %, Ri 2 0.5 %,
Ri 3 1 %, Ri 4 8 %, Ri 5 40 to 50 %. A panel hardly ever looks like a picture. One rater takes the
nearer picture, another the worse of the two that it lies between, and the rating does not tell
which. So a grade gives a band of areas from the picture below to the picture above, which holds for
either rater and is no narrower than what is known, and an area between two pictures has the degrees
of both: low and high, no value. A half step, Ri 2.5, is rated between its two pictures.

The edition of 2024 rates by an estimated percentage as well, and corrected the area of Ri 5 to a
figure that was not seen: what is computed here follows the pictures of 2016. Withdrawn DIN 53210
had the same letters for other areas: Ri 1 about 1 %, Ri 2 3 %, Ri 3 10 %, Ri 4 30 %, Ri 5 50 % and
more.

ASTM D610 names the greatest area of each grade, so that its bands touch: grade 7 is above 0.1 and
up to 0.3 %.

Sources: ISO 4628-3, table 1, areas up to the edition of 2016 as printed in a published table;
ASTM D610, table 1 (page 2 of the published standard); DIN 53210 as printed on a published page.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from math import ceil, floor

RI_PERCENT = (0.0, 0.05, 0.5, 1.0, 8.0, 40.0)  # of the pictures Ri 0 to Ri 5
RI_5_TO_PERCENT = 50.0  # the picture Ri 5 is named by 40 to 50 %
D610_PERCENT = (0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 16.0, 33.0, 50.0, 100.0)  # of 10 down to 0


@dataclass(frozen=True)
class Band:
    """A rusted area in %, known no closer than from `low` to `high`."""

    low: float
    high: float

    def within(self, other: Band) -> Band | None:
        """Return what both allow; None if they contradict each other."""
        low, high = max(self.low, other.low), min(self.high, other.high)
        return Band(low, high) if low <= high else None

    def __str__(self) -> str:
        """Such as `0.05 to 1 %`."""
        return f"{self.low:g} %" if self.low == self.high else f"{self.low:g} to {self.high:g} %"


def ri_band(grade: float) -> Band:
    """Return the areas that a degree of rusting may stand for, 0 (none) to 5, half steps too.

    Raises
    ------
    ValueError
        If there is no such degree.

    Examples
    --------
    >>> str(ri_band(0)), str(ri_band(2)), str(ri_band(4)), str(ri_band(5))
    ('0 to 0.05 %', '0.05 to 1 %', '1 to 50 %', '8 to 100 %')
    >>> str(ri_band(2.5))
    '0.5 to 1 %'
    """
    if not 0 <= grade <= 5:
        raise ValueError(f"expected a degree of rusting from 0 to 5, found {grade:g}")
    if not float(2 * grade).is_integer():
        raise ValueError(f"expected a degree of rusting in steps of 0.5, found {grade:g}")
    lower, upper = floor(grade), ceil(grade)
    if lower == upper:
        lower, upper = max(lower - 1, 0), upper + 1
    return Band(RI_PERCENT[lower], (*RI_PERCENT[:5], RI_5_TO_PERCENT, 100.0)[upper])


def ri_of_area(percent: float) -> int:
    """Return the degree of rusting of an area in %: the worse picture of the two beside it.

    An area between two pictures belongs to neither: see `ri_of_band` for both.

    Raises
    ------
    ValueError
        If it is no share of an area.

    Examples
    --------
    >>> [ri_of_area(percent) for percent in (0, 0.01, 0.05, 0.06, 1, 8, 8.1, 100)]
    [0, 1, 1, 2, 3, 4, 5, 5]
    """
    return min(bisect_left(RI_PERCENT, _share(percent)), 5)


def ri_of_band(band: Band) -> tuple[int, int]:
    """Return the degrees of the pictures that the areas of a band lie between.

    Of the areas above `low` and up to `high`, as the bands of ASTM D610 have it, or of the one that
    is both: from the picture at or below the least to the one at or above the greatest, which above
    40 % is Ri 5.

    Examples
    --------
    >>> ri_of_band(d610_band(10)), ri_of_band(d610_band(7)), ri_of_band(d610_band(5))
    ((0, 1), (1, 2), (3, 4))
    >>> ri_of_band(Band(1.05, 1.05)), ri_of_band(Band(1.0, 1.0)), ri_of_band(Band(60.0, 60.0))
    ((3, 4), (3, 3), (5, 5))
    """
    return bisect_right(RI_PERCENT, _share(band.low)) - 1, ri_of_area(band.high)


def d610_band(grade: int) -> Band:
    """Return the areas of a rust grade of ASTM D610, 10 (none) to 0: above `low`, up to `high`.

    Raises
    ------
    ValueError
        If there is no such grade.

    Examples
    --------
    >>> str(d610_band(10)), str(d610_band(7)), str(d610_band(0))
    ('0 to 0.01 %', '0.1 to 0.3 %', '50 to 100 %')
    """
    if grade not in range(11):
        raise ValueError(f"expected a rust grade from 10 to 0, found {grade}")
    return Band((0.0, *D610_PERCENT)[10 - grade], D610_PERCENT[10 - grade])


def d610_of_area(percent: float) -> int:
    """Return the rust grade of ASTM D610 of an area in %.

    Raises
    ------
    ValueError
        If it is no share of an area.

    Examples
    --------
    >>> [d610_of_area(percent) for percent in (0, 0.01, 0.02, 1, 3.1, 50, 51)]
    [10, 10, 9, 6, 4, 1, 0]
    """
    return 10 - bisect_left(D610_PERCENT, _share(percent))


def _share(percent: float) -> float:
    if not 0 <= percent <= 100:
        raise ValueError(f"expected an area from 0 to 100 %, found {percent:g} %")
    return percent


def rust_band(
    grade: float | None, d610_grade: float | None, area_percent: float | None
) -> Band | None:
    """Return the rusted area that all of what was rated allows; None if they contradict.

    Raises
    ------
    ValueError
        If a grade or an area is outside its scale, or nothing is given.
    """
    bands = []
    if grade is not None:
        bands.append(ri_band(grade))
    if d610_grade is not None:
        bands.append(d610_band(_whole(d610_grade)))
    if area_percent is not None:
        if not 0 <= area_percent <= 100:
            raise ValueError(f"expected an area from 0 to 100 %, found {area_percent:g} %")
        bands.append(Band(area_percent, area_percent))
    if not bands:
        raise ValueError("expected a grade or an area")
    found: Band | None = Band(0.0, 100.0)
    for band in bands:
        found = found.within(band) if found else None
    return found


def _whole(grade: float) -> int:
    if not float(grade).is_integer():
        raise ValueError(f"expected a whole grade, found {grade:g}")
    return int(grade)
