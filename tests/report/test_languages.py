"""A report in the lab's language: every text in the catalogue, its numbers, its dates."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from example_study import EXPOSURE_STUDY, REPORTED, example_data, german_report, in_german
from hypothesis import given
from hypothesis import strategies as st
from offered_study import CATALOGUE
from report_reading import Element, number_of, read_page
from shared_work import SharedWork
from undrawn import undrawn

from tiecoat.compare.verdict import VerdictWord
from tiecoat.lab.settings import ReportSettings
from tiecoat.report.labels import OUTCOME_WORDS, TITLES, number
from tiecoat.report.words import FIELD, Language, catalogue, speaking, translated
from tiecoat.report.write import ReportScope, write_report

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "archive_example"
REPORT = ROOT / "core" / "report"
IN_TEMPLATE = re.compile(r"""say\(\s*("(?:[^"\\]|\\.)*")""")
COUNTED = re.compile(r"""counted\([^"()]*(?:\([^()]*\))?[^"()]*"([^"]*)"\)""")


def said_in_python() -> Iterator[tuple[str, ast.expr]]:
    """Yield each text, or noun that is counted, that a module says."""
    for path in REPORT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                if node.func.id == "say":
                    yield "texts", node.args[0]
                if node.func.id == "say_counted":
                    yield "nouns", node.args[1]


def said_in_templates() -> Iterator[tuple[str, str]]:
    """Yield each text, or noun that is counted, that a template says."""
    for path in (REPORT / "templates").glob("*.j2"):
        text = path.read_text(encoding="utf-8")
        found = IN_TEMPLATE.findall(text)
        assert len(found) == text.count("say(")  # each of them begins with a plain text
        yield from (("texts", ast.literal_eval(one)) for one in found)
        nouns = COUNTED.findall(text)
        assert len(nouns) == text.count("counted(")
        yield from (("nouns", one) for one in nouns)


def test_every_text_of_the_program_has_its_german_and_no_other() -> None:
    """What `say` is given is a plain text of the catalogue, and the catalogue has no more."""
    said: dict[str, set[str]] = {"texts": set(), "nouns": set()}
    for section, text in said_in_python():
        assert isinstance(text, ast.Constant), ast.unparse(text)
        assert isinstance(text.value, str)
        said[section].add(text.value)
    for section, one in said_in_templates():
        said[section].add(one)
    assert len(said["texts"]) > 150
    assert said["texts"] == set(catalogue()["texts"])
    assert {one for noun in said["nouns"] for one in (noun, f"{noun}s")} == set(
        catalogue()["nouns"]
    )


@pytest.mark.parametrize("section", ["texts", "sentences"])
def test_the_german_fills_in_the_same_fields(section: str) -> None:
    """No field of a text is lost or made up in the other language."""
    for english, german in catalogue()[section].items():
        assert sorted(set(FIELD.findall(english))) == sorted(set(FIELD.findall(german))), english


def test_every_word_of_a_verdict_and_every_known_property_has_its_german() -> None:
    """The words that a reader looks for first are never English in a German report."""
    words = (
        {OUTCOME_WORDS[one][1] for one in VerdictWord} | set(CATALOGUE.known) | set(TITLES.values())
    )
    assert words <= set(catalogue()["words"])


def test_the_languages_of_the_settings_are_those_that_are_spoken() -> None:
    """Each name that the settings allow is a language, and each language can be set."""
    for language in Language:
        assert ReportSettings(language=language.value).language == language.value
    with pytest.raises(ValueError, match="language"):
        ReportSettings(language="fr")  # type: ignore[arg-type]


WITHIN = "the whole interval lies within the margin"


def test_a_reason_is_translated_with_its_numbers() -> None:
    """A sentence with fields is known by its pattern; what is not known stays as it is."""
    told = "too near the margin: 12 panels would do if both were equal, and there are 3"
    with speaking(Language.GERMAN):
        assert translated(told) == (
            "zu nahe an der Schranke: 12 Platten würden genügen, wenn beide gleich wären, und es"
            " sind 3"
        )
        whole = "3 panels against 3 could not come out better or worse: p is 0.1 at the least"
        assert translated(f"{WITHIN}; {whole}; 7 of each would do; RB-011 lies") == (
            "das ganze Intervall liegt innerhalb der Schranke; 3 Platten gegen 3 konnten nicht"
            " besser oder schlechter ausfallen: p ist mindestens 0,1; je 7 würden genügen; RB-011"
            " lies"
        )
        assert translated("epoxy primer, 2 coats") == "epoxy primer, 2 coats"
        assert translated("-0.5 to 1.25") == "-0,5 bis 1,25"
        assert translated("its shares do not add to 100 %") == "its shares do not add to 100 %"
    assert translated(told) == told


@given(st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_numbers_have_a_decimal_comma_and_no_point(value: float) -> None:
    """The same number as in English, but for the mark."""
    english = number(value)
    with speaking(Language.GERMAN):
        german = number(value)
    assert "." not in german
    assert number_of(german.replace(",", ".")) == number_of(english)


@pytest.fixture(scope="module")
def german(shared_work: SharedWork) -> Element:
    """The page of the example, in a lab that is set to German."""
    return read_page(german_report(shared_work))


@pytest.mark.thorough
def test_a_german_report_says_nothing_of_the_catalogue_in_english(german: Element) -> None:
    """No heading, caption, sentence or verdict stands there in English; dates and words do not."""
    assert german.all("html")[0].attributes["lang"] == "de"
    assert "26.11.2026" in german.text
    assert "14.09.2026" in german.text  # the day a batch was mixed
    shown = {one.text for tag in ("h2", "h3", "th", "caption", "em") for one in german.all(tag)}
    english = {one for one, other in catalogue()["texts"].items() if one != other}
    assert shown & english == set()
    for one in english:
        if len(one.split()) > 3 and not FIELD.search(one):
            assert one not in german.text
    spans = [one for one in german.all("span") if "class" in one.attributes]
    signs = {one.text for one in spans if one.attributes["class"].startswith("verdict ")}
    firm = {"▲ besser", "● nicht schlechter", "▼ schlechter", "? nicht zu sagen"}
    assert firm < signs
    assert "○ nicht schlechter, falls" in signs
    said = {one.partition(" ")[2].removesuffix(", falls") for one in signs}
    words = {
        word for one in said for word in one.split("; ")
    }  # a conditional one beside a firm one
    told = {*VerdictWord} - {VerdictWord.NOT_TESTED}  # nothing stands where nothing was tested
    assert words == {catalogue()["words"][OUTCOME_WORDS[one][1]] for one in told}


def test_the_labels_of_a_german_figure_are_german(german: Element) -> None:
    """Axes and legends too: what is drawn is what is written."""
    drawn = " ".join(one.text for figure in german.all("svg") for one in figure.all("text"))
    assert "gegen die Kontrolle" in drawn
    assert "against the control" not in drawn
    assert "nicht zu sagen" in drawn
    assert re.search(r"[−\d],\d", drawn)
    assert not re.search(r"\d\.\d", drawn)


@pytest.mark.thorough
def test_the_language_does_not_outlast_the_report(shared_work: SharedWork, tmp_path: Path) -> None:
    """After a German report numbers are English again."""
    data = in_german(example_data(shared_work, EXPOSURE_STUDY))
    with undrawn():
        page = read_page(write_report(data, tmp_path, REPORTED, ReportScope(is_brief=True)))
    assert page.all("html")[0].attributes["lang"] == "de"
    assert number(0.5) == "0.5"
