"""Exports as other laboratories write them are filed as a person reads them, or held.

Those of `strange/open.toml` are not yet: each stands there with what becomes of it instead, and
must be taken from the list when it comes right. By default one lab is tried, all with
`TIECOAT_TESTS=all`.
"""

from __future__ import annotations

import tomllib

import pytest
from strange_table import STRANGE, Case, Judgement, cases, judged

BY_DEFAULT = "olona"
THOROUGH = pytest.mark.thorough
CASES = cases()
OPEN: dict[str, str] = {
    name: grade
    for grade, names in tomllib.loads((STRANGE / "open.toml").read_text(encoding="utf-8")).items()
    for name in names
}


@pytest.fixture(scope="module")
def judgements(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> dict[str, Judgement]:
    """What became of each export that is tried when real labs took them in."""
    callspecs = [getattr(item, "callspec", None) for item in request.session.items]
    found = [one.params["case"] for one in callspecs if one and "case" in one.params]
    tried = [one for one in found if isinstance(one, Case)]
    return judged(tmp_path_factory.mktemp("strange"), tried)


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(case, id=case.name, marks=() if case.lab == BY_DEFAULT else THOROUGH)
        for case in CASES
    ],
)
def test_strange_export_is_taken_as_its_truth_says(
    case: Case, judgements: dict[str, Judgement]
) -> None:
    """A strange export becomes what the truth beside it says, in each value that stands there."""
    judgement = judgements[case.name]
    assert judgement.grade == OPEN.get(case.name, "right"), judgement.said


def test_no_two_strange_exports_are_the_same() -> None:
    """Each export has content of its own: the same bytes are taken in once only."""
    assert len({case.sha256 for case in CASES}) == len(CASES) > 0


def test_nothing_is_open_that_is_gone() -> None:
    """The list of open exports names exports that there are."""
    assert OPEN.keys() <= {case.name for case in CASES}
