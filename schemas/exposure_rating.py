"""Ratings of exposed panels: one property, after so many hours of salt spray, damp or immersion."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from tiecoat.contract.notations.rated_properties import (
    CREEP,
    DEFECTS,
    EXPOSURES,
    NEUTRAL_SALT_SPRAY,
    SCRIBE,
)
from tiecoat.contract.notations.rust_scales import d610_band, ri_band, rust_band
from tiecoat.plugin import (
    Caution,
    Fault,
    FileHeld,
    Kind,
    Notation,
    Reason,
    Relation,
    Spread,
    column,
    hookimpl,
)
from tiecoat.schemas.began import EXPOSED, TEST_BEGAN
from tiecoat.schemas.rating_notation import (
    defects_of,
    is_defects,
    is_degree_of_rusting,
    is_lettered_grade,
    lettered_grade,
    rust_grade,
)
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import exposure_rating as words

if TYPE_CHECKING:
    from numpy.typing import NDArray

OTHER_WORDS = {"nss": NEUTRAL_SALT_SPRAY, "neutraler salzsprühnebel": NEUTRAL_SALT_SPRAY}

COLUMNS_OF = {  # what a rating of a property may be made of
    "rust": ("rating", "grade", "d610_grade", "area_percent"),
    **dict.fromkeys(DEFECTS, ("rating", "grade", "size")),
    **dict.fromkeys(SCRIBE, ("damage_width_mm", "scribe_width_mm", "creep_mm")),
}
RATINGS = tuple(dict.fromkeys(name for names in COLUMNS_OF.values() for name in names))
CREEP_WITHIN_MM = 0.06  # what rounding of two widths and a creep to 0.1 mm may do


class ExposureRating(StrictModel):
    """Rating of one property of a panel after exposure (ISO 4628, ASTM D610)."""

    exposure: str = column(
        "",
        "what the panel is exposed to",
        words=words.EXPOSURE,
        values=words.EXPOSURE_VALUES,
        isin=EXPOSURES,
    )
    exposure_h: float = column(
        "h", "hours of exposure at the inspection", words=words.EXPOSURE_H, ge=0, le=200_000
    )
    property: str = column(
        "",
        "what was rated",
        words=words.PROPERTY,
        values=words.PROPERTY_VALUES,
        isin=tuple(COLUMNS_OF),
    )
    reading: float = column(
        "", "number of the reading along the scribe, else 1", words=words.READING, ge=1, le=1000
    )
    rating: str = column(
        "", "as ISO 4628 writes it: Ri 3 for rust, else 3(S4)", words=words.RATING, nullable=True
    )
    grade: float = column(
        "",
        "degree of rusting, or quantity of defects: 0 none to 5",
        words=words.GRADE,
        ge=0,
        le=5,
        nullable=True,
    )
    size: float = column(
        "", "size of defects: 0 none to 5", words=words.SIZE, ge=0, le=5, nullable=True
    )
    d610_grade: float = column(
        "",
        "rust grade of ASTM D610: 10 none to 0",
        words=words.D610_GRADE,
        ge=0,
        le=10,
        nullable=True,
    )
    area_percent: float = column(
        "percent", "rusted area", words=words.AREA_PERCENT, ge=0, le=100, nullable=True
    )
    damage_width_mm: float = column(
        "mm",
        "width over the scribe of delamination or corrosion",
        words=words.DAMAGE_WIDTH_MM,
        customary=True,
        ge=0,
        le=500,
        nullable=True,
    )
    scribe_width_mm: float = column(
        "mm",
        "width of the scribe itself",
        words=words.SCRIBE_WIDTH_MM,
        customary=True,
        ge=0,
        le=10,
        nullable=True,
    )
    creep_mm: float = column(
        "mm",
        "delamination or corrosion from the edge of the scribe",
        words=words.CREEP_MM,
        customary=True,
        ge=0,
        le=250,
        nullable=True,
    )


def creep_mm(damage_width_mm: float, scribe_width_mm: float) -> float:
    r"""Return the delamination or the corrosion from the edge of the scribe, in mm.

    .. math:: d = (d_1 - w) / 2, \qquad c = (w_c - w) / 2

    with the width over the scribe that is delaminated :math:`d_1` or corroded :math:`w_c`, and the
    width of the scribe :math:`w`, all in mm.

    Raises
    ------
    ValueError
        If the scribe is wider than the damage over it, or a width is negative.

    References
    ----------
    ISO 4628-8, clauses 7.2 and 7.3: d as printed in a public test-report program that cites it; the
    same form for c from memory.

    Examples
    --------
    >>> creep_mm(7.0, 1.0), creep_mm(1.0, 1.0)
    (3.0, 0.0)
    """
    if not 0 <= scribe_width_mm <= damage_width_mm:
        raise ValueError(
            f"expected a width over the scribe of at least the scribe's {scribe_width_mm:g} mm,"
            f" found {damage_width_mm:g} mm"
        )
    return (damage_width_mm - scribe_width_mm) / 2


def complete(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with words in one form, ratings in both forms, and creep from widths.

    Raises
    ------
    FileHeld
        Where a rating is not in its notation, what was rated twice contradicts itself, a scribe is
        wider than the damage, or a value is missing or belongs to another property.
    """
    words = frame["exposure"].str.strip().str.lower()
    frame = frame.assign(
        exposure=words.replace(OTHER_WORDS).astype("str"),
        property=frame["property"].str.strip().str.lower(),
        reading=frame["reading"].fillna(1.0),
    )
    faults: list[Fault] = []
    columns: dict[str, list[float | str | None]] = {
        name: frame[name].astype(object).where(frame[name].notna(), None).tolist()
        for name in RATINGS
    }
    for position, rated in enumerate(frame["property"]):
        if rated not in COLUMNS_OF:
            continue  # told by the model, with the words that are allowed
        row = {name: values[position] for name, values in columns.items()}
        found = list(_completed(str(rated), row, position))
        faults += found
        if not found:
            for name, value in row.items():
                columns[name][position] = value
    if faults:
        raise FileHeld(faults[0].reason, tuple(faults))
    series = {
        name: pd.Series(values, index=frame.index, dtype="str" if name == "rating" else "float64")
        for name, values in columns.items()
    }
    return frame.assign(**series)


def _completed(rated: str, row: dict[str, float | str | None], position: int) -> Iterator[Fault]:
    """Complete a row in place, and tell what is wrong with it."""
    own = COLUMNS_OF[rated]
    for name, value in row.items():
        if value is not None and name not in own:
            yield Fault(
                Reason.INCONSISTENT,
                position,
                name,
                f"{value} for {rated}",
                f"nothing: a rating of {rated} is made of {', '.join(own)}",
            )
    if all(row[name] is None for name in own):
        yield Fault(Reason.MISSING_VALUE, position, own[0], "nothing", f"a rating of {rated}")
    elif rated in SCRIBE:
        yield from _creep(rated, row, position)
    else:
        yield from _notation(rated, row, position)
        if rated == "rust":
            yield from _rust(row, position)


def _notation(rated: str, row: dict[str, float | str | None], position: int) -> Iterator[Fault]:
    """Complete grade and size from the text, or the text from these."""
    text = row["rating"]
    if text is None and row["grade"] is not None:
        size = "" if rated == "rust" or row["size"] is None else f"(S{row['size']:g})"
        text = f"{row['grade']:g}{size}"
    if text is None:
        if rated != "rust":  # which may have an area or a grade of ASTM D610 instead
            yield Fault(
                Reason.MISSING_VALUE, position, "rating", "nothing", "a quantity of defects"
            )
        return
    try:
        defects = None if rated == "rust" else defects_of(str(text))
        grade = rust_grade(str(text)) if defects is None else defects.quantity
    except ValueError as error:
        column_name = "rating" if row["rating"] is not None else "grade"
        yield Fault(Reason.OUT_OF_BOUNDS, position, column_name, repr(str(text)), str(error))
        return
    numbers = {"grade": grade} if defects is None else {"grade": grade, "size": defects.size}
    for name, number in numbers.items():
        if row[name] is not None and row[name] != number:
            yield Fault(
                Reason.INCONSISTENT, position, name, f"{row[name]:g}", f"{number:g} as in {text!r}"
            )
        row[name] = number
    row["rating"] = f"Ri {grade:g}" if defects is None else str(defects)


def _rust(row: dict[str, float | str | None], position: int) -> Iterator[Fault]:
    """Tell where grades and area contradict each other."""
    numbers = [row[name] for name in ("grade", "d610_grade", "area_percent")]
    grade, d610, area = (None if number is None else float(number) for number in numbers)
    if not 0 <= (d610 or 0) <= 10 or not 0 <= (area or 0) <= 100:
        return  # the model tells it with the bounds
    if d610 is not None and not d610.is_integer():
        yield Fault(Reason.OUT_OF_BOUNDS, position, "d610_grade", f"{d610:g}", "a whole grade")
        return
    if (grade, d610, area) != (None, None, None) and rust_band(grade, d610, area) is None:
        name = "grade" if area is None else "area_percent"
        said = [] if grade is None else [f"Ri {grade:g}, which is {ri_band(grade)}"]
        said += [] if d610 is None else [f"D610 grade {d610:g}, which is {d610_band(int(d610))}"]
        said += [] if area is None else [f"a rusted area of {area:g} %"]
        yield Fault(Reason.INCONSISTENT, position, name, "; ".join(said), "ratings that agree")


def _creep(rated: str, row: dict[str, float | str | None], position: int) -> Iterator[Fault]:
    widths = {name: row[name] for name in ("damage_width_mm", "scribe_width_mm")}
    if None not in widths.values():
        damage, scribe = (float(width) for width in widths.values() if width is not None)
        if damage < 0 or scribe < 0:
            return  # the model tells it with the bounds
        try:
            creep = creep_mm(damage, scribe)
        except ValueError:
            yield Fault(
                Reason.INCONSISTENT,
                position,
                "damage_width_mm",
                f"{damage:g} mm of {rated}, the scribe's own width included",
                f"at least the width of the scribe, {scribe:g} mm",
            )
            return
        if row["creep_mm"] is not None and abs(float(row["creep_mm"]) - creep) > CREEP_WITHIN_MM:
            found, expected = f"{row['creep_mm']:g} mm", f"{creep:g} mm, from the two widths"
            yield Fault(Reason.INCONSISTENT, position, "creep_mm", found, expected)
            return
        row["creep_mm"] = creep if row["creep_mm"] is None else row["creep_mm"]
    elif row["creep_mm"] is None:
        missing = next(name for name, width in widths.items() if width is None)
        expected = "the width of the damage and that of the scribe, or the creep"
        yield Fault(Reason.MISSING_VALUE, position, missing, "nothing", expected)


def of_rust(number: NDArray[np.float64]) -> NDArray[np.object_]:
    """Return what was rated where a number that only rust has is there: else "", shape (n,)."""
    return np.where(np.isnan(number), "", "rust").astype(object)


def of_scribe(width_mm: NDArray[np.float64]) -> NDArray[np.object_]:
    """Return what was measured where a width of a scribe is there: else "", shape (n,)."""
    return np.where(np.isnan(width_mm), "", CREEP).astype(object)


CLOCK_H = 26.0  # by which hours may run ahead of dates: a day without a clock, and two hours


def hours_in_time(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Tell where a panel has fewer hours at a later date, or more than have passed since then.

    The order of the rows is no matter. A chamber may stand still: fewer hours than have passed
    are no fault. One date for all inspections is that of the sheet.
    """
    hours, dates, lines = columns["exposure_h"], columns["measured_at"], columns["row"]
    dated = np.flatnonzero(~np.isnat(dates) & ~np.isnan(hours))
    latest: dict[tuple[object, object], int] = {}
    told: set[int] = set()
    for at in sorted(dated.tolist(), key=lambda at: (dates[at], hours[at])):
        key = (columns["panel"][at], columns["exposure"][at])
        before = latest.setdefault(key, at)
        passed_h = float((dates[at] - dates[before]) / np.timedelta64(1, "h"))
        earlier = f"{hours[before]:g} h"
        if hours[at] < hours[before]:
            found = f"fewer than the {earlier} of row {lines[before]} although it is later"
            expected = "hours that rise with the date"
        else:
            latest[key] = at
            if not 0 < passed_h < hours[at] - hours[before] - CLOCK_H:
                continue
            found = f"and {earlier} in row {lines[before]}, {passed_h:.0f} h before"
            expected = "hours that rise no faster than the dates"
        if int(lines[at]) not in told:
            told.add(int(lines[at]))
            found = f"{hours[at]:g} h, {found}"
            yield Fault(Reason.INCONSISTENT, at, "exposure_h", found, expected)


HEALED = 2  # grades that no second look at a panel explains; common practice, no source


def no_healing(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Tell where a grade falls by two or more while the hours rise: coats do not heal."""
    hours, grades, lines = columns["exposure_h"], columns["grade"], columns["row"]
    worst: dict[tuple[object, ...], int] = {}
    for at in np.lexsort((-grades, hours)).tolist():
        if np.isnan(hours[at]) or np.isnan(grades[at]):
            continue
        key = tuple(columns[name][at] for name in ("panel", "exposure", "property"))
        before = worst.setdefault(key, at)
        if grades[at] > grades[before]:
            worst[key] = at
        elif grades[before] - grades[at] >= HEALED and hours[at] > hours[before]:
            yield Fault(
                Reason.INCONSISTENT,
                at,
                "grade",
                f"{columns['property'][at]} of grade {grades[at]:g} after {hours[at]:g} h, and of "
                f"{grades[before]:g} after {hours[before]:g} h in row {lines[before]}",
                "grades that do not fall by two while the exposure goes on",
            )


def over_time(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Tell what the inspections of one panel contradict in each other."""
    yield from hours_in_time(columns)
    yield from no_healing(columns)
    yield from one_measure_as_two(columns)


def one_measure_as_two(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Tell where a creep of one sort follows from the widths of the other on every panel.

    Then nothing says which of the two it is: widths and creep are of one measure.
    """
    widths = columns["damage_width_mm"] - columns["scribe_width_mm"]
    alone = np.isnan(columns["damage_width_mm"]) & ~np.isnan(columns["creep_mm"])
    keys = list(zip(columns["panel"], columns["exposure_h"], columns["reading"], strict=True))
    from_widths = {
        key: (columns["property"][at], widths[at] / 2)
        for at, key in enumerate(keys)
        if not np.isnan(widths[at])
    }
    creeps = [at for at in np.flatnonzero(alone) if keys[at] in from_widths]
    apart = [
        from_widths[keys[at]][0] != columns["property"][at]
        and abs(from_widths[keys[at]][1] - columns["creep_mm"][at]) <= CREEP_WITHIN_MM
        for at in creeps
    ]
    if creeps and all(apart):
        first = creeps[0]
        other, creep = from_widths[keys[first]]
        yield Fault(
            Reason.INCONSISTENT,
            int(first),
            "creep_mm",
            f"{columns['property'][first]} that is on every panel what follows from the widths of"
            f" {other}, such as {creep:.3g} mm",
            "titles that say whether both are one measure, and of what",
        )


SPREADS = tuple(  # what stands side by side on the sheet of an inspection
    Spread(titles, name, "property", rated)
    for titles, name, rated in (
        (words.RUST, "rating", "rust"),
        (words.RUST_D610, "d610_grade", "rust"),
        (words.RUST_AREA, "area_percent", "rust"),
        (words.BLISTERS, "rating", "blisters"),
        (words.BLISTERS_QUANTITY, "grade", "blisters"),
        (words.BLISTERS_SIZE, "size", "blisters"),
        (words.CRACKING, "rating", "cracking"),
        (words.FLAKING, "rating", "flaking"),
        (words.DELAMINATION_WIDTH, "damage_width_mm", "scribe delamination"),
        (words.DELAMINATION, "creep_mm", "scribe delamination"),
        (words.CORROSION_WIDTH, "damage_width_mm", "scribe corrosion"),
        (words.CORROSION, "creep_mm", "scribe corrosion"),
        # one scribe, of which both are measured
        *((words.SCRIBE_WIDTH_MM, "scribe_width_mm", rated) for rated in SCRIBE),
    )
)

# Withdrawn; Ri 1 to Ri 5 about 1, 3, 10, 30, 50 % and more, as printed on a published page.
DIN_53210 = Caution(
    r"DIN[\s-]*53[\s.]?210",
    "the file names DIN 53210, whose Ri 1 to Ri 5 are about 1, 3, 10, 30 and 50 % of rusted area,"
    " other areas than those of ISO 4628-3",
    ("property", "rust"),
)

ONE_SIDE = (
    r"\b(?:(?:on|from|at) one side|one[- ]sided|einseitig|(?:nur |auf )?einer? Seite"
    r"|d'un (?:seul )?côté|un seul côté|(?:de|en|por) un (?:solo )?lado"
    r"|(?:da|su|di) un (?:solo )?lato|jednostronn\w*|(?:z|po) jednej stron(?:y|ie)"
    r"|(?:aan|van) [eé][eé]n (?:zijde|kant)"
    r"|(?:na|z|po) jedné stran[ěey])\b"
)
HIGHEST = (
    r"\b(?:max(?:im\w*|\.)?|größte\w*|höchste\w*|greatest|highest"
    r"|najwi[ęe]ksz\w*|grootste|největší)\s+"
    r"(?:[^\W\d]+\s+){0,2}(?:creep|undercreep|delamination|width"
    r"|unterwanderung|enthaftung|rostbreite|breite|décollement|largeur|corrosion"
    r"|deslaminación|anchura|corrosión|delaminazione|larghezza|corrosione|szerokość|odwarstwieni\w*|breedte|onthechting|šířka|podkorodování)"
)
OF_A_SCRIBE = tuple(  # ISO 4628-8 takes the mean of both sides together
    Caution(named, why, ("property", rated))
    for named, why in (
        (
            ONE_SIDE,
            "the file speaks of one side of the scribe, and a width over it is that of both",
        ),
        (HIGHEST, "the file speaks of the highest value, and a creep from the scribe is a mean"),
    )
    for rated in SCRIBE
)

KIND = Kind(
    "exposure_rating",
    ExposureRating,
    per="panel",
    identity=("exposure", "exposure_h", "property", "reading"),
    derive=complete,
    spreads=SPREADS,
    sources=(TEST_BEGAN,),
    relations=(
        EXPOSED,
        Relation("property", ("d610_grade",), of_rust),
        Relation("property", ("area_percent",), of_rust),
        Relation("property", ("damage_width_mm",), of_scribe),
        Relation("property", ("creep_mm",), of_scribe),
    ),
    beside=words.BESIDE,
    shown_by=("rating", "grade", "d610_grade", "area_percent", "damage_width_mm", "creep_mm"),
    counted="reading",
    counted_where=("property", tuple(SCRIBE)),
    defaults=(("reading", 1.0),),
    together=over_time,
    cautions=(DIN_53210, *OF_A_SCRIBE),
    notations=(
        Notation("rating", is_degree_of_rusting, ("property", "rust")),
        Notation("rating", is_defects),
        Notation("d610_grade", is_lettered_grade, ("property", "rust"), lettered_grade),
    ),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
