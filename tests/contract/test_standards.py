"""Every standard is named with its year once."""

import re

from program_sources import sources

from tiecoat.contract import standards

EDITIONS = {name: text for name, text in vars(standards).items() if name.isupper()}


def test_each_name_says_the_standard_that_it_stands_for() -> None:
    """ISO_4628_3 is an edition of ISO 4628-3, ASTM_D610 one of ASTM D610; none is there twice."""
    for name, text in EDITIONS.items():
        if name == "GUM":
            continue
        body, number, *part = name.removesuffix("_NEWER").split("_")
        undated = f"{body} {'-'.join([number, *part])}"
        assert re.fullmatch(rf"{re.escape(undated)}(:\d{{4}}|-\d\d(\(\d{{4}}\))?)", text), name
    assert len(set(EDITIONS.values())) == len(EDITIONS) > 20


def test_a_newer_edition_is_newer() -> None:
    """What stands beside an edition as the newer one bears a later year."""
    newer = [name for name in EDITIONS if name.endswith("_NEWER")]
    assert len(newer) >= 3
    for name in newer:
        assert EDITIONS[name][-4:] > EDITIONS[name.removesuffix("_NEWER")][-4:]


DATED = re.compile(
    r"\b(?:(?:ISO|EN|IEC|DIN)\s[A-Z/ ]*\d+(?:-\d+)?|JCGM \d+):\d{4}|\bASTM [A-Z]\d+-\d\d"
)


def test_no_other_module_says_the_year_of_a_standard() -> None:
    """Editions stand in `standards` alone, so that one place is changed when one is superseded."""
    named = {
        module: found
        for module, source in sources().items()
        if not module.endswith("contract.standards") and (found := DATED.findall(source))
    }
    assert named == {}
    assert DATED.findall("ISO 4628-3:2016, ASTM D610-08, DIN EN ISO 2431:2019, JCGM 100:2008")
