"""What is done to the texts of a page: batches of others, headings, and numbers with units."""

from __future__ import annotations

import io
import zipfile

import pandas as pd
import pytest

from tiecoat.reasons import Fault, Reason
from tiecoat.remarks import Remark
from tiecoat.report.held_files import fault_words
from tiecoat.report.labels import lab_words, recipe_words
from tiecoat.report.named_batches import ids_in_file
from tiecoat.report.others import Unnamed
from tiecoat.report.texts_of_page import NO_BREAK, bound, in_texts
from tiecoat.report.words import Language, speaking, translated
from tiecoat.schemas import film_thickness

RB = "RB-[0-9]{3}"


def workbook(**parts: str) -> bytes:
    """Return a container with parts, as a workbook is one."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as made:
        for name, text in parts.items():
            made.writestr(f"xl/{name}.xml", text)
    return content.getvalue()


@pytest.mark.parametrize(
    ("content", "named"),
    [
        (b"Panel;MPa\nrb-011-2;3.1\n", {"RB-011"}),
        ("Prüfling RB-050".encode("utf-16"), {"RB-050"}),
        ("Prüfling RB-050".encode("utf-16-le"), {"RB-050"}),
        (workbook(sharedStrings="<si><r><t>RB-</t></r><r><t>050</t></r></si>"), {"RB-050"}),
        (workbook(workbook='<sheet name="for RB-050" state="hidden"/>'), {"RB-050"}),
        (workbook(sheet1='<row uid="{00RB-0501-17}"><c>RB-011</c></row>'), {"RB-011"}),
        (b"PK, which is no workbook, of RB-050", {"RB-050"}),
        (b"\x89PNG RB-050", set()),
    ],
)
def test_a_file_names_batches_wherever_they_stand(content: bytes, named: set[str]) -> None:
    """In text of any encoding, in each sheet, in names of sheets; not in the ids of a program."""
    assert ids_in_file(content, RB) == named


def test_batches_of_others_are_told_as_such() -> None:
    """They and their panels have no name in texts and tables; all others keep theirs."""
    unnamed = Unnamed({"RB-050"}, RB)
    told = unnamed.text("equal to RB-050-1, not to RB-011-1; RB-777 is unknown")
    assert told == "equal to another batch, not to RB-011-1; RB-777 is unknown"
    table = pd.DataFrame({"remark": ["as rb-050", None], "value": [1.0, 2.0]})
    assert unnamed.table(table)["remark"].tolist()[0] == "as another batch"
    assert unnamed.table(table)["value"].tolist() == [1.0, 2.0]


def test_no_word_stands_twice_in_a_heading() -> None:
    """A lab that is called one is not called so again; nor is a dose that the candidate has."""
    assert (lab_words("Lab North"), lab_words("north")) == ("Lab North", "lab north")
    register = pd.DataFrame(
        {"candidate": ["5 % talc", "talc", "5.5% talc"], "dose_percent": [5.0, 5.0, 5.5]},
        index=["A", "B", "C"],
    )
    assert [recipe_words(register, one) for one in "ABC"] == ["5 % talc", "5 % talc", "5.5% talc"]


@pytest.mark.parametrize(
    ("text", "joints"),
    [
        ("modulus after 240 h", "modulus after 240_h"),
        ("+0.37 points; 0.12 to 0.61", "+0.37_points; 0.12 to 0.61"),
        ("+0,37 Punkte, unter 5 %", "+0,37_Punkte, unter 5_%"),
        ("8.7 × 10⁷ Ω cm², × 4.3", "8.7_×_10⁷_Ω_cm², ×_4.3"),
        ("4 panels each, 2 coats, 3 more", "4 panels each, 2 coats, 3 more"),
        ("20 mm dolly, 0.1 Hz, 3 µm, 23 °C", "20_mm dolly, 0.1_Hz, 3_µm, 23_°C"),
        ("2 m-panels, 5 hours, 7 Paints", "2 m-panels, 5 hours, 7 Paints"),
    ],
)
def test_no_line_breaks_between_a_number_and_its_unit(text: str, joints: str) -> None:
    """Units, points and signs stay with their number; other words may follow on the next line."""
    assert bound(text).replace(NO_BREAK, "_") == joints


def test_only_texts_of_a_page_are_changed() -> None:
    """Markup, drawings and the style sheet stay; what the style sheet shows is changed too."""
    page = '<style>5 %</style><p id="5 %">5 %<svg>5 %</svg></p><td data-label="5 h">x</td>'
    told = in_texts(page, bound).replace(NO_BREAK, "_")
    assert told == (
        '<style>5 %</style><p id="5 %">5_%<svg>5 %</svg></p><td data-label="5_h">x</td>'
    )


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        (
            Fault(Reason.BAD_NOTATION, 5, "failure", "'70% B'", "shares that add up to 100 %"),
            "Zeile 5, Spalte „Bruchbild“, gefunden „70% B“",
        ),
        (
            Fault(Reason.OUT_OF_BOUNDS, 46, "frequency_hz", "-0.01 Hz"),
            "Zeile 46, Spalte „Frequenz (Hz)“",
        ),
        (Fault(Reason.MISSING_VALUE, 4, "a_column_of_a_plugin"), "Zeile 4"),
        (Fault(Reason.UNKNOWN_UNIT, 6, "Density [g/scoop]"), "Zeile 6, Spalte „Density [g/scoop]“"),
    ],
)
def test_a_fault_of_a_held_file_is_german_in_a_german_report(fault: Fault, told: str) -> None:
    """Columns of a kind stand there in German or not at all; what the file says as it says it."""
    with speaking(Language.GERMAN):
        assert fault_words(fault) == told


def test_what_was_assumed_is_german_in_a_german_report() -> None:
    """The remark that a film is taken for dry, which the file need not say."""
    (custom,) = film_thickness.KIND.customs
    remark = Remark.ASSUMED.said(f"{custom.column} {custom.value}, {custom.why}")
    with speaking(Language.GERMAN):
        assert translated(remark) == (
            "angenommen: Zustand trocken, wie ein Film ist, solange nicht nass oder ein Kamm"
            " genannt ist"
        )
