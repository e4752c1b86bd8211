"""Slides read back: what on them is too small to read, cut, or beyond an edge."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from matplotlib import get_data_path
from PIL import ImageFont
from pptx import Presentation
from pptx.util import Inches

LEAST_POINTS = 10


def words_on(slide: Any) -> Iterator[tuple[Any, float, float]]:
    """Yield each text on a slide with the width and height, in inches, that it has."""
    for shape in slide.shapes:
        if shape.has_text_frame:
            yield shape.text_frame, shape.width / Inches(1), shape.height / Inches(1)
        if shape.has_table:
            widths = [column.width / Inches(1) for column in shape.table.columns]
            for row in shape.table.rows:
                for cell, width in zip(row.cells, widths, strict=True):
                    yield cell.text_frame, width, row.height / Inches(1)


def broken(frame: Any, width: float) -> float:
    """Return the height in inches of a text, word after word as PIL measures them."""
    high = 0.0
    for paragraph in frame.paragraphs:
        for run in paragraph.runs:
            points = run.font.size.pt
            name = "DejaVuSans-Bold.ttf" if run.font.bold else "DejaVuSans.ttf"
            font = ImageFont.truetype(f"{get_data_path()}/fonts/ttf/{name}", 100)
            lines, line = 1, ""
            for word in run.text.split():
                longer = f"{line} {word}".strip()
                if line and font.getlength(longer) * points / 100 > (width - 0.2) * 72:
                    lines, longer = lines + 1, word
                line = longer
            high += lines * 1.17 * points / 72
    return high


def unreadable(path: Path) -> list[str]:
    """Return what is too small to read, cut, or beyond its slide."""
    made, found = Presentation(str(path)), []
    for number, slide in enumerate(made.slides, 1):
        for frame, width, height in words_on(slide):
            sizes = [run.font.size.pt for one in frame.paragraphs for run in one.runs]
            if min(sizes, default=LEAST_POINTS) < LEAST_POINTS:
                found.append(f"slide {number}: {min(sizes)} points: {frame.text[:60]}")
            if broken(frame, width) > height + 0.06:
                found.append(f"slide {number}: higher than its place: {frame.text[:60]}")
        for one in slide.shapes:
            low = one.top + one.height
            if one.has_table:
                low = one.top + sum(row.height for row in one.table.rows)
            if min(one.left, one.top) < 0 or low > made.slide_height:
                found.append(f"slide {number}: beyond its edge: {one.name}")
            if one.left + one.width > made.slide_width:
                found.append(f"slide {number}: beyond its edge: {one.name}")
    return found
