"""The report on disk: report.html, and beside it figures/, tables/ and, if asked, originals/.

A brief one is its page alone: one file to hand out, with the figures in it.

The same archive, study, date and program versions give the same bytes.
"""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from html import escape
from pathlib import Path

import pandas as pd
from jinja2 import Environment, PackageLoader, StrictUndefined

from tiecoat.ask.result_files import harmless, refuse_own_folders, refuse_place
from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.dose import trend_table
from tiecoat.compare.links import link_points, links_table
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged, QueryInvalid
from tiecoat.lab.settings import Lab
from tiecoat.report.brought_pages import MadePage, made_pages
from tiecoat.report.conclusions import candidate_rows
from tiecoat.report.evidence import Behind, all_behind, evidence_table, values_table
from tiecoat.report.figure_words import figure_words, property_words
from tiecoat.report.figures import OF_PROPERTY, bode_hours, draw_all, slide_figures
from tiecoat.report.first_page import first_page
from tiecoat.report.labels import number, title_of
from tiecoat.report.looks import FigureFiles
from tiecoat.report.next_steps import steps_table
from tiecoat.report.notes import Footnotes
from tiecoat.report.originals import ORIGINALS, copy_originals, original_links
from tiecoat.report.origins import origins_of
from tiecoat.report.others import Unnamed, unnamed_originals
from tiecoat.report.page import contents, context
from tiecoat.report.plate_pages import PlatePage, plate_pages
from tiecoat.report.plates import plates_of
from tiecoat.report.quality import Quality, quality_of
from tiecoat.report.recommended import recommendation_words
from tiecoat.report.slide_deck import LEAST_POINTS
from tiecoat.report.slides import ROOM, write_slides
from tiecoat.report.strength_figure import strengths_table
from tiecoat.report.texts_of_page import bound_page, in_texts
from tiecoat.report.verdict_page import property_pages
from tiecoat.report.words import Language, speaking
from tiecoat.report.workbook import write_workbook
from tiecoat.wording import Told, untold

PAGE, FIGURES, TABLES = "report.html", "figures", "tables"
NAME = re.compile(r"[^a-z0-9]+")
SLIDE_DPI = 220  # of figures that are shown on a wall
LONGEST = 60  # characters of a file's name; that of a property may be any length
OURS = (  # one of these stands on every page that this module has written
    b'<meta name="generator" content="tiecoat report">',
    b'<p class="over">Study report',
)
WITH_ORIGINALS = f'href="{ORIGINALS}/'.encode()  # on one that has them beside it


def default_folder(lab: Lab, study: Path | None) -> Path:
    """Return where a report goes that nobody names a place for: reports/ in the lab."""
    return lab.root / "reports" / ("all" if study is None else study.stem)


def date_of(text: str | None) -> date:
    """Return the date that stands on the report; today without a text.

    Raises
    ------
    QueryInvalid
        If it is not a date.
    """
    if text is None:
        return datetime.now().astimezone().date()
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise QueryInvalid(f"--date: found {text!r}; expected a date such as 2026-11-26") from None


@dataclass(frozen=True)
class ReportScope:
    """How much of a report is written.

    Parameters
    ----------
    is_brief
        Without the appendix of methods, tables and the origin of every number, and without files
        beside the page.
    with_originals
        Whether the originals go with it, in a folder beside the page that its links open.
    slides, workbook
        A .pptx and a .xlsx that are written too; None is none.
    """

    is_brief: bool = False
    with_originals: bool = False
    slides: Path | None = None
    workbook: Path | None = None


WHOLE = ReportScope()


def refuse(folder: Path, lab: Lab, scope: ReportScope) -> None:
    """Refuse a report that cannot be written there: to be asked before its study is compared.

    Raises
    ------
    QueryInvalid
        If the folder is the lab's own, or holds a page, figures/ or tables/ that are not a
        report's; if a brief report is to have its originals beside it; or if slides or workbook
        cannot stand where they are wanted.
    """
    if scope.is_brief and scope.with_originals:
        raise QueryInvalid(
            "a brief report is its page alone, without the list that opens the originals; leave"
            " out --brief or --with-originals"
        )
    refuse_own_folders(folder.absolute(), lab)
    _old_parts(folder.absolute(), scope.with_originals)
    if scope.slides is not None:
        refuse_place(scope.slides, lab, (".pptx",), "slides are")
    if scope.workbook is not None:
        refuse_place(scope.workbook, lab, (".xlsx",), "a workbook is")


def write_report(
    data: StudyData, folder: Path, on: date, scope: ReportScope = WHOLE, told: Told = untold
) -> Path:
    """Write a report in the language of the lab, and return the path of its page.

    Parameters
    ----------
    data
        What the report tells of.
    folder
        Where to; made where it is missing. A report that it holds is replaced, once the new one is
        whole; other files in it stay.
    on
        The date on the report.
    told
        Called with the progress.

    Raises
    ------
    QueryInvalid
        As `refuse` raises it, or if the folder cannot be written.
    ArchiveDamaged
        If an original that goes with it is not there, or is not what was filed.
    """
    refuse(folder, data.lab, scope)
    folder = folder.absolute()
    old = _old_parts(folder, scope.with_originals)
    with speaking(Language(data.lab.settings.report.language)):
        return _write(data, folder, on, scope, old, progress=told)


def _write(
    data: StudyData,
    folder: Path,
    on: date,
    scope: ReportScope,
    old: Sequence[str],
    *,
    progress: Told,
) -> Path:
    data = unnamed_originals(data)
    unnamed = Unnamed(data.others, data.lab.settings.ids.batch)
    quality = quality_of(data)
    with_png = not scope.is_brief or scope.slides is not None
    dpi = SLIDE_DPI if scope.slides else None
    brought = made_pages(data)
    figures = draw_all(data, brought, with_png=with_png, told=progress, dpi=dpi)
    plates = plates_of(data, told=progress)
    pages = plate_pages(data.comparison, plates, with_png=not scope.is_brief)
    origins = origins_of(data.measurements)
    beside = [one for one in origins if one.sha256 not in data.shared and scope.with_originals]
    words = figure_words(data, brought)
    drawings = _inline(data, figures, words)
    behind, notes = all_behind(data), Footnotes()
    of_properties = property_pages(data, drawings, origins, notes, behind)
    answers = first_page(data, candidate_rows(data, of_properties), quality)
    told = context(
        data,
        quality,
        brought,
        drawings,
        words,
        pages=of_properties,
        answers=answers,
        notes=notes,
        origins=origins,
        on=on,
    )
    told["plates"] = _inline_plates(pages)
    told |= {"bode_hours": number(bode_hours(data)), "brief": scope.is_brief}
    page = _page(told | {"original_links": original_links(beside)}, brought)
    page = bound_page(in_texts(page, unnamed.text))
    tables = {}
    if not scope.is_brief or scope.workbook is not None:
        found = tables_of(data, quality, brought, behind)
        tables = {name: unnamed.table(table) for name, table in found.items()}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".report-", dir=folder) as place:
            half_made = Path(place)
            if not scope.is_brief:
                _write_figures(figures | _by_name(pages), half_made / FIGURES)
                _write_tables(tables, half_made / TABLES)
                copy_originals(data.lab, beside, half_made)
            (half_made / PAGE).write_text(page, encoding="utf-8", newline="\n")
            _put_in_place(half_made, folder, old)
        if scope.slides is not None:
            on_slides = slide_figures(
                data, brought, figures, ROOM, least_points=LEAST_POINTS, dpi=SLIDE_DPI
            )
            write_slides(
                data,
                scope.slides,
                pages=of_properties,
                answers=answers,
                figures=on_slides,
                words=words,
                brought=brought,
                plates=plates,
                origins=origins,
                on=on,
                cleaned=unnamed.text,
            )
        if scope.workbook is not None:
            write_workbook(tables, data, on, scope.workbook)
    except ArchiveDamaged:
        raise
    except OSError as error:
        raise QueryInvalid(f"{folder} cannot be written: {error.strerror or error}") from error
    return folder / PAGE


def _put_in_place(half_made: Path, folder: Path, old: Sequence[str]) -> None:
    """Move a finished report to where it was wanted; folders of the old one go first."""
    for name in old:
        if fsio.is_folder(folder / name):
            shutil.rmtree(folder / name)
    for name in (FIGURES, TABLES, ORIGINALS, PAGE):
        if fsio.is_there(half_made / name):
            (half_made / name).replace(folder / name)


def _old_parts(folder: Path, with_originals: bool) -> list[str]:
    """Return what a report there consists of; refuse what would be replaced and is none of ours."""
    page = folder / PAGE
    text = page.read_bytes() if fsio.is_file(page) else b""
    is_ours, had_originals = any(one in text for one in OURS), WITH_ORIGINALS in text
    parts = [name for name in (PAGE, FIGURES, TABLES) if fsio.is_there(folder / name)]
    foreign = [] if is_ours else list(parts)
    if fsio.is_there(folder / ORIGINALS):
        if is_ours and had_originals:
            parts.append(ORIGINALS)
        elif with_originals:
            foreign.append(ORIGINALS)
    if foreign:
        raise QueryInvalid(
            f"{folder} holds {' and '.join(foreign)}, but no report of tiecoat: they may be"
            " somebody's; name another folder"
        )
    return parts


def _inline(
    data: StudyData,
    figures: Mapping[str, Sequence[FigureFiles]],
    words: Mapping[str, Sequence[str]],
) -> dict[str, list[str]]:
    """Return the figures as they stand in the page, each with what it shows in words."""
    comparison = data.comparison
    of_properties = {
        OF_PROPERTY + one.label: [f"{title_of(one)}. {property_words(comparison, one)}"]
        for one in comparison.properties
    }
    told = of_properties | {**words}
    return {
        name: [
            one.inline(f"f{place}-{number}", escape(told[name][min(number, len(told[name]) - 1)]))
            for number, one in enumerate(drawings)
        ]
        for place, (name, drawings) in enumerate(figures.items())
    }


def _inline_plates(pages: Sequence[PlatePage]) -> list[dict[str, str]]:
    """Return plates as they stand in the page, each with what it shows in words."""
    return [
        {
            "title": one.title,
            "words": one.words,
            "drawing": one.files.inline(f"p{place}", escape(f"{one.title}. {one.words}")),
        }
        for place, one in enumerate(pages)
    ]


def _by_name(pages: Sequence[PlatePage]) -> dict[str, list[FigureFiles]]:
    found: dict[str, list[FigureFiles]] = {}
    for one in pages:
        found.setdefault(one.name, []).append(one.files)
    return found


def _page(told: Mapping[str, object], brought: Sequence[MadePage]) -> str:
    """Return the page; it is made twice, for its contents list what has come out."""
    environment = Environment(
        loader=PackageLoader("tiecoat.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    template = environment.get_template("report.html.j2")
    brief = bool(told["brief"])
    listed = contents(template.render(told, contents=()), brought, brief=brief)
    return template.render(told, contents=listed)


def tables_of(
    data: StudyData, quality: Quality, brought: Sequence[MadePage], behind: Behind
) -> dict[str, pd.DataFrame]:
    """Return the tables that stand beside the page, by name; with all digits."""
    comparison = data.comparison
    found = {
        "batches": comparison.batches.reset_index(drop=True),
        "verdicts": comparison.table(),
        "strengths": strengths_table(comparison),
        "pairs": comparison.pairs_table(),
        "next_steps": steps_table(comparison),
        "not_compared": _not_compared(comparison),
        "values": values_table(data, behind),
        "evidence": evidence_table(data, behind),
        "measurements": data.measurements,
        "withdrawn": quality.withdrawn,
        "held": quality.held,
        "kramers_kronig_failed": quality.failed_spectra,
        "glue_failures": quality.glue,
        "flags": quality.flags,
        "missing": pd.DataFrame({"missing": list(quality.missing)}),
        "dose_trends": trend_table(data.trends),
        "links": links_table(data.links),
        "links_points": link_points(data.links),
    }
    found["recommendations"] = pd.DataFrame(
        [
            (one.application, one.batch, one.first, recommendation_words(one))
            for one in data.recommendations
        ],
        columns=["application", "batch", "first", "recommendation"],
    )
    if data.ranking is not None:
        found["ranking"] = data.ranking.table
        found["ranking_changes"] = pd.DataFrame(
            [(one.what, one.first, one.share) for one in data.ranking.changes],
            columns=["what", "first", "share"],
        )
        found["rank_chances"] = data.ranking.chances.reset_index(names="batch")
        found["desirabilities"] = data.ranking.desirabilities.reset_index(names="batch")
    found |= {f"results_{kind}": table for kind, table in data.results.items()}
    return found | {name: one.table for page in brought for name, one in page.tables.items()}


def _not_compared(comparison: Comparison) -> pd.DataFrame:
    rows = [
        (one.what, one.kind, "; ".join(one.batches), one.why) for one in comparison.not_compared
    ]
    return pd.DataFrame(rows, columns=["what", "kind", "batches", "why"])


def _write_tables(tables: Mapping[str, pd.DataFrame], folder: Path) -> None:
    folder.mkdir()
    for name, table in tables.items():
        path = folder / f"{name}.csv"
        harmless(table).to_csv(path, index=False, encoding="utf-8-sig", lineterminator="\n")


def _write_figures(figures: Mapping[str, Sequence[FigureFiles]], folder: Path) -> None:
    folder.mkdir()
    taken: set[str] = set()
    for name, drawings in figures.items():
        for place, one in enumerate(drawings, 1):
            stem = NAME.sub("_", name.lower()).strip("_")[:LONGEST] or "figure"
            stem = stem if len(drawings) == 1 else f"{stem}_{place}"
            while stem in taken:
                stem += "_"
            taken.add(stem)
            (folder / f"{stem}.svg").write_bytes(one.svg)
            (folder / f"{stem}.png").write_bytes(one.png)
