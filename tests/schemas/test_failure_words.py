"""Failure patterns in words, and the letters as people write them."""

import pytest

from tiecoat.schemas.failure_words import in_notation, place_of


@pytest.mark.parametrize(
    ("text", "pattern"),
    [
        ("100% cohesive in coat 1", "100 % B"),
        ("60% cohesive coat 1 / 40% glue", "60 % B, 40 % Y"),
        ("60% adhesive substrate-coat 1, 40% coat 1/coat 2", "60 % A/B, 40 % B/C"),
        ("Adhäsionsbruch Stahl/Grundierung", "100 % A/B"),
        ("50 % Kohäsionsbruch 1. Schicht + 50 % Klebstoffbruch", "50 % B, 50 % Y"),
        ("rupture cohésive dans la couche 2", "100 % C"),
        ("60 % cohesiva en la capa 1, 40 % entre soporte y capa 1", "60 % B, 40 % A/B"),
        ("90 % cohesiva en la capa 1, 10 % adhesivo", "90 % B, 10 % Y"),
        ("80% coesiva strato 2, 20% adesiva strato 1/strato 2", "80 % C, 20 % B/C"),
        ("kohezyjne w warstwie 1", "100 % B"),
        ("60% cohesief laag 1, 40% cohesief laag 2", "60 % B, 40 % C"),
        ("kohezní v 1. vrstvě", "100 % B"),
        ("adesiva substrato/strato 1 70%, coesiva strato 1 30%", "70 % A/B, 30 % B"),
        (
            "60 % adhezyjne podłoże/warstwa 1, 40 % kohezyjne w warstwie 1",
            "60 % A/B, 40 % B",
        ),
        ("cohésive couche 1 80 % et colle 20 %", "80 % B, 20 % Y"),
        ("kohezní lom ve vrstvě 1 60 %, adhezní lom podklad/vrstva 1 40 %", "60 % B, 40 % A/B"),
        ("glue/dolly", "100 % Y/Z"),
        ("B/Y", "100 % -/Y"),
        ("60 % B, 40 % B/Y", "60 % B, 40 % -/Y"),
        ("B/A", "100 % A/B"),
        ("60B/40C", "60 % B, 40 % C"),
        ("60 % B, rest B/C", "60 % B, 40 % B/C"),
        ("B 80% / A-B 20%", "80 % B, 20 % A/B"),
        ("A/B 10 B 90", "10 % A/B, 90 % B"),
        ("kohezní v nátěru (B)", "100 % B"),
        ("adhesive, primer/topcoat (B/C)", "100 % B/C"),
        ("kohezyjne", "100 % cohesive"),
        ("cohesive 85 adhesive 15", "85 % cohesive, 15 % interface"),
        ("coesiva 80 %, adesiva 20 %", "80 % cohesive, 20 % interface"),
        ("90 % Kohäsion, 10 % Klebstoff", "90 % cohesive, 10 % Y"),
        ("rupture adhésive entre couches", "100 % interface"),
    ],
)
def test_words_and_letters_become_the_notation(text: str, pattern: str) -> None:
    """What says plainly where it failed is read in every language."""
    assert in_notation(text) == pattern


@pytest.mark.parametrize(
    "text",
    [
        "adhesive failure",  # between layers, or in the glue
        "adhesive 40",
        "K 80 A 20",  # cohesive and adhesive in German, or two places
        "coat 1",  # in it, or from it
        "cohesive/adhesive",
        "not cohesive in coat 1",
        "cohesive in topcoat",  # its letter depends on how many coats there are
        "60 % C, 40 % B/Y",  # a coat beyond the last one
        "60 % cohesive coat 1",
        "in einer Schicht",
    ],
)
def test_what_leaves_open_where_it_failed_stays_as_it_is(text: str) -> None:
    """So that those who read the notation tell what is wrong with it."""
    assert in_notation(text) == text


def test_a_title_above_shares_names_one_place() -> None:
    """In words, in letters, or in both if they agree."""
    assert place_of("A/B (support/couche 1)") == "A/B"
    assert place_of("B (cohésive couche 1)") == "B"
    assert place_of("A (coat 1)") is None
    assert place_of("Operator") is None
