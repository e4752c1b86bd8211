"""The failure notation against ISO 4624:2016, clause 10 (from memory)."""

import pytest

from tiecoat.contract.notations.failure_notation import Share, shares_of

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
