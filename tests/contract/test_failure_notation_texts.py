"""Failure patterns as technicians write them."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.contract.notations.failure_notation import COATS, Share, shares_of, text_of

COAT_PLACES = [*COATS, *(f"{a}/{b}" for a, b in zip("A" + COATS, COATS, strict=False))]
PLACES = st.sampled_from(["A", *COAT_PLACES, "-/Y", "Y", "Y/Z"])


@st.composite
def patterns(draw: st.DrawFn) -> list[Share]:
    """Shares in whole per cent of different places, together 100."""
    places = draw(st.lists(PLACES, min_size=1, max_size=5, unique=True))
    inner = st.lists(
        st.integers(1, 99), min_size=len(places) - 1, max_size=len(places) - 1, unique=True
    )
    cuts = [0, *sorted(draw(inner)), 100]
    return [
        Share(float(high - low), place)
        for place, low, high in zip(places, cuts[:-1], cuts[1:], strict=True)
    ]


@given(patterns())
def test_what_is_written_is_read_again(shares: list[Share]) -> None:
    """The normalised text gives the same shares, and is its own normalised text."""
    text = text_of(shares)
    again = shares_of(text)
    assert sorted(again, key=str) == sorted(shares, key=str)
    assert text_of(again) == text


@given(patterns(), st.randoms(use_true_random=False), st.sampled_from([",", ";", " , "]))
def test_the_order_of_writing_does_not_matter(
    shares: list[Share], random: Random, comma: str
) -> None:
    """One pattern has one text, in whatever order and with whatever blanks it was written."""
    shuffled = list(shares)
    random.shuffle(shuffled)
    written = comma.join(f"{share.percent:g}%{share.place.lower()}" for share in shuffled)
    assert text_of(shares_of(written)) == text_of(shares)


@given(st.text(alphabet="0123456789ABCYZabc/-–%.,; \n", max_size=30))
def test_any_text_is_a_pattern_or_told_what_is_expected(text: str) -> None:
    """Whatever is in the cell, there is a pattern of 100 % or words; never anything else."""
    try:
        shares = shares_of(text)
    except ValueError:
        with pytest.raises(ValueError, match=r"share|place|% sign|layers|-/Y"):
            shares_of(text)
    else:
        assert sum(share.percent for share in shares) == pytest.approx(100, abs=0.11)
        assert shares_of(text_of(shares)) == shares


@pytest.mark.parametrize(
    ("written", "normalised"),
    [
        ("100% B", "100 % B"),
        ("60 % B, 40 % B/C", "60 % B, 40 % B/C"),
        ("40%B/C;60%B", "60 % B, 40 % B/C"),
        ("60,5 % B,39,5 % C", "60.5 % B, 39.5 % C"),
        ("33.3 % A/B, 33.3 % B, 33.3 % Y", "33.3 % A/B, 33.3 % B, 33.3 % Y"),
        ("100 % – / y", "100 % -/Y"),
        ("100 % B, 0 % Y", "100 % B"),
        (" b ", "100 % B"),
        ("–/Y", "100 % -/Y"),
    ],
)
def test_usual_ways_of_writing_are_understood(written: str, normalised: str) -> None:
    """Blanks, case, decimal marks and dashes do not matter; one place alone is the whole area."""
    assert text_of(shares_of(written)) == normalised


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("60 % B, 50 % C", "these add up to 110 %"),
        ("60 % B", "these add up to 60 %"),
        ("70B 30Y", "a % sign after 70"),
        ("100 B", "a % sign after 100"),
        ("B, B/C", "a share before B"),
        ("100 % A/C", "two layers that touch"),
        ("100 % B/A", "two layers that touch"),
        ("100 % C/Y", "-/Y for the last coat and the adhesive"),
        ("100 % glue", "there is no place GLUE"),
        ("100 % Z", "there is no place Z"),
        ("100 % Q", "there is no place Q"),
        ("glue", "there is no place GLUE"),
        ("50 % B, 50 % B", "B is there twice"),
        ("60 % B 40 % C", "a comma before each further share"),
        ("60 % B,", "after the last comma"),
        ("60 %", "shares and places"),
        ("", "shares and places"),
    ],
)
def test_what_is_wrong_is_said_in_words(written: str, expected: str) -> None:
    """A pattern outside the notation is refused with what is expected instead."""
    with pytest.raises(ValueError, match=expected):
        shares_of(written)
