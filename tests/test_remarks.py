"""The vocabulary of remarks: codes that stay, words that read well, and what the lab may set."""

from __future__ import annotations

import re
from typing import get_args

import pytest

from tiecoat.intake.checks.oddities import REASONS
from tiecoat.lab.settings import CheckSettings, Policy
from tiecoat.remarks import Remark, parts_of, summed, together, without_unregistered

EVERY = pytest.mark.parametrize("remark", Remark, ids=lambda remark: remark.code)


@EVERY
def test_every_remark_reads_well(remark: Remark) -> None:
    """A code is short and stable in form; a text and the words of a case leave no second remark."""
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", remark.code)
    assert not remark.text.endswith(".")
    assert ";" not in remark.text
    assert Remark.of(remark.said()) is remark
    assert parts_of(remark.said("one; two")) == [f"{remark.code}: one, two"]


def test_codes_and_texts_are_distinct() -> None:
    """No two remarks share a code or a text."""
    assert len({remark.code for remark in Remark}) == len(Remark)
    assert len({remark.text for remark in Remark}) == len(Remark)


@EVERY
def test_the_lab_sets_what_is_done_with_every_remark(remark: Remark) -> None:
    """Each remark has its policy, and where that may be hold, a reason to hold a file."""
    assert CheckSettings().of(remark) in get_args(Policy)
    by_the_way = {Remark.SPREAD, Remark.FACTOR_TEN, Remark.ASSUMED, Remark.SELDOM}
    assert (remark in REASONS) == (remark not in by_the_way)


def test_free_words_are_no_remark_of_ours() -> None:
    """What a reader's author says stays as it is, also beside our codes."""
    column = together(["cell leaked", Remark.UNREGISTERED_PANEL.said()])
    assert column == "cell leaked; unregistered-panel: the panel is not in the register"
    assert Remark.of("cell leaked") is None
    assert without_unregistered(column) == "cell leaked"
    assert without_unregistered(Remark.UNREGISTERED_BATCH.said()) is None


def test_many_remarks_of_one_code_are_summed_up() -> None:
    """Each code is told once with its count, equal words once, and every free word."""
    assert summed(["spread: a", "spread: b; cell leaked", "cell leaked; future: c"]) == [
        "spread: far from the other values of the panel (2 measurements)",
        "cell leaked",
        "future: c",
    ]
