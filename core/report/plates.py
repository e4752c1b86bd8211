"""Plates of pictures: which field of which panel stands for each batch, and with what number.

Nobody picks the picture that fits: of each panel it is the field nearest the median of its fields,
of each batch the panel nearest the median of its panels, and the plate says so. Of two that are
equally near it is the one nearer the mean, else the first by name.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal, TypeAlias

import pandas as pd

from tiecoat.ask.pictures import FiledPicture, asked
from tiecoat.ask.study_data import PictureTables, StudyData
from tiecoat.compare.result_rows import is_near
from tiecoat.evaluate.film.defects import ALL, CLASSES, MM2_PER_DM2
from tiecoat.report.alike import by_line
from tiecoat.wording import Told, by_number, untold

if TYPE_CHECKING:
    from tiecoat.intake.workers.drawing import Pixels, Shown

Each: TypeAlias = Literal["batch", "panel", "field"]

SAME_DIGITS = 9  # of distances that count as equal: less is the rounding of a sum
MOST_PX = 2400  # of a picture's longer side: a page at print size shows no more


@dataclass(frozen=True)
class PictureKind:
    """What stands below the pictures of a kind.

    Parameters
    ----------
    quantity, condition
        The result of a panel.
    of_batch
        Results of a batch, the first that there is.
    name_in
        The column that tells one picture of a panel from another.
    value
        The same number of a single picture, from its rows.
    least, least_unit
        The column with the smallest size that is counted; "" where nothing is counted.
    classes
        Columns with counts, by what is counted.
    """

    quantity: str
    condition: str
    of_batch: tuple[str, ...]
    name_in: str
    value: Callable[[pd.DataFrame], pd.Series[float]]
    least: str = ""
    least_unit: str = ""
    classes: Mapping[str, str] = field(default_factory=dict)


KINDS: dict[str, PictureKind] = {
    "cross_section": PictureKind(
        "void_fraction",
        "",
        ("void_fraction",),
        "field",
        lambda rows: rows["void_fraction_percent"],
        "smallest_pore_um",
        "um",
    ),
    "defects": PictureKind(
        "defects_per_dm2",
        ALL,
        ("defects_per_dm2_over_panels", "defects_per_dm2"),
        "photograph",
        lambda rows: rows[[*CLASSES.values()]].sum(axis=1) / rows["evaluated_mm2"] * MM2_PER_DM2,
        "least_diameter_mm",
        "mm",
        CLASSES,
    ),
    "rust_image": PictureKind(
        "rusted_area_photographed",
        "",
        ("rusted_area_photographed",),
        "photograph",
        lambda rows: rows["rusted_area_percent"],
    ),
}


@dataclass(frozen=True)
class Measured:
    """A number with its interval, NaN where there is none, and on how many it stands."""

    value: float
    low: float
    high: float
    unit: str
    n: int


@dataclass(frozen=True)
class Shot:
    """One picture on a plate, with its number.

    Parameters
    ----------
    field
        Which picture of its panel it is.
    fields, panels
        Of how many it was chosen.
    is_typical_field, is_typical_panel
        Whether it is the one nearest the median of these.
    own
        The number of this picture alone.
    of_panel, of_batch
        The results; None where there is none, or where the batch has panels of another sort too.
    least
        The smallest size that was counted, in the unit of its kind; NaN where nothing is counted.
    counts
        What was counted on it, by what it is.
    um_per_pixel
        Of the picture as filed; NaN where no scale is known.
    """

    filed: FiledPicture
    batch: str
    panel: str
    field: str
    fields: int
    panels: int
    is_typical_field: bool
    is_typical_panel: bool
    own: float
    of_panel: Measured | None
    of_batch: Measured | None
    least: float
    counts: Mapping[str, int]
    um_per_pixel: float


@dataclass(frozen=True)
class SeenPicture:
    """A picture as it stands on a plate: plain, and with what was found drawn on it.

    Both are None where the picture cannot be shown, `marked` alone where its reader does not draw;
    `remark` says why. `um_per_pixel` is that of the pixels here.
    """

    shot: Shot
    plain: Pixels | None
    marked: Pixels | None
    um_per_pixel: float
    remark: str = ""


@dataclass(frozen=True)
class PlateSubject:
    """What a plate is of: kind, line of coats and substrate ("" where there is one), exposure."""

    kind: str
    line: str
    exposure_h: float

    @property
    def about(self) -> PictureKind:
        """What stands below its pictures."""
        return KINDS[self.kind]


@dataclass(frozen=True)
class Plate:
    """Pictures of control and candidates in a row; `number` of `of` with the same subject."""

    subject: PlateSubject
    seen: Sequence[SeenPicture]
    number: int = 1
    of: int = 1


@dataclass(frozen=True)
class PlateChoice:
    """Which plates are wanted.

    Parameters
    ----------
    each
        A picture for each batch, panel or field.
    kind
        Only this; "" is all.
    exposure_h
        Of exposed panels; NaN is the last time that most candidates share with the control.
    """

    each: Each = "batch"
    kind: str = ""
    exposure_h: float = math.nan


def plates_of(
    data: StudyData, choice: PlateChoice = PlateChoice(), told: Told = untold
) -> list[Plate]:
    """Return the plates of a study whose data were gathered with pictures.

    Parameters
    ----------
    told
        Called with the progress.
    """
    wanted = [
        (subject, row)
        for kind, tables in data.pictures.items()
        if choice.kind in {"", kind} and len(tables.rows)
        for subject, shots in _subjects(data, kind, tables, choice.exposure_h)
        for row in _rows(shots, choice.each)
    ]
    pictures = list(dict.fromkeys(one.filed for _, row in wanted for one in row))
    if not pictures:
        return []
    told("pictures", 0, len(pictures))
    answers = asked(data.lab, pictures, lambda pool, file, reader: pool.show(file, reader, MOST_PX))
    seen = {}
    for done, (filed, answer) in enumerate(answers, 1):
        seen[filed] = answer
        told("pictures", done, len(pictures))
    plates = [
        Plate(subject, [_seen(one, seen[one.filed]) for one in row]) for subject, row in wanted
    ]
    return list(_numbered(plates))


def _numbered(plates: Sequence[Plate]) -> Iterator[Plate]:
    for place, one in enumerate(plates):
        same = [other for other in plates if other.subject == one.subject]
        before = [other for other in plates[:place] if other.subject == one.subject]
        yield replace(one, number=len(before) + 1, of=len(same))


def _seen(shot: Shot, answer: Shown | str) -> SeenPicture:
    if isinstance(answer, str):
        return SeenPicture(shot, None, None, math.nan, answer)
    scale = shot.um_per_pixel * answer.times
    return SeenPicture(shot, answer.plain, answer.marked, scale, answer.remark)


def _subjects(
    data: StudyData, kind: str, tables: PictureTables, exposure_h: float
) -> Iterator[tuple[PlateSubject, list[list[list[Shot]]]]]:
    """Return each subject with its pictures: by batch, by panel, by field."""
    for line, part in by_line(data, kind, tables.rows):
        rows, hours = part, math.nan
        if "exposure_h" in rows:
            hours = _hours(data, rows) if math.isnan(exposure_h) else exposure_h
            near = is_near(rows["exposure_h"], hours)
            rows = rows[rows["exposure_h"].isna() if math.isnan(hours) else near]
        if not len(rows):
            continue
        subject = PlateSubject(kind, line, hours)
        batches = [one for one in data.comparison.control_first if one in set(rows["batch"])]
        yield subject, [_of_batch(subject, one, rows, tables) for one in batches]


def _hours(data: StudyData, rows: pd.DataFrame) -> float:
    """Return the last time of the control that most candidates share; NaN where none is known."""
    known = rows.dropna(subset=["exposure_h"])
    times = {batch: part["exposure_h"] for batch, part in known.groupby("batch")}
    mine = times.get(data.comparison.control)
    first = sorted(set(known["exposure_h"] if mine is None else mine))

    def shared(hours: float) -> tuple[int, float]:
        return sum(bool(is_near(one, hours).any()) for one in times.values()), hours

    return float(max(first, key=shared)) if first else math.nan


def _of_batch(
    subject: PlateSubject, batch: str, rows: pd.DataFrame, tables: PictureTables
) -> list[list[Shot]]:
    """Return the pictures of each panel of a batch."""
    about = subject.about
    mine = rows[rows["batch"] == batch]
    mine = mine.assign(panel=mine["panel"].fillna(""), own=about.value(mine))
    results = tables.results[tables.results["batch"] == batch]
    panels = sorted(mine["panel"].unique(), key=by_number)
    whole = tables.rows.loc[tables.rows["batch"] == batch, "panel"].fillna("")
    of_batch = None
    if set(whole) <= set(panels) and len(panels) > 1:
        found = (_result(results, one, subject, "") for one in about.of_batch)
        of_batch = next(filter(None, found), None)
    of_panels = {one: _result(results, about.quantity, subject, one) for one in panels}
    values = {name: one.value for name, one in of_panels.items() if one is not None}
    typical = nearest_median(values) if values else panels[0]
    return [
        _of_panel(
            subject,
            mine[mine["panel"] == panel],
            of_panel=of_panels[panel],
            of_batch=of_batch,
            panels=len(panels),
            is_typical=panel == typical,
        )
        for panel in panels
    ]


def _of_panel(
    subject: PlateSubject,
    rows: pd.DataFrame,
    *,
    of_panel: Measured | None,
    of_batch: Measured | None,
    panels: int,
    is_typical: bool,
) -> list[Shot]:
    about = subject.about
    rows = rows.sort_values([about.name_in, "measurement"])
    values = dict(zip(rows["measurement"].astype(str), rows["own"].astype(float), strict=True))
    typical = nearest_median(values)
    return [
        Shot(
            filed=FiledPicture.of(row, subject.kind),
            batch=str(row["batch"]),
            panel=str(row["panel"]),
            field=str(row[about.name_in]),
            fields=len(rows),
            panels=panels,
            is_typical_field=str(row["measurement"]) == typical,
            is_typical_panel=is_typical,
            own=float(row["own"]),
            of_panel=of_panel,
            of_batch=of_batch,
            least=float(row[about.least]) if about.least else math.nan,
            counts={name: int(row[column]) for name, column in about.classes.items()},
            um_per_pixel=float(row["um_per_pixel"]),
        )
        for row in rows.to_dict("records")
    ]


def nearest_median(values: Mapping[str, float]) -> str:
    """Return whose value lies nearest the median of all.

    Of an even number the two in the middle lie equally near: it is the one nearer the mean of all,
    and where these are equally near too, the first by name. Rounding decides nothing.

    Examples
    --------
    >>> nearest_median({"field 3": 9.0, "field 1": 2.0, "field 2": 3.0})
    'field 2'
    >>> nearest_median({"1": 1.0, "2": 2.0, "3": 3.0, "4": 40.0})
    '3'
    >>> nearest_median({"b": 1.0, "a": 2.0})
    'a'
    """
    of = pd.Series(list(values.values()), dtype=float)
    size = float(of.abs().max()) or 1.0

    def away(name: str) -> tuple[float, float, str]:
        near, of_mean = (abs(values[name] - one) for one in (of.median(), of.mean()))
        return round(near / size, SAME_DIGITS), round(of_mean / size, SAME_DIGITS), name

    return min(values, key=away)


def _result(
    results: pd.DataFrame, quantity: str, subject: PlateSubject, panel: str
) -> Measured | None:
    mine = results[
        (results["quantity"] == quantity)
        & (results["condition"] == subject.about.condition)
        & (results["panel"].fillna("") == panel)
        & results["value"].notna()
    ]
    if not math.isnan(subject.exposure_h):
        mine = mine[is_near(mine["exposure_h"], subject.exposure_h)]
    if not len(mine):
        return None
    row = mine.iloc[0]
    value, low, high = (float(row[name]) for name in ("value", "low", "high"))
    return Measured(value, low, high, str(row["unit"]), int(row["n"]))


def _rows(batches: Sequence[Sequence[Sequence[Shot]]], each: Each) -> Iterator[list[Shot]]:
    """Return the rows of pictures, a plate each, with at most one picture a batch."""
    columns = [_column(one, each) for one in batches]
    for place in range(max(map(len, columns))):
        yield [one[place] for one in columns if place < len(one)]


def _column(panels: Sequence[Sequence[Shot]], each: Each) -> list[Shot]:
    typical = [one for fields in panels for one in fields if one.is_typical_field]
    match each:
        case "batch":
            return [one for one in typical if one.is_typical_panel]
        case "panel":
            return typical
        case "field":
            return [one for fields in panels for one in fields]
