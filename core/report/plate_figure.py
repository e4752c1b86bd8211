"""A plate drawn: control and candidates in a row at one scale, each with its number below."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.patheffects import withStroke

from tiecoat.compare.comparison import Comparison
from tiecoat.report.labels import (
    at_place,
    batch_words,
    in_lines,
    interval,
    number,
    place_of,
    unit_text,
)
from tiecoat.report.looks import FAINT, INK, SOFT, WIDTH, fixed_figure
from tiecoat.report.plates import Measured, Plate, PlateSubject, SeenPicture, Shot
from tiecoat.report.words import in_numbers, say, say_counted, translated

ACROSS = 5  # pictures in a row: the control and four candidates
SCREEN_DPI = 220  # of pictures on the page: small pores are still seen when it is enlarged
EDGE, GAP = 0.08, 0.12  # inches
HIGHEST = 2.4  # inches of a picture: an upright panel leaves room for its words
LEAST_COLUMN = 2.2  # inches: below, words are broken too often
LINE = 0.125  # inches of a line of text
WORDS = 6.5  # points of these
PER_INCH = 19  # letters of that size beside each other
BAR_SHARE = 0.4  # of the narrowest picture, that the scale bar takes at most
MM = 1000.0  # micrometres


def plate_title(subject: PlateSubject) -> str:
    """Return what a plate shows."""
    match subject.kind:
        case "cross_section":
            title = say("Cut films")
        case "defects":
            title = say("Films before a lamp")
        case _:
            title = say("Exposed panels")
    if not math.isnan(subject.exposure_h):
        hours = in_numbers(f"{subject.exposure_h:g}")
        title = f"{title}, {say('after {hours} h', hours=hours)}"
    return f"{title}, {translated(subject.line)}" if subject.line else title


def number_title(subject: PlateSubject) -> str:
    """Return what the numbers below the pictures are."""
    match subject.kind:
        case "cross_section":
            return say("pores, share of the area of the film")
        case "defects":
            return say("defects of all classes")
        case _:
            return say("rusted area; an aid to the inspector, who rates")


def key_words(subject: PlateSubject) -> str:
    """Return what the colours of the drawing say."""
    match subject.kind:
        case "cross_section":
            return say(
                "Blue: film; orange: pores; purple: pores that the edge of the picture cuts."
            )
        case "defects":
            return say(
                "Dark blue: film evaluated; orange: pinholes; light blue: craters; purple: bare"
                " spots; yellow: thin spots."
            )
        case _:
            return say(
                "Light blue: rust; yellow: by the wide limits only; dark blue: evaluated; purple:"
                " panel."
            )


def measured_words(one: Measured) -> str:
    """Return a number with its unit and interval.

    Examples
    --------
    >>> measured_words(Measured(3.04, 2.1, 3.9, "%", 4))
    '3.04 % (2.10 to 3.90)'
    >>> measured_words(Measured(41.2, 29.6, 55.9, "1/dm2", 2))
    '41 per dm² (30 to 56)'
    """
    place = place_of(one.value, one.low, one.high)
    told = _with_unit(at_place(one.value, place), one.unit)
    ends = interval(one.low, one.high, place=place)
    return f"{told} ({ends})" if ends else told


def _with_unit(value: str, unit: str) -> str:
    if unit.startswith("1/"):
        return say("{number} per {unit}", number=value, unit=unit_text(unit.removeprefix("1/")))
    return f"{value} {unit_text(unit)}".strip()


def caption_of(shot: Shot, subject: PlateSubject) -> list[str]:
    """Return what stands below a picture: the numbers first, then which picture it is."""
    about, told = subject.about, []
    least = ""
    if not math.isnan(shot.least):
        size = f"{number(shot.least, 2)} {unit_text(about.least_unit)}"
        least = say(", from {size} on", size=size)
    if shot.of_batch is not None:
        panels = say_counted(shot.panels, "panel")
        words = measured_words(shot.of_batch)
        told.append(say("batch: {value}, {count}{least}", value=words, count=panels, least=least))
    if shot.of_panel is not None:
        count = _pictures_counted(shot.fields, subject)
        words = measured_words(shot.of_panel)
        told.append(say("panel: {value}, {count}{least}", value=words, count=count, least=least))
    unit = shot.of_panel.unit if shot.of_panel else ""
    told.append(_which(shot))
    counts = ", ".join(_defects_counted(shot))
    counts = f"{counts}{least}" if counts else ""
    if shot.fields > 1 or shot.of_panel is None:
        own = _with_unit(number(shot.own, 3), unit)
        counts = f"{own}: {counts}" if counts else own
    if counts:
        told.append(say("this picture: {value}", value=counts))
    return told


def _pictures_counted(count: int, subject: PlateSubject) -> str:
    is_section = subject.kind == "cross_section"
    return say_counted(count, "field") if is_section else say_counted(count, "photograph")


def _defects_counted(shot: Shot) -> Iterator[str]:
    if count := shot.counts.get("pinhole"):
        yield say_counted(count, "pinhole")
    if count := shot.counts.get("crater"):
        yield say_counted(count, "crater")
    if count := shot.counts.get("bare spot"):
        yield say_counted(count, "bare spot")
    if count := shot.counts.get("thin spot"):
        yield say_counted(count, "thin spot")


def picture_words(seen: SeenPicture, subject: PlateSubject) -> list[str]:
    """Return what stands below a picture, and what is odd about it."""
    told = caption_of(seen.shot, subject)
    return [*told, translated(seen.remark)] if seen.remark else told


def _which(shot: Shot) -> str:
    """Return which picture of which panel it is, and why this one."""
    name = shot.field if shot.panel in shot.field else f"{shot.panel}, {shot.field}"
    told = [name]
    if shot.panels > 1 and shot.is_typical_panel:
        chosen = say("panel nearest the median of {count}", count=shot.panels)
        told.append(f"{chosen}{_of_equals(shot.panels)}")
    if shot.fields > 1 and shot.is_typical_field:
        chosen = say("picture nearest the median of {count}", count=shot.fields)
        told.append(f"{chosen}{_of_equals(shot.fields)}")
    return "; ".join(told)


def _of_equals(count: int) -> str:
    """Tell how one of the two in the middle was chosen, of an even number."""
    if count % 2:
        return ""
    if count == 2:
        return say(" (both as near: the first by name)")
    return say(" (of the two as near the one nearer the mean)")


@dataclass(frozen=True)
class PlateLayout:
    """Where pictures stand on a plate, in inches from its upper left corner.

    Parameters
    ----------
    inch_per_um
        The scale that all pictures have; NaN where that of one is not known.
    lefts
        Of the columns.
    column
        Their width.
    sizes
        Width and height of each picture, in their order.
    """

    inch_per_um: float
    lefts: Sequence[float]
    column: float
    sizes: Sequence[tuple[float, float]] = field(default_factory=list)

    @property
    def bar_um(self) -> float:
        """Length of the scale bar: 1, 2 or 5 times a power of ten."""
        narrowest = min(width for width, _ in self.sizes)
        return round_length(BAR_SHARE * narrowest / self.inch_per_um)


def round_length(most: float) -> float:
    """Return the greatest of 1, 2 and 5 times a power of ten that is not above.

    Examples
    --------
    >>> round_length(340.0), round_length(9.9), round_length(1.0)
    (200.0, 5.0, 1.0)
    """
    power = 10.0 ** math.floor(math.log10(most) + 1e-9)
    return max(one * power for one in (1.0, 2.0, 5.0) if one * power <= most * (1 + 1e-9))


def length_words(um: float) -> str:
    """Return a length with the unit that suits it.

    Examples
    --------
    >>> length_words(200.0), length_words(20000.0)
    ('200 µm', '20 mm')
    """
    return f"{number(um / MM)} mm" if um >= MM else f"{number(um)} µm"


def scale_words(layout: PlateLayout) -> str:
    """Return what the scale of a plate is, and that nothing was done to its pictures."""
    if math.isnan(layout.inch_per_um):
        return say(
            "Not at one scale: that of at least one picture is not known. As filed, only scaled."
        )
    return say(
        "All at one scale; the bar is {length}. Pictures as filed, only scaled.",
        length=length_words(layout.bar_um),
    )


def layout_of(
    seen: Sequence[SeenPicture],
    columns: int,
    *,
    width: float,
    edge: float,
    gap: float,
    highest: float,
    least: float = LEAST_COLUMN,
) -> PlateLayout:
    """Return where so many columns of pictures stand, all at the scale that the largest needs.

    Where the scale of one is not known each fills its column, and nothing can be measured. All
    lengths are in inches; `least` is what a column has for its words, where there is room.
    """
    column = (width - 2 * edge - (columns - 1) * gap) / columns
    shapes = [one.plain.shape[:2] for one in seen if one.plain is not None]
    scales = [one.um_per_pixel for one in seen if one.plain is not None]
    has_scale = bool(scales) and not any(map(math.isnan, scales))
    if not has_scale:
        sizes = [_fitted(one, column, highest) for one in seen]
        return _side_by_side(math.nan, sizes, columns, column, (edge, gap, least))
    pairs = list(zip(shapes, scales, strict=True))
    widest = max(columns_px * scale for (_, columns_px), scale in pairs)
    tallest = max(rows_px * scale for (rows_px, _), scale in pairs)
    inch_per_um = min(column / widest, highest / tallest)
    sizes = [
        (column, column / 2)
        if one.plain is None
        else (
            one.plain.shape[1] * one.um_per_pixel * inch_per_um,
            one.plain.shape[0] * one.um_per_pixel * inch_per_um,
        )
        for one in seen
    ]
    return _side_by_side(inch_per_um, sizes, columns, column, (edge, gap, least))


def _side_by_side(
    inch_per_um: float,
    sizes: Sequence[tuple[float, float]],
    columns: int,
    most: float,
    margins: tuple[float, float, float],
) -> PlateLayout:
    """Return columns as wide as the pictures and their words need, no wider than there is room."""
    edge, gap, least = margins
    column = min(most, max([least, *(width for width, _ in sizes)]))
    lefts = [edge + place * (column + gap) for place in range(columns)]
    return PlateLayout(inch_per_um, lefts, column, sizes)


def _fitted(one: SeenPicture, column: float, highest: float) -> tuple[float, float]:
    if one.plain is None:
        return column, column / 2
    rows, columns = one.plain.shape[:2]
    scale = min(column / columns, highest / rows)
    return columns * scale, rows * scale


def parts_of(plate: Plate, comparison: Comparison) -> Iterator[list[SeenPicture]]:
    """Return the pictures that stand beside each other: the control and up to four candidates."""
    control = [one for one in plate.seen if one.shot.batch == comparison.control]
    others = [one for one in plate.seen if one.shot.batch != comparison.control]
    room = ACROSS - len(control)
    for start in range(0, max(len(others), 1), room):
        yield [*control, *others[start : start + room]]


def plate_figures(
    comparison: Comparison, plate: Plate, dpi: float = SCREEN_DPI
) -> Iterator[Figure]:
    """Draw a plate, in as many figures as it takes; all of them have one scale.

    Parameters
    ----------
    dpi
        Pixels of the pictures in an inch of the figure.
    """
    parts = list(parts_of(plate, comparison))
    columns = max(map(len, parts))
    whole = layout_of(plate.seen, columns, width=WIDTH, edge=EDGE, gap=GAP, highest=HIGHEST)
    sizes = dict(zip(map(id, plate.seen), whole.sizes, strict=True))
    for part in parts:
        layout = PlateLayout(
            whole.inch_per_um, whole.lefts, whole.column, [sizes[id(one)] for one in part]
        )
        yield _Drawing(comparison, plate, part, layout, dpi).figure()


@dataclass(frozen=True)
class _Drawing:
    """One figure of a plate, while it is drawn."""

    comparison: Comparison
    plate: Plate
    part: Sequence[SeenPicture]
    layout: PlateLayout
    dpi: float

    def figure(self) -> Figure:
        subject, letters = self.plate.subject, int(PER_INCH * self.layout.column)
        heads = [
            in_lines(batch_words(self.comparison.batches, one.shot.batch, control), letters, 3)
            for control in [self.comparison.control]
            for one in self.part
        ]
        captions = [
            [line for told in picture_words(one, subject) for line in textwrap.wrap(told, letters)]
            for one in self.part
        ]
        title = textwrap.wrap(plate_words(self.plate), int(PER_INCH * WIDTH * 0.8))
        notes = textwrap.wrap(key_words(subject), int(PER_INCH * WIDTH))
        notes += textwrap.wrap(scale_words(self.layout), int(PER_INCH * WIDTH))
        high = max(height for _, height in self.layout.sizes)
        has_marks = any(one.marked is not None for one in self.part)
        under = EDGE + 1.4 * LINE * len(title) + 0.3 * LINE
        top = under + LINE * (max(one.count("\n") for one in heads) + 1.4)
        second = top + high + GAP / 2
        below = (second + high if has_marks else top + high) + LINE
        last = below + LINE * (max(map(len, captions)) + 0.5)
        figure = fixed_figure(last + LINE * (len(notes) + 0.5), self.dpi)
        self._text(figure, EDGE, EDGE, "\n".join(title), weight="bold", size=WORDS + 1.5)
        for place, one in enumerate(self.part):
            left = self.layout.lefts[place]
            self._text(figure, left, under, heads[place], weight="bold")
            self._picture(figure, (left, top), place, marked=False)
            if one.marked is not None:
                self._picture(figure, (left, second), place, marked=True)
            self._text(figure, left, below - LINE * 0.4, "\n".join(captions[place]))
        self._text(figure, EDGE, last, "\n".join(notes), color=SOFT)
        return figure

    def _text(
        self,
        figure: Figure,
        left: float,
        top: float,
        words: str,
        *,
        size: float = WORDS,
        color: str = INK,
        weight: str = "normal",
    ) -> None:
        width, height = figure.get_size_inches()
        figure.text(
            left / width,
            1 - top / height,
            words,
            fontsize=size,
            color=color,
            va="top",
            ha="left",
            fontweight=weight,
            linespacing=1.25,
        )

    def _picture(
        self, figure: Figure, at: tuple[float, float], place: int, *, marked: bool
    ) -> None:
        """Put a picture there; its size is a whole number of pixels, so that none is left out."""
        from tiecoat.picture.shrinking import resized

        seen, (wide, high) = self.part[place], self.layout.sizes[place]
        columns, rows = max(1, round(wide * self.dpi)), max(1, round(high * self.dpi))
        width, height = figure.get_size_inches()
        left, top = (round(one * self.dpi) / self.dpi for one in at)
        box = (
            left / width,
            1 - (top + rows / self.dpi) / height,
            columns / self.dpi / width,
            rows / self.dpi / height,
        )
        axes = figure.add_axes(box)
        axes.set_axis_off()
        axes.set_xlim(0, columns)
        axes.set_ylim(rows, 0)
        if seen.plain is None:
            axes.add_patch(Rectangle((0, 0), columns, rows, facecolor=FAINT))
            return
        pen = max(1, round(self.dpi / 150))
        plain, drawn = resized(seen.plain, seen.marked if marked else None, rows, columns, pen)
        pixels = drawn if drawn is not None else plain
        axes.imshow(pixels, extent=(0, columns, rows, 0), interpolation="none", aspect="auto")
        if not marked and not math.isnan(self.layout.inch_per_um):
            long = self.layout.bar_um * self.layout.inch_per_um * self.dpi
            thick = 0.035 * self.dpi
            corner = (columns - long - 2 * thick, rows - 3 * thick)
            axes.add_patch(
                Rectangle(corner, long, thick, facecolor="black", edgecolor="white", lw=0.6)
            )
            axes.text(
                corner[0] + long / 2,
                corner[1] - thick / 2,
                length_words(self.layout.bar_um),
                fontsize=WORDS,
                ha="center",
                va="bottom",
                path_effects=[withStroke(linewidth=1.8, foreground="white")],
            )


def plate_words(plate: Plate) -> str:
    """Return what a plate shows: its title, what its numbers are, and which of several it is."""
    told = f"{plate_title(plate.subject)}: {number_title(plate.subject)}"
    if plate.of > 1:
        told += f" ({say('{number} of {count}', number=plate.number, count=plate.of)})"
    return told
