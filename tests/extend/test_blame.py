"""A fault of a stranger's code leads to a line of his, also where only ours came upon it."""

from __future__ import annotations

from functools import partial
from typing import Any

import pytest

from tiecoat.contract.study_page import StudyPage
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import load_report_parts

STRANGER = """\
def tell(study):
    return "one text"


def shout(study, how):
    return "one text"


class Teller:
    def tell(self, study):
        return "one text"


def break_down(study):
    import json

    return json.loads("{")
"""


def told(tell: Any, of: object) -> str:
    """Return what is said of a page that tells nothing one can show, as those see it who ask it."""
    with pytest.raises((TypeError, ValueError)) as found:
        StudyPage("page", "", "A page", tell).parts(None)  # type: ignore[arg-type]
    assert found.tb.tb_next is not None
    return blame(found.value.with_traceback(found.tb.tb_next), of)  # without this test itself


def test_where_no_step_is_his_it_is_where_his_function_begins() -> None:
    """Of a function, of one of which something is given already, and of a method."""
    own: dict[str, Any] = {"__name__": "stranger"}
    exec(compile(STRANGER, "stranger.py", "exec"), own)
    tells = (own["tell"], partial(own["shout"], how="loud"), own["Teller"]().tell)
    for tell, line in zip(tells, (1, 5, 10), strict=True):
        said = told(tell, tell)
        assert said.startswith("TypeError: tell returns one text; expected several parts")
        assert said.endswith(f"(stranger.py, line {line})")
    assert told(own["break_down"], own["break_down"]).endswith("(stranger.py, line 17)")


def test_what_is_ours_is_told_of_ours() -> None:
    """Neither a function of ours nor something that is none has the blame."""
    for of in (None, load_report_parts, 7):
        assert "(study_page.py, line" in told(lambda _: "one text", of)
