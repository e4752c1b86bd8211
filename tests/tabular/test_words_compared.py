"""How titles are compared with the words of a vocabulary.

No source: the words are of the trade, what is expected is common practice.
"""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tiecoat.tabular.plain_words import bare, listed
from tiecoat.tabular.title_parts import Title, parted
from tiecoat.tabular.words import EXACT, PARTLY, WordFit, WordIndex


def index_of(*words: str, numbered: bool = False) -> WordIndex[str]:
    """Return an index in which each word stands for itself."""
    index: WordIndex[str] = WordIndex()
    for word in words:
        index.add([word], word, numbered=numbered)
    return index


def best(index: WordIndex[str], title: str) -> tuple[str, WordFit] | None:
    """Return what fits a title best."""
    fits = sorted(index.fits(parted(title)), key=lambda pair: (-pair[1].level, -pair[1].letters))
    return fits[0] if fits else None


@given(st.lists(st.text("abcdeéü ", min_size=4, max_size=12), min_size=1, max_size=8))
def test_every_word_of_a_vocabulary_is_known(words: list[str]) -> None:
    """A title that is a word fits it exactly, also in capitals and with a unit in brackets."""
    words = [word for word in words if len(bare(word)) > 1]
    assume(words)
    index = index_of(*words)

    for word in words:
        for title in (word, word.upper(), f"{word} [MPa]"):
            fits = {found: fit.level for found, fit in index.fits(parted(title))}
            assert any(
                level == EXACT and bare(found) == bare(word) for found, level in fits.items()
            )


@given(st.integers(1, 9999), st.sampled_from(["Spot {}", "spot no. {}", "SPOT_{}"]))
def test_a_numbered_word_tells_its_number(number: int, shape: str) -> None:
    """The number of a spot stands for # in its word."""
    found = best(index_of("spot #", "spot no #", numbered=True), shape.format(number))

    assert found is not None
    assert (found[1].level, found[1].number) == (EXACT, number)


@pytest.mark.parametrize("title", ["20°", "20 %", "4,1", "1 4", "20/1", "4.5"])
def test_what_is_no_whole_number_numbers_nothing(title: str) -> None:
    """An angle, a share, a broken number and two numbers are none of a spot."""
    assert index_of("#", numbered=True).fits(Title(title, title)) == []


def test_a_lone_number_is_a_title_only_of_numbered_words() -> None:
    """A # that is no numbered word is the sign itself, as a title of running numbers."""
    assert best(index_of("#", numbered=True), "7") == ("#", WordFit(EXACT, 1, 7.0))
    assert best(index_of("#"), "7") is None
    assert best(index_of("#"), "#") is not None


def test_the_case_of_a_single_letter_matters() -> None:
    """t is the time and T the temperature."""
    index = index_of("t", "T")

    assert [word for word, _ in index.fits(parted("t"))] == ["t"]
    assert [word for word, _ in index.fits(parted("T [°C]"))] == ["T"]


def test_a_letter_with_an_accent_is_another_letter() -> None:
    """C is a coat and the Czech č the word for number, in either case."""
    index = index_of("C", "č")

    assert [word for word, _ in index.fits(parted("Č."))] == ["č"]
    assert [word for word, _ in index.fits(parted("C"))] == ["C"]


def test_codes_differ_by_their_slash_and_dash() -> None:
    """-/Y is at the glue and Y in the glue: neither is the other, nor is B/C a B."""
    index = index_of("-/Y", "Y", "B/C", "B", numbered=True)

    for title, place in (("-/Y", "-/Y"), ("Y", "Y"), ("B/C in %", "B/C"), ("B, %", "B")):
        assert [word for word, _ in index.fits(parted(title))] == [place]


def test_a_code_has_no_unit_and_no_sign_in_it() -> None:
    """B/C is no B per degree Celsius and -/Y no negative; their unit is that below them."""
    index = index_of("-/Y", "B/C", numbered=True)

    for title in ("B/C", "-/Y"):
        assert index.as_code(parted(title), "%") == Title(title, title, "%")
    assert index.as_code(parted("B"), "%") == parted("B")


def test_a_word_within_a_title_fits_it_partly() -> None:
    """A title that says more than the word is less sure than one that is the word."""
    index = index_of("film thickness")

    found = best(index, "film thickness measured")
    assert found is not None
    assert found[1].level == PARTLY
    assert best(index, "film of another kind") is None


def test_a_word_may_say_its_unit() -> None:
    """Hours of exposure are in hours where the title says no unit."""
    index: WordIndex[str] = WordIndex()
    index.add(["hours of exposure [h]"], "exposure")

    found = best(index, "Hours of exposure")
    assert found is not None
    assert found[1].unit == "h"


def test_a_free_text_speaks_of_the_longest_word_in_it() -> None:
    """`dry film thickness` is not the dry film of another word."""
    index = index_of("dry film", "dry film thickness")

    assert index.spoken_of("readings of dry film thickness, east side") == "dry film thickness"
    assert index.spoken_of("nothing of that") is None


def test_a_vocabulary_is_parted_by_commas_and_lines_and_loses_its_language() -> None:
    """Tags of languages are there for people."""
    assert listed("n\nen: spot, spot no\n  de: Punkt,\n      Stelle") == [
        *("n", "spot", "spot no", "Punkt", "Stelle")
    ]
