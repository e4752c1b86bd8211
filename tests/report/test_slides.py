"""`tiecoat report --slides --workbook`: read back by python-pptx and openpyxl, and opened."""

from __future__ import annotations

import io
import math
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unittest import mock

import openpyxl
import pandas as pd
import pytest
from example_study import REPORTED, drawn_figures, example_data, in_german
from PIL import Image
from pptx import Presentation
from shared_work import SharedWork
from slides_read import unreadable
from test_plates import example_plates, example_with_pictures

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.verdict import VerdictWord
from tiecoat.report.brought_pages import made_pages
from tiecoat.report.candidate_grid import shared_out
from tiecoat.report.evidence import all_behind
from tiecoat.report.figures import slide_figures
from tiecoat.report.first_page import Answer, AnswerTo
from tiecoat.report.labels import OUTCOME_WORDS
from tiecoat.report.quality import quality_of
from tiecoat.report.slide_deck import HIGH, row_height, table_parts
from tiecoat.report.slides import ROOM, laid_out
from tiecoat.report.workbook import write_workbook
from tiecoat.report.write import ReportScope, tables_of, write_report

OFFICE = shutil.which("soffice")
EVIL = ["=1+1", "+1", "-1 or so", "@SUM(A1)", "\t=2", "plain"]


@dataclass(frozen=True)
class Written:
    """The example's slides and workbook."""

    data: StudyData
    slides: Path
    workbook: Path


@contextmanager
def drawn_before(shared_work: SharedWork) -> Iterator[None]:
    """Figures and plates are those that other tests look at too: drawing takes most of the time."""
    figures, plates = drawn_figures(shared_work), example_plates(shared_work)
    with (
        mock.patch("tiecoat.report.write.draw_all", return_value=figures),
        mock.patch("tiecoat.report.write.plates_of", return_value=plates),
    ):
        yield


@pytest.fixture(scope="module")
def written(shared_work: SharedWork) -> Written:
    """Both, written with a brief report."""
    data = example_with_pictures(shared_work)

    def make(folder: Path) -> Path:
        scope = ReportScope(
            is_brief=True, slides=folder / "study.pptx", workbook=folder / "study.xlsx"
        )
        with drawn_before(shared_work):
            write_report(data, folder, REPORTED, scope)
        return folder

    folder = shared_work.once("slides", make)
    return Written(data, folder / "study.pptx", folder / "study.xlsx")


def texts_of(slide: Any) -> list[str]:
    """Every text on a slide, tables too."""
    told = [shape.text_frame.text for shape in slide.shapes if shape.has_text_frame]
    for shape in slide.shapes:
        if shape.has_table:
            told += [cell.text for row in shape.table.rows for cell in row.cells]
    return told


def notes_of(slide: Any) -> str:
    """What its notes say."""
    return str(slide.notes_slide.notes_text_frame.text)


def test_each_slide_has_a_title_and_says_where_it_comes_from(written: Written) -> None:
    """In its notes: program, date and the entry of the journal that the archive stood at."""
    slides = list(Presentation(str(written.slides)).slides)
    assert written.data.last_entry is not None
    entry = str(written.data.last_entry["hash"])[:12]
    for slide in slides:
        assert slide.shapes.title.text_frame.text.strip()
        assert f"whose hash begins {entry}" in notes_of(slide)
        assert "2026-11-26" in notes_of(slide)


def answered(count: int) -> list[Answer]:
    """Return answers of as many sentences of two lines."""
    sentences = [f"{place} {'word ' * 30}".strip() for place in range(count)]
    return [Answer(AnswerTo.RECOMMENDED, sentences[:3]), Answer(AnswerTo.HARM, sentences[3:])]


@pytest.mark.parametrize(("count", "size"), [(8, 14), (30, 11), (200, 10)])
def test_answers_take_two_slides_in_the_largest_letters_that_fit(count: int, size: float) -> None:
    """No sentence is lost: what two slides do not hold takes more of them, not smaller letters."""
    found, parts = laid_out(answered(count))
    told = [sentence for part in parts for _, sentences in part for sentence in sentences]
    assert told == [sentence for one in answered(count) for sentence in one.sentences]
    assert found == size
    assert (len(parts) > 2) == (count == 200)


@pytest.mark.parametrize("count", [2, 9, 10, 17])
def test_no_candidate_stands_alone_on_the_last_slide_of_a_table(count: int) -> None:
    """The slides of a table are as few as before and about as full; no row is lost or too low."""
    heads, row = ["candidate", "gloss"], ["RB-011\n5 % talc", "not worse\n+1\n0 to 2\nor so"]
    rows = [[f"{place} {row[0]}", row[1]] for place in range(count)]
    widths, size = (4.0, 4.0), 10.0
    parts = table_parts([heads, *rows], widths, size)
    assert [one for part in parts for one in part[1:]] == rows
    heights = [sum(row_height(one, widths, size) for one in part) for part in parts]
    assert max(heights) <= HIGH
    assert len(parts) == math.ceil(count / 8)  # eight of such rows are below 5.95 inches
    sizes = [len(part) - 1 for part in parts]
    assert max(sizes) - min(sizes) <= 1


@pytest.mark.parametrize("count", range(1, 40))
def test_no_property_stands_alone_on_the_last_figure_of_many(count: int) -> None:
    """Four beside each other, in one row or two: no more figures than are needed, about as full."""
    for deep in (1, 2):
        across, counts = shared_out(count, 4, deep)
        assert sum(counts) == count
        assert len(counts) == math.ceil(count / (4 * deep))
        assert max(counts) - min(counts) <= 1
        assert across <= 4
        assert math.ceil(counts[0] / across) <= deep


def test_everything_on_a_slide_can_be_read(written: Written) -> None:
    """No words below 10 points, none higher than their place, nothing beyond an edge."""
    assert unreadable(written.slides) == []


def test_words_in_figures_on_slides_can_be_read(shared_work: SharedWork) -> None:
    """What would be too small is drawn in parts; no candidate is lost by that."""
    data, figures = example_data(shared_work), drawn_figures(shared_work)
    pages = made_pages(data)
    shown = slide_figures(data, pages, figures, ROOM, least_points=10, dpi=60)
    small = {
        name: one.points_within(*ROOM)
        for name, of in shown.items()
        for one in of
        if one.points_within(*ROOM) < 10
    }
    assert small == {}
    assert any(one.points_within(*ROOM) < 10 for of in figures.values() for one in of)
    failures = "".join(one.svg.decode() for one in shown["failure"])
    assert all(batch in failures for batch in data.comparison.candidates)


def test_each_property_has_a_slide_that_says_what_came_out(written: Written) -> None:
    """One figure, the verdicts in the title, in the notes every measurement behind it."""
    data = written.data
    slides = {
        one.shapes.title.text_frame.text.casefold(): one
        for one in Presentation(str(written.slides)).slides
    }
    for wanted in data.comparison.properties:
        (title,) = (one for one in slides if one.startswith(f"{wanted.label.casefold()}:"))
        mine = [one for one in data.comparison.verdicts if one.property == wanted.label]
        for outcome in VerdictWord:
            batches = [one.batch for one in mine if one.outcome is outcome]
            assert (OUTCOME_WORDS[outcome][1] in title.split(": ")[1]) >= bool(batches)
        pictures = [one for one in slides[title].shapes if one.shape_type == 13]
        assert len(pictures) == 1
        assert pictures[0]._element.nvPicPr.cNvPr.get("descr")
        filed = data.measurements[data.measurements["kind"] == wanted.kind]
        notes = notes_of(slides[title])
        told = [one for one in filed["measurement"] if one in notes]
        assert len(told) == len(filed) or "more, which the report lists" in notes


def test_plates_stand_on_slides_as_pictures_with_words_to_edit(written: Written) -> None:
    """Plain and drawn on, a bar each, and the number below as a text."""
    slides = Presentation(str(written.slides)).slides
    (cut,) = (one for one in slides if "Cut films" in one.shapes.title.text_frame.text)
    pictures = [one for one in cut.shapes if one.shape_type == 13]
    assert len(pictures) == 6
    plain, drawn = (Image.open(io.BytesIO(one.image.blob)) for one in pictures[:2])
    assert plain.size == drawn.size
    assert plain.tobytes() != drawn.tobytes()
    told = "\n".join(texts_of(cut))
    assert "the bar is 100 µm" in told
    assert told.count("picture nearest the median of 2") == 3
    assert "RB-016" in notes_of(cut)


def test_all_verdicts_are_a_table(written: Written) -> None:
    """Each candidate and property has its cell, to be edited."""
    cells = [
        text
        for slide in Presentation(str(written.slides)).slides
        for text in texts_of(slide)
        if text[:1] in {*"▲●▼!?△○▽"} and text.partition(" ")[0].strip("▲●▼!?△○▽") == ""
    ]
    assert len(cells) == len(written.data.comparison.verdicts)


@pytest.mark.skipif(not OFFICE, reason="there is no LibreOffice on this machine")
@pytest.mark.thorough
def test_an_office_program_opens_them(written: Written, tmp_path: Path) -> None:
    """LibreOffice makes a PDF of as many pages as there are slides."""
    command = [str(OFFICE), "--headless", "--convert-to", "pdf", "--outdir", str(tmp_path)]
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    subprocess.run([*command, profile, str(written.slides)], check=True, timeout=240)
    pages = (tmp_path / "study.pdf").read_bytes().count(b"/Type/Page/") + (
        tmp_path / "study.pdf"
    ).read_bytes().count(b"/Type/Page\n")
    assert pages == len(Presentation(str(written.slides)).slides)


def test_the_workbook_holds_every_table(written: Written) -> None:
    """A sheet each with its rows, numbers as numbers with 16 digits, ids of measurements."""
    book = openpyxl.load_workbook(written.workbook, read_only=True)
    data = written.data
    tables = tables_of(data, quality_of(data), made_pages(data), all_behind(data))
    assert len(book.sheetnames) == len(tables) + 1
    listed = [row[1] for row in book["contents"].iter_rows(values_only=True)]
    assert set(tables) <= set(listed)
    rows = list(book["verdicts"].iter_rows(values_only=True))
    meant = written.data.comparison.table()
    assert rows[0] == tuple(meant.columns)
    effect = rows[0].index("effect")
    found = pd.Series([row[effect] for row in rows[1:]], dtype=float)
    assert found.tolist() == pytest.approx(meant["effect"].tolist(), rel=1e-15, nan_ok=True)
    values = list(book["values"].iter_rows(values_only=True))
    ids = values[0].index("measurements")
    known = set(written.data.measurements["measurement"])
    assert all(set(str(row[ids]).split("; ")) <= known for row in values[1:])


def test_no_text_of_the_workbook_is_a_formula(written: Written, tmp_path: Path) -> None:
    """What begins like one is a text, reads as it was, and is marked as quoted."""
    path = tmp_path / "evil.xlsx"
    table = pd.DataFrame({"note": EVIL, "=head": range(len(EVIL))})
    study = written.data.comparison.study.model_copy(update={"name": "=cmd|' /C calc'!A0"})
    data = replace(written.data, comparison=replace(written.data.comparison, study=study))
    write_workbook({"=odd/name": table}, data, REPORTED, path)
    book = openpyxl.load_workbook(path)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells if cell.value is not None} <= {"s", "n"}
    (sheet,) = (book[name] for name in book.sheetnames if name != "contents")
    assert [cell.value for cell in sheet["A"]] == ["note", *EVIL]
    assert all(cell.quotePrefix for cell in list(sheet["A"])[1:-1])


@pytest.mark.thorough
def test_german_slides_are_german(
    written: Written, shared_work: SharedWork, tmp_path: Path
) -> None:
    """Titles, tables and notes of what the program says."""
    scope = ReportScope(is_brief=True, slides=tmp_path / "studie.pptx")
    with drawn_before(shared_work):
        write_report(in_german(written.data), tmp_path / "bericht", REPORTED, scope)
    titles = [
        slide.shapes.title.text_frame.text
        for slide in Presentation(str(tmp_path / "studie.pptx")).slides
    ]
    assert "Wo die Filme brachen" in titles or "Gesamtrangfolge" in titles
    assert "Querschliffe: Poren, Anteil an der Fläche des Films" in titles
    assert not [one for one in titles if "worse" in one or "Overall" in one]
