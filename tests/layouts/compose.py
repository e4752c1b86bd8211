"""From a seed to an export with known truth."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from . import (
    chamber_record,
    density,
    exposure_rating,
    film_thickness,
    flow_cup,
    foam,
    gloss,
    impedance,
    pull_off,
    register_sheets,
    viscosity,
)
from .book import book_of
from .case import Case
from .cells import Cell, Moment, Number, Text
from .draft import Draft
from .layout import lay_out
from .lines import Entry, Paper, Table
from .style import DAY_MONTH, Style, draw_style
from .text import ENDINGS, text_of
from .words import LANGUAGES

DRAFTS: dict[str, Callable[[Random, str], Draft]] = {
    "impedance": impedance.draft,
    "density": density.draft,
    "pull_off": pull_off.draft,
    "gloss": gloss.draft,
    "film_thickness": film_thickness.draft,
    "viscosity": viscosity.draft,
    "flow_cup": flow_cup.draft,
    "exposure_rating": exposure_rating.draft,
    "chamber_record": chamber_record.draft,
    "batches": register_sheets.batches_draft,
    "panels": register_sheets.panels_draft,
    "foam": foam.draft,
}
FLAVOURS = tuple(DRAFTS)
LOWER_CASE_IDS = 0.04


def layout(seed: int, flavour: str | None = None) -> Case:
    """Return the export of a seed; the same for the same seed and flavour."""
    dice = Random(f"layout {seed} {flavour}")
    chosen = flavour or dice.choice(FLAVOURS)
    draft, style = draw(dice, chosen)
    return render(seed, draft, style, dice)


def draw(dice: Random, flavour: str) -> tuple[Draft, Style]:
    """Return what an export says and how it is written."""
    language = dice.choice(LANGUAGES)
    while True:
        draft = DRAFTS[flavour](dice, language)
        titles = [field.title.casefold() for field in draft.fields.values()]
        if len(set(titles)) == len(titles):
            break
    if dice.random() < LOWER_CASE_IDS:
        _lower_ids(draft)
    return draft, draw_style(dice, language)


def _lower_ids(draft: Draft) -> None:
    """Write ids in lower case: case does not matter in them."""
    draft.traits.append("ids in lower case")
    for group in draft.groups:
        for part in (group.constants, *group.rows):
            for key in ("panel", "batch"):
                if isinstance(cell := part.get(key), Text):
                    part[key] = Text(cell.text.lower())


def render(seed: int, draft: Draft, style: Style, dice: Random, mistake: str = "") -> Case:
    """Return the export as bytes with its truth."""
    _settle_style(draft, style)
    paper = lay_out(draft, style, dice)
    if style.medium == "book":
        style.thousands = ""  # a workbook shows them without having them in its cells
        content, ending = book_of(paper, style, dice), "xlsx"
    else:
        _settle_text(paper, style)
        content = text_of(paper, style, dice)
        ending = dice.choice(ENDINGS.get(style.separator, ("txt", "dat")))
    traits = (*paper.traits, *_traits(style, draft))
    return Case(
        seed,
        draft.flavour,
        draft.kind,
        f"{paper.name}.{ending}",
        paper.folder,
        content,
        tuple(draft.truth),
        traits,
        mistake,
    )


def _cells(draft: Draft) -> list[Cell]:
    return [cell for row in draft.rows() for cell in row.values()]


def _settle_style(draft: Draft, style: Style) -> None:
    """Give up what would leave a reader in doubt, or cannot be written."""
    moments = [cell for cell in _cells(draft) if isinstance(cell, Moment)]
    unsaid = not any(moment.at.day > 12 for moment in moments)
    if style.dates in DAY_MONTH and unsaid:  # the day or the month first
        style.dates = "iso"
    if style.dates in {"iso_t", "iso_offset", "iso_z", "serial"}:
        style.split_clock = False
    if style.comment == "# " and any(field.title == "#" for field in draft.fields.values()):
        style.comment = "% "  # else the titles look like a comment
    if style.unit_place == "cell" and {"form logs", "form complex"} & set(draft.traits):
        style.unit_place = "round"


def _settle_text(paper: Paper, style: Style) -> None:
    """Change a separator that would get lost, and leave out thousands marks that say too little."""
    tables = [line for sheet in paper.sheets for line in sheet.lines if isinstance(line, Table)]
    cells = [cell for table in tables for row in [*table.rows, *table.footer] for cell in row]
    entries = [
        line.cell for sheet in paper.sheets for line in sheet.lines if isinstance(line, Entry)
    ]
    titles = [title for table in tables for row in table.head for title in row]
    texts = titles + [cell.text for cell in cells if isinstance(cell, Text)]
    if style.separator == "|" and any("|" in text for text in texts):
        style.separator = ";"
    gaps = any(cell is None for cell in cells) or any(table.merge for table in tables)
    gaps = gaps or any(title == "" for title in titles) or any(not text for text in texts)
    if style.separator == "aligned" and (gaps or any("  " in text for text in texts)):
        style.separator = ";"
    numbers = [cell for cell in cells + entries if isinstance(cell, Number)]
    if style.thousands and not any(_shows_marks(number) for number in numbers):
        style.thousands = ""
    if style.thousands == style.separator:
        style.thousands = ""


def _shows_marks(number: Number) -> bool:
    """Say whether a number has a thousands mark and shows that it is none of decimals."""
    if "e" in number.text.lower():
        return False
    return abs(number.value) >= 1e6 or (abs(number.value) >= 1e3 and "." in number.text)


def _traits(style: Style, draft: Draft) -> list[str]:
    """Say how a file is written."""
    found = [style.language, style.medium, f"units {style.unit_place}", f"decimal {style.decimal}"]
    if style.medium == "text":
        found += [f"separator {style.separator!r}", style.encoding, f"entries {style.entries}"]
        found += [f"comment {style.comment.strip()}"] if style.comment else []
        found += [f"thousands {style.thousands!r}"] if style.thousands else []
        found += ["ruler"] if style.ruler else []
        found += ["quoted"] if style.quote_all else []
        found += ["trailing"] if style.trailing else []
    if any(isinstance(cell, Moment) for cell in _cells(draft)):
        found.append(f"dates {style.dates}{' split' if style.split_clock else ''}")
    if style.leave_out_customary:
        found.append("customary units left out")
    return found
