"""Slides of one plain look: a title, texts, tables, figures and pictures in inches on 16:9."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Sequence
from datetime import date, datetime
from functools import cache
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from tiecoat.ask.result_files import made_whole
from tiecoat.report.looks import FAINT, INK, SOFT

if TYPE_CHECKING:
    from tiecoat.intake.workers.drawing import Pixels

SlideBox: TypeAlias = tuple[float, float, float, float]  # left, top, width, height in inches

PAGE_WIDE, PAGE_HIGH = 13.333, 7.5
LEFT, TOP, BOTTOM = 0.5, 1.25, 7.2
WIDE, HIGH = PAGE_WIDE - 2 * LEFT, BOTTOM - TOP
BODY: SlideBox = (LEFT, TOP, WIDE, HIGH)
TITLE_LETTERS = 90  # of a title in the largest letters; longer ones are smaller
FONT = "DejaVu Sans"
TITLE_ONLY = 5  # of the layouts that an empty presentation of python-pptx has
PLAIN_TABLE = "{2D5ABB26-0587-4C30-8999-92F81FD0307C}"  # ECMA-376: no style, no grid
PICTURE_DPI = 220
LEAST_POINTS = 10.0  # of any words
LINE = 1.18  # height of a line, in its size
CELL_BESIDE, CELL_ABOVE = 0.06, 0.03  # inches around the words of a cell
BOX_BESIDE, BOX_ABOVE = 0.1, 0.05  # and of a text, as PowerPoint has them
LEAST_ROW = 0.3  # inches
STEPS = 100  # in which the room of a part of a table is tried
MEASURED = 100  # points at which widths are measured


class Deck:
    """A presentation that is being made.

    Parameters
    ----------
    cleaned
        Every text goes through it.
    """

    def __init__(self, cleaned: Callable[[str], str]) -> None:
        from pptx import Presentation
        from pptx.util import Inches

        self._cleaned = cleaned
        self._made: Any = Presentation()
        self._made.slide_width, self._made.slide_height = Inches(PAGE_WIDE), Inches(PAGE_HIGH)

    def title(self, title: str, lines: Sequence[str], notes: Sequence[str]) -> None:
        """Add the first slide."""
        slide = self._new(title, (LEFT, 2.3, WIDE, 1.2), 36, notes)
        self.text(slide, lines, (LEFT, 3.7, WIDE, 2.0), size=18, soft=True)

    def slide(self, title: str, notes: Sequence[str]) -> Any:
        """Return a new slide with a title; notes are for who speaks."""
        size = 24 if len(title) <= TITLE_LETTERS else 18 if len(title) <= 2 * TITLE_LETTERS else 14
        slide = self._new(title, (LEFT, 0.25, WIDE, 0.85), size, notes)
        self.bar(slide, (LEFT, 1.13, WIDE, 0.015), colour=FAINT, edge=FAINT)
        return slide

    def _new(self, title: str, box: SlideBox, size: float, notes: Sequence[str]) -> Any:
        from pptx.enum.text import MSO_ANCHOR

        slide = self._made.slides.add_slide(self._made.slide_layouts[TITLE_ONLY])
        shape = slide.shapes.title
        _place(shape, box)
        shape.text_frame.vertical_anchor = MSO_ANCHOR.BOTTOM
        self._fill(shape.text_frame, [title], size, bold=True)
        slide.notes_slide.notes_text_frame.text = "\n".join(map(self._cleaned, notes))
        return slide

    def text(
        self,
        slide: Any,
        lines: Sequence[str],
        box: SlideBox,
        *,
        size: float,
        bold: bool = False,
        soft: bool = False,
    ) -> None:
        """Add a text, a paragraph a line."""
        shape = slide.shapes.add_textbox(*_lengths(box))
        self._fill(shape.text_frame, lines, size, bold=bold, colour=SOFT if soft else INK)

    def table(
        self,
        slide: Any,
        rows: Sequence[Sequence[str]],
        *,
        widths: Sequence[float],
        size: float,
        has_heads: bool = True,
    ) -> None:
        """Add a table; the first row, or else the first column, is bold."""
        from pptx.util import Inches

        heights = [row_height(row, widths, size) for row in rows]
        box = (LEFT, TOP, sum(widths), sum(heights))
        table = slide.shapes.add_table(len(rows), len(widths), *_lengths(box)).table
        table._tbl.tblPr[0].text = PLAIN_TABLE
        table.first_row, table.horz_banding = has_heads, False
        for column, width in zip(table.columns, widths, strict=True):
            column.width = Inches(width)
        for place, row in enumerate(rows):
            table.rows[place].height = Inches(heights[place])
            for column, told in enumerate(row):
                cell = table.cell(place, column)
                is_head = place == 0 if has_heads else column == 0
                self._fill(cell.text_frame, told.split("\n"), size, bold=is_head)
                cell.margin_left = cell.margin_right = Inches(CELL_BESIDE)
                cell.margin_top = cell.margin_bottom = Inches(CELL_ABOVE)
                cell.fill.solid()
                shade = "#E9EDF0" if place == 0 and has_heads else "#FFFFFF"
                shade = "#F6F7F8" if shade == "#FFFFFF" and place % 2 else shade
                cell.fill.fore_color.rgb = _colour(shade)

    def figure(self, slide: Any, png: bytes, words: str, *, room: float) -> None:
        """Add a figure as large as the slide lets it be, in the middle."""
        from PIL import Image

        with Image.open(io.BytesIO(png)) as image:
            wide, high = image.size
        scale = min(WIDE / wide, room / high)
        box = (LEFT + (WIDE - scale * wide) / 2, TOP, scale * wide, scale * high)
        self._picture(slide, png, box, words)

    def pixels(self, slide: Any, pixels: Pixels, box: SlideBox, words: str) -> None:
        """Add a picture."""
        from PIL import Image

        sink = io.BytesIO()
        Image.fromarray(pixels).save(sink, "PNG")
        self._picture(slide, sink.getvalue(), box, words)

    def _picture(self, slide: Any, png: bytes, box: SlideBox, words: str) -> None:
        shape = slide.shapes.add_picture(io.BytesIO(png), *_lengths(box))
        shape._element.nvPicPr.cNvPr.set("descr", self._cleaned(words))

    def bar(
        self, slide: Any, box: SlideBox, *, colour: str = "#000000", edge: str = "#ffffff"
    ) -> None:
        """Add a bar, such as that of a scale."""
        from pptx.enum.shapes import MSO_SHAPE
        from pptx.util import Pt

        shape = slide.shapes.add_shape(MSO_SHAPE.RECTANGLE, *_lengths(box))
        shape.fill.solid()
        shape.fill.fore_color.rgb = _colour(colour)
        shape.line.color.rgb = _colour(edge)
        shape.line.width = Pt(0.5)
        shape.shadow.inherit = False

    def save(self, path: Path, title: str, on: date) -> None:
        """Write it; a file there is replaced, once the new one is whole."""
        about = self._made.core_properties
        about.title, about.author, about.last_modified_by = self._cleaned(title), "", ""
        about.created = about.modified = datetime(on.year, on.month, on.day)  # noqa: DTZ001 - UTC
        with made_whole(path) as half_made:
            self._made.save(str(half_made))

    def _fill(
        self,
        frame: Any,
        lines: Sequence[str],
        size: float,
        *,
        bold: bool = False,
        colour: str = INK,
    ) -> None:
        from pptx.enum.text import PP_ALIGN
        from pptx.util import Pt

        frame.word_wrap = True
        for place, line in enumerate(lines):
            paragraph = frame.paragraphs[0] if place == 0 else frame.add_paragraph()
            paragraph.alignment = PP_ALIGN.LEFT
            run = paragraph.add_run()
            run.text = self._cleaned(line)
            run.font.size, run.font.bold, run.font.name = Pt(size), bold, FONT
            run.font.color.rgb = _colour(colour)


def row_height(row: Sequence[str], widths: Sequence[float], size: float) -> float:
    """Return how many inches a row of a table takes, with its words broken into lines.

    Parameters
    ----------
    widths
        Of the columns, in inches.
    size
        Of the words, in points.
    """
    inner = [width - 2 * CELL_BESIDE for width in widths]
    most = max(lines_of(told, width, size) for told, width in zip(row, inner, strict=True))
    return max(LEAST_ROW, LINE * size * most / 72 + 2 * CELL_ABOVE)


def text_height(lines: Sequence[str], width: float, size: float) -> float:
    """Return how many inches a text takes, a paragraph a line, in a box of that width."""
    told = lines_of("\n".join(lines), width - 2 * BOX_BESIDE, size)
    return LINE * size * told / 72 + 2 * BOX_ABOVE


def table_parts(
    rows: Sequence[Sequence[str]], widths: Sequence[float], size: float
) -> list[list[Sequence[str]]]:
    """Return a table in parts that fit on a slide, each below the first row, which is its heads.

    There are as few as can be, and they are about as high: no last row stands alone.
    """
    heads, *body = rows
    first = row_height(heads, widths, size)
    takes = [row_height(row, widths, size) for row in body]
    fewest = len(_broken(takes, HIGH - first))
    lowest = next(
        room
        for share in range(1, STEPS + 1)
        if len(_broken(takes, room := (HIGH - first) * share / STEPS)) <= fewest
    )
    left = iter(body)
    return [[heads, *islice(left, count)] for count in _broken(takes, lowest)]


def _broken(takes: Sequence[float], room: float) -> list[int]:
    """Return how many rows of these heights stand on each part; one too high stands alone."""
    counts: list[int] = []
    taken = math.inf
    for one in takes:
        if taken + one > room:
            counts.append(0)
            taken = 0.0
        counts[-1] += 1
        taken += one
    return counts


def lines_of(text: str, width: float, size: float) -> int:
    """Return in how many lines a text of a size is broken in so many inches.

    Examples
    --------
    >>> lines_of("one line", 3.0, 10), lines_of("one line\\nand another", 3.0, 10)
    (1, 2)
    >>> lines_of("too long for so little", 0.6, 10)
    4
    """
    room = width * 72 / size
    lines = 0
    for paragraph in text.split("\n"):
        lines, left = lines + 1, room
        for word in paragraph.split(" "):
            takes = _wide(word)
            if takes > left < room:
                lines, left = lines + 1, room
            if takes > room:  # broken within
                lines += math.ceil(takes / room) - 1
            left -= takes + _wide(" ")
    return lines


@cache
def _wide(word: str) -> float:
    """Return the width of a word in multiples of its size, as bold letters have it."""
    from matplotlib import get_data_path
    from PIL import ImageFont

    path = f"{get_data_path()}/fonts/ttf/DejaVuSans-Bold.ttf"
    return float(ImageFont.truetype(path, MEASURED).getlength(word)) / MEASURED


def pixels_of(wide: float, high: float) -> tuple[int, int]:
    """Return the rows and columns of pixels that are seen in a picture of that size in inches."""
    return max(1, round(high * PICTURE_DPI)), max(1, round(wide * PICTURE_DPI))


def _lengths(box: SlideBox) -> tuple[int, ...]:
    from pptx.util import Inches

    return tuple(int(Inches(side)) for side in box)


def _place(shape: Any, box: SlideBox) -> None:
    shape.left, shape.top, shape.width, shape.height = _lengths(box)


def _colour(hexadecimal: str) -> Any:
    from pptx.dml import color

    made: Any = color.RGBColor  # it has no types
    return made(*(int(hexadecimal[place : place + 2], 16) for place in (1, 3, 5)))
