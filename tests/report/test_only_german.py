"""No English of the program is left in a German report, and what tells so can fail.

A text counts as English where it holds one of some sixty English words that no German sentence of
ours has; what the laboratory itself wrote (names, notes, titles of columns) is taken out before.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from example_study import (
    EXPOSURE_STUDY,
    REPORTED,
    STUDY,
    example_data,
    german_report,
    in_german,
)
from report_reading import Element, read_page
from shared_work import SharedWork
from undrawn import undrawn

from tiecoat.ask.study_data import StudyData
from tiecoat.reasons import Reason
from tiecoat.report.sources import REFERENCES
from tiecoat.report.words import FIELD, Language, catalogue, speaking, translated
from tiecoat.report.write import write_report

EXAMPLE = Path(__file__).parents[2] / "archive_example"
WORD = re.compile(r"(?<!\w)[^\W\d_]+(?!\w)")  # nothing of a hash
WORDS = """
the of and is are with by from not no that which than over each for its it if or all between only
has have been they these there other this to at on as be do does one two what how nothing every out
below above when where within without more most less least near but because into about after before
against evaluated area tests panels batches lower lowest too spray exact
"""
ENGLISH = frozenset(WORDS.split())
SAID = ("alt", "title", "aria-label")


def is_english(text: str) -> bool:
    """Whether a text holds an English word that no German sentence of ours has."""
    return bool(ENGLISH & set(WORD.findall(text.lower())))


def entries() -> Iterator[tuple[str, str]]:
    """Yield the English and the German of every entry of the catalogues, without fields."""
    for section in ("texts", "words", "sentences"):
        for pair in catalogue()[section].items():
            english, german = (FIELD.sub(" ", one) for one in pair)
            yield english, german


def test_english_of_four_words_is_known_and_no_german_is() -> None:
    """Every sentence that the program can say is told apart, so that a leftover one is found."""
    told = [(english, german) for english, german in entries() if english != german]
    long = [english for english, _ in told if len(WORD.findall(english)) >= 4]
    assert len(long) > 250
    assert [one for one in long if not is_english(one)] == []
    assert [german for _, german in told if is_english(german)] == []


@pytest.mark.parametrize("reason", Reason)
def test_every_reason_for_holding_a_file_has_its_german(reason: Reason) -> None:
    """The customer reads why a file was not counted."""
    with speaking(Language.GERMAN):
        told = translated(reason.text)
    assert told != reason.text
    assert not is_english(told)


def own_words(data: StudyData) -> list[str]:
    """Return what the laboratory wrote itself and the program only repeats, the longest first."""
    study = data.comparison.study
    found = {study.name, *(part for one in study.property for part in parts_of(one.name))}
    for table in (data.comparison.batches, data.panels, data.measurements):
        texts = table.select_dtypes(include=["object", "string"]).to_numpy().ravel()
        found |= {str(one) for one in texts if isinstance(one, str)}
    found |= {fault.column for one in data.held for fault in one.faults if fault.column}
    found |= {one.name for one in data.held}
    found |= {text for text in REFERENCES.values() if text.startswith("ASTM")}  # there is no German
    return sorted((one for one in found if WORD.search(one)), key=len, reverse=True)


def parts_of(name: str) -> Iterator[str]:
    """Yield a name, and the parts of which lines of a label consist that breaks within it."""
    words = name.split()
    yield name
    for cut in range(1, len(words)):
        yield " ".join(words[:cut])
        yield " ".join(words[cut:])


def leaves(element: Element) -> Iterator[str]:
    """Yield every text that a reader sees or hears."""
    yield from (element.attributes[name] for name in SAID if name in element.attributes)
    for one in element.children:
        if isinstance(one, str):
            yield one
        elif one.tag not in {"style", "script", "code"}:
            yield from leaves(one)


def left_over(page: Element, own: list[str]) -> list[str]:
    """Return the texts of a page that are English."""
    found = []
    for text in leaves(page):
        told = text
        for one in own:
            told = told.replace(one, " ")
        if is_english(told):
            found.append(" ".join(text.split()))
    return list(dict.fromkeys(found))


@pytest.mark.every(2)
@pytest.mark.parametrize("study", [STUDY, EXPOSURE_STUDY])
def test_a_german_report_of_the_example_holds_no_english(
    study: str, shared_work: SharedWork
) -> None:
    """Verdicts, methods, flags, reasons, figures, captions: all of it is German."""
    page = read_page(german_report(shared_work, study))
    assert page.all("html")[0].attributes["lang"] == "de"
    assert left_over(page, own_words(example_data(shared_work, study))) == []


def test_a_sentence_without_its_german_is_found(
    shared_work: SharedWork, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the catalogue lacks a method, the report has its English, and it is named."""
    method = "between measured points, interpolated straight in lg-lg"
    words = {one: other for one, other in catalogue()["words"].items() if one != method}
    lacking = {**catalogue(), "words": words}
    monkeypatch.setattr("tiecoat.report.words.catalogue", lambda: lacking)
    data = example_data(shared_work)
    with undrawn():
        page = read_page(write_report(in_german(data), tmp_path, REPORTED))
    rest = "Intervall aus der Streuung der Nachbarpunkte"
    assert left_over(page, own_words(data)) == [f"3 Platten je Charge {method}; {rest}"]
