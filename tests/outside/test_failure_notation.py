"""The failure notation against ISO 4624 and ASTM D4541.

Letters for substrate, coats, adhesive and dolly, and the shares, as printed in a published report
by ASTM D4541-17, 8.3, and on a published page; `-/Y` is from memory.
"""

import pytest

from tiecoat.contract.notations.failure_notation import Share, shares_of, text_of
from tiecoat.schemas.failure_words import in_notation

# place in the standard -> what it means there
PLACES = {
    "A": "cohesive failure of the substrate",
    "A/B": "adhesive failure between substrate and first coat",
    "B": "cohesive failure of the first coat",
    "B/C": "adhesive failure between first and second coat",
    "C": "cohesive failure of the second coat",
    "C/D": "adhesive failure between second and third coat",
    "-/Y": "adhesive failure between last coat and adhesive",
    "Y": "cohesive failure of the adhesive",
    "Y/Z": "adhesive failure between adhesive and dolly",
}


@pytest.mark.parametrize("place", PLACES)
def test_every_place_of_the_standard_is_known(place: str) -> None:
    """Each place that the standard names can be 100 % of the area."""
    assert shares_of(f"100 % {place}") == (Share(100.0, place),)


def test_a_mixed_failure_as_the_standard_reports_it() -> None:
    """A pattern with several kinds of failure gives the share of the area of each."""
    assert shares_of("20 % A/B, 80 % B/C") == (Share(20.0, "A/B"), Share(80.0, "B/C"))


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("100 % C/Y", "100 % -/Y"),
        ("50% B, 50% B/C", "50 % B, 50 % B/C"),
        ("30 % C, 70 % C/Y", "30 % C, 70 % -/Y"),
        ("20 % B/C, 80 % D/Y", "20 % B/C, 80 % -/Y"),
        ("Y/Z", "100 % Y/Z"),
    ],
)
def test_the_last_coat_by_its_own_letter(written: str, read: str) -> None:
    """ASTM D4541-17, 8.3.1: A substrate, B, C, D coats, Y glue, Z fixture; glue off C is `C/Y`."""
    assert text_of(shares_of(in_notation(written))) == read


def test_a_letter_before_the_last_coat_is_no_last_coat() -> None:
    """`B/Y` beside a failure in C contradicts itself: the coat under the glue is C or later."""
    with pytest.raises(ValueError, match="-/Y for the last coat"):
        shares_of(in_notation("60 % C, 40 % B/Y"))
