"""How figures look: colours told apart by colour-blind eyes and in grey print, marks, fonts.

Some colours are of Okabe and Ito (Color Universal Design, 2008, as in R), the others our own beside
them, darker or lighter. None carries a meaning alone: marks, line styles and hatches say the same.
"""

from __future__ import annotations

import io
import math
import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.ticker import FuncFormatter, LogLocator, MaxNLocator, NullLocator, ScalarFormatter

from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.labels import SUPERSCRIPTS, number
from tiecoat.report.words import in_numbers

WIDTH, MOST_HEIGHT = 7.1, 8.6  # inches of a figure on an A4 page, with room for words beside it
TITLE_HEIGHT = 0.25  # inches
DPI = 150
OF_FAULT = 0.8  # inches, of what says why there is no figure
TICK_POWER = 4  # from which on a tick is written as a power of ten
INK, SOFT, FAINT = "#1c2733", "#5f6b76", "#d5dade"
HARM = "#f3e3da"

# fmt: off
OUTCOME_LOOKS: dict[VerdictWord, dict[str, Any]] = {
    VerdictWord.BETTER:      {"marker": "^", "color": "#0072B2", "markerfacecolor": "#0072B2"},
    VerdictWord.NOT_WORSE:   {"marker": "o", "color": "#4d5963", "markerfacecolor": "#4d5963"},
    VerdictWord.WORSE:       {"marker": "v", "color": "#C44E00", "markerfacecolor": "#C44E00"},
    VerdictWord.SIGNS_OF_HARM: {"marker": "X", "color": "#B07A00", "markerfacecolor": "#B07A00"},
    VerdictWord.CANNOT_TELL: {"marker": "D", "color": "#8a949c", "markerfacecolor": "white"},
}
CONTROL = {"color": "#7d868e", "marker": "s", "linestyle": (0, (1, 1.5))}
DOSES: tuple[dict[str, Any], ...] = (
    {"color": "#56B4E9", "linestyle": (0, (4, 1.5))},
    {"color": "#B8480A", "linestyle": "-"},
    {"color": "#00583f", "linestyle": (0, (5, 1, 1, 1))},
    {"color": "#CC79A7", "linestyle": (0, (2, 1))},
)
DOSE_MARKERS = ("o", "^", "D", "v", "P")  # one more than colours, so that no two looks are equal
# Fill and hatch of the places of failure: no two have a hatch or a lightness in common, so that
# they can be told apart in grey print, and where the paper takes the shades away.
SITES: dict[str, tuple[tuple[str, str], ...]] = {
    "cohesive": (("#e9f3fb", ""), ("#70aed9", "||"), ("#b2d4ee", "++"), ("#3b7fae", "ooo")),
    "adhesive": (("#9b4a12", "////"), ("#e8a33d", "xxxx"), ("#6e3006", r"\\"), ("#cf7a33", "--")),
    "glue": (("#2b333a", "..."), ("#8b949b", "**"), ("#d3d8dc", "OO")),
}
DARK_HATCH_FROM = 0.45  # lightness of a fill, from which its hatch is dark
# fmt: on


def lightness(colour: str) -> float:
    """Return how light a colour is in grey print, 0 to 1: its luma (ITU-R BT.601).

    Examples
    --------
    >>> lightness("#ffffff"), lightness("#000000")
    (1.0, 0.0)
    """
    red, green, blue = mpl.colors.to_rgb(colour)
    return round(0.299 * red + 0.587 * green + 0.114 * blue, 4)


def look_of(verdict: Verdict) -> dict[str, Any]:
    """Return the look of a verdict: hollow where it stands only on a condition."""
    look = OUTCOME_LOOKS[verdict.outcome]
    hollow = verdict.standing is Firmness.CONDITIONAL
    return {**look, "markerfacecolor": "white"} if hollow else look


SETTINGS: dict[Any, Any] = {
    "svg.hashsalt": "tiecoat",
    "svg.fonttype": "none",
    "text.parse_math": False,  # a name may hold a dollar sign
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "sans-serif"],
    "font.size": 7.5,
    "axes.titlesize": 8,
    "axes.titlelocation": "left",
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.6,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "text.color": INK,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "xtick.major.width": 0.6,
    "ytick.major.width": 0.6,
    "grid.color": FAINT,
    "grid.linewidth": 0.5,
    "hatch.linewidth": 0.5,
    "legend.frameon": False,
    "legend.fontsize": 7,
    "lines.linewidth": 1.0,
    "lines.markersize": 4,
    "figure.facecolor": "white",
    "axes.axisbelow": True,
}


@dataclass(frozen=True)
class FigureFiles:
    """A figure as files: SVG, and PNG where files are wanted beside the page.

    `size` is its width and height in inches, `least_points` the size of its smallest words.
    """

    svg: bytes
    png: bytes = b""
    size: tuple[float, float] = (WIDTH, MOST_HEIGHT)
    least_points: float = math.inf

    def points_within(self, width: float, height: float) -> float:
        """Return the size of its smallest words where it is as large as so many inches let it."""
        return self.least_points * min(width / self.size[0], height / self.size[1])

    def inline(self, name: str, words: str) -> str:
        """Return the SVG for a page, with ids that no other figure on it has.

        Parameters
        ----------
        name
            A prefix for the ids, of letters, digits and hyphens.
        words
            What it shows, for who cannot see it; it must be escaped.
        """
        text = self.svg.decode("utf-8")
        text = text[text.index("<svg") :]
        text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
        text = re.sub(r'\bid="', f'id="{name}-', text)
        text = re.sub(r'href="#', f'href="#{name}-', text)
        text = re.sub(r"url\(#", f"url(#{name}-", text)
        return text.replace("<svg", f'<svg role="img" aria-label="{words}"', 1)


@contextmanager
def looks() -> Iterator[None]:
    """Draw in the report's look; what matplotlib is set to otherwise comes back after it."""
    with mpl.rc_context(SETTINGS), warnings.catch_warnings():
        # a name in letters that the font lacks: the page shows it, the PNG a box
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        yield


def new_figure(height: float, title: str = "") -> Figure:
    """Return an empty figure of a height in inches, to which a title adds its own."""
    figure = Figure(figsize=(WIDTH, height), dpi=DPI, layout="constrained")
    FigureCanvasAgg(figure)
    return titled(figure, title)


def titled(figure: Figure, title: str) -> Figure:
    """Put a title above a figure, to which it adds its own height; none where it is empty."""
    if title:
        figure.set_figheight(figure.get_figheight() + TITLE_HEIGHT)
        figure.suptitle(title, x=0.01, ha="left", fontweight="bold")
    return figure


def fixed_figure(height: float, dpi: float) -> Figure:
    """Return an empty figure of a height in inches, whose parts stay where they are put."""
    figure = Figure(figsize=(WIDTH, height), dpi=dpi)
    FigureCanvasAgg(figure)
    return figure


def fault_figure(told: str) -> Figure:
    """Return what stands in the place of a figure that could not be drawn."""
    figure = fixed_figure(OF_FAULT, DPI)
    figure.text(0.01, 0.5, told, va="center", wrap=True)
    return figure


def drawn(figure: Figure, *, with_png: bool = True, dpi: float | None = None) -> FigureFiles:
    """Return a figure as files; the same figure gives the same bytes.

    Parameters
    ----------
    dpi
        Dots in an inch of the PNG, where it is to be finer than the figure was made for.
    """
    if layout := figure.get_layout_engine():
        layout.execute(figure)
    figure.set_layout_engine("none")  # it stands; laying it out for each file costs time
    svg, png = io.BytesIO(), io.BytesIO()
    dpi = dpi or figure.dpi  # to draw a vector changes that of the figure
    # the canvases themselves: `savefig` draws each once more to lay it out
    vector: Any = FigureCanvasSVG(figure)
    vector.print_svg(svg, metadata={"Date": None, "Creator": None})
    if with_png:
        figure.set_dpi(dpi)
        raster: Any = FigureCanvasAgg(figure)
        raster.print_png(png, metadata={"Software": None})
    return replace(undrawn(figure), svg=svg.getvalue(), png=png.getvalue())


def undrawn(figure: Figure) -> FigureFiles:
    """Return how large a figure and its words are, which is known before it is drawn."""
    wide, high = map(float, figure.get_size_inches())
    return FigureFiles(b"", size=(wide, high), least_points=_least_points(figure))


def _least_points(figure: Figure) -> float:
    words = (one for one in figure.findobj(Text) if one.get_visible() and one.get_text().strip())
    return min((float(one.get_fontsize()) for one in words), default=math.inf)


def log_axis(axis: Any, low: float, high: float) -> None:
    """Give a logarithmic axis ticks that fit its range, with plain numbers.

    Parameters
    ----------
    axis
        `axes.xaxis` or `axes.yaxis`, on a logarithmic scale.
    low, high
        Its ends, above 0.
    """
    decades = high / low
    if decades < 8:
        axis.set_major_locator(MaxNLocator(4))
    elif decades < 300:
        axis.set_major_locator(LogLocator(subs=(1, 3) if decades > 40 else (1, 2, 5)))
    else:
        axis.set_major_locator(LogLocator(numticks=6))
    axis.set_minor_locator(NullLocator())
    axis.set_major_formatter(FuncFormatter(lambda value, _: tick(value)))


def tick(value: float) -> str:
    """Return a tick's number: high powers of ten as such.

    Examples
    --------
    >>> tick(1e8), tick(1e4), tick(0.8), tick(3e8)
    ('10⁸', '10⁴', '0.8', '3 × 10⁸')
    """
    power = round(math.log10(value)) if value > 0 else 0
    if power >= TICK_POWER and math.isclose(value, 10.0**power):
        return f"10{str(power).translate(SUPERSCRIPTS)}"
    return number(value, 3)


def dose_looks(batches: Sequence[str]) -> dict[str, dict[str, Any]]:
    """Return the look of each batch of one candidate, by rising dose; 20 differ."""
    return {
        batch: {**DOSES[place % len(DOSES)], "marker": DOSE_MARKERS[place % len(DOSE_MARKERS)]}
        for place, batch in enumerate(batches)
    }


class SpokenTicks(ScalarFormatter):
    """Numbers at ticks, with the decimal mark of the language."""

    def __call__(self, x: float, pos: int | None = None) -> str:
        """Return the text of a tick."""
        return in_numbers(super().__call__(x, pos))


def plain_grid(axes: Axes) -> None:
    """Draw faint lines at the ticks of x only."""
    if axes.get_xscale() == "linear":
        axes.xaxis.set_major_formatter(SpokenTicks())
    axes.grid(visible=True, axis="x")
    axes.tick_params(length=2.5)
