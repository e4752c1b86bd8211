"""Which evaluations run, on what, and what becomes of those that fail."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping, Sequence
from math import nan
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest

from tiecoat.ask import evaluate as run
from tiecoat.contract.choices import Choices
from tiecoat.errors import UnknownName
from tiecoat.evaluate.result import COLUMNS, results, together
from tiecoat.extend.loading import Evaluations
from tiecoat.lab.plugin_choices import NO_EVALUATION_SET
from tiecoat.plugin import Evaluation

Frames = Mapping[str, pd.DataFrame]
Compute = Callable[[Frames, Choices], pd.DataFrame]

GLOSS = pd.DataFrame(
    {
        "measurement": ["a", "b", "c"],
        "batch": ["RB-010", "RB-010", "RB-011"],
        "panel": ["RB-010-1", "RB-010-2", "RB-011-1"],
        "gloss_gu": [10.0, 20.0, 30.0],
    }
)
PANELS = pd.DataFrame(
    {
        "batch": ["RB-010", "RB-011", "RB-012"],
        "panel": ["RB-010-1", "RB-011-1", "RB-012-1"],
        "coat_system": "primer",
        "substrate": "steel",
        "thickness_um": [100.0, 110.0, 1.0],
    }
)


class Archive:
    """As much of an archive as the evaluations see."""

    def __init__(self, **frames: pd.DataFrame) -> None:
        self.frames = frames
        self.lab = SimpleNamespace(
            own_readers=None,
            settings=SimpleNamespace(evaluate=Choices()),
            evaluating=NO_EVALUATION_SET,
        )

    def kinds(self) -> list[str]:
        """The kinds there are."""
        return sorted(self.frames)

    def batches(self, kind: str) -> list[str]:
        """The batches that there are rows of."""
        return sorted(self.read(kind)["batch"].unique())

    def read(
        self, kind: str, batch: str | Sequence[str] | None = None, panel: str | None = None
    ) -> pd.DataFrame:
        """Rows of a kind."""
        if kind not in self.frames:
            raise UnknownName(f"no kind {kind!r} in this archive")
        rows = self.frames[kind]
        of = [batch] if isinstance(batch, str) else batch
        rows = rows if of is None else rows[rows["batch"].isin(of)]
        return (rows if panel is None else rows[rows["panel"] == panel]).reset_index(drop=True)


def mean(frames: Frames, choices: Choices) -> pd.DataFrame:
    """The mean of each panel."""
    rows = frames["gloss"]
    return results("gloss_mean", rows, rows["gloss_gu"], "GU")


def evaluations(**of: Compute | Evaluation) -> Evaluations:
    """Evaluations of the kind gloss."""
    found = {
        name: one if isinstance(one, Evaluation) else Evaluation(name, "gloss", one)
        for name, one in of.items()
    }
    return Evaluations(found, {}, ())


@pytest.fixture
def evaluated(monkeypatch: pytest.MonkeyPatch) -> Callable[..., run.Evaluated]:
    """Evaluates gloss with these evaluations."""

    def evaluate(
        loaded: Evaluations, archive: Archive | None = None, **asked: str
    ) -> run.Evaluated:
        monkeypatch.setattr(run, "load_evaluations", lambda folder: loaded)
        archive = archive or Archive(gloss=GLOSS, panels=PANELS)
        return run.evaluate(archive, "gloss", **asked)  # type: ignore[arg-type]

    return evaluate


Evaluate = Callable[..., run.Evaluated]


def never(frames: Frames, choices: Choices) -> pd.DataFrame:
    """What must not be computed."""
    raise AssertionError("computed")


def test_slow_evaluations_wait_until_they_are_named(evaluated: Evaluate) -> None:
    """By their own name, or by a quantity that the quick ones do not give."""
    asked = []

    def fits(frames: Frames, choices: Choices) -> pd.DataFrame:
        asked.append("fits")
        rows = frames["gloss"]
        return together([results(name, rows, 1.0, "") for name in ("haze", "peak")])

    loaded = evaluations(mean=mean, fits=Evaluation("fits", "gloss", fits, slow=True))
    assert set(evaluated(loaded).table["quantity"]) == {"gloss_mean"}
    assert set(evaluated(loaded, quantity="gloss_mean").table["quantity"]) == {"gloss_mean"}
    assert asked == []
    assert set(evaluated(loaded, quantity="fits").table["quantity"]) == {"haze", "peak"}
    assert set(evaluated(loaded, quantity="haze").table["quantity"]) == {"haze"}
    assert asked == ["fits", "fits"]


def test_what_hangs_on_its_batch_alone_is_computed_some_batches_at_a_time(
    evaluated: Evaluate, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It gets no rows of others, of no kind; what may hang on others gets all at once."""
    seen: list[tuple[int, int]] = []

    def noting(frames: Frames, choices: Choices) -> pd.DataFrame:
        seen.append((frames["gloss"]["batch"].nunique(), frames["panels"]["batch"].nunique()))
        return mean(frames, choices)

    many = [f"RB-{n:03d}" for n in range(2 * run.TOGETHER + 1)]
    panels = [f"{batch}-1" for batch in many]
    rows = pd.DataFrame({"measurement": panels, "batch": many, "panel": panels, "gloss_gu": 1.0})
    register = rows[["batch", "panel"]].assign(coat_system="primer", substrate="steel")
    archive = Archive(gloss=rows, panels=register)
    apart = Evaluation("apart", "gloss", noting, needs=("panels",), by_batch=True)
    found = evaluated(evaluations(apart=apart), archive)
    assert seen == [(run.TOGETHER, run.TOGETHER)] * 2 + [(1, 1)]
    assert found.table["batch"].tolist() == many
    whole = Evaluation("whole", "gloss", noting, needs=("panels",))
    assert evaluated(evaluations(whole=whole), archive).table.equals(found.table)
    assert seen[3:] == [(len(many), len(many))]


def test_parts_together_are_the_whole(evaluated: Evaluate, monkeypatch: pytest.MonkeyPatch) -> None:
    """In its order; a quantity that only some batches have is found, another is unknown."""
    monkeypatch.setattr(run, "TOGETHER", 1)

    def haze(frames: Frames, choices: Choices) -> pd.DataFrame:
        rows = frames["gloss"][lambda rows: rows["batch"] == "RB-011"]
        return results("haze", rows, 1.0, "")

    archive = Archive(gloss=GLOSS, panels=PANELS)
    every = {"mean": mean, "cloudiness": haze}
    apart = {name: Evaluation(name, "gloss", of, by_batch=True) for name, of in every.items()}
    whole = evaluated(evaluations(**apart), archive).table

    def parts(**asked: str) -> list[pd.DataFrame]:
        found = run.evaluate_in_parts(archive, "gloss", **asked)  # type: ignore[arg-type]
        return [one.table for one in found]

    assert [len(part) for part in parts()] == [2, 2]
    pd.testing.assert_frame_equal(pd.concat(parts(), ignore_index=True), whole)
    (only,) = parts(quantity="haze")
    assert only["batch"].tolist() == ["RB-011"]
    with pytest.raises(UnknownName, match="no quantity 'peak' of gloss here"):
        parts(quantity="peak")
    evaluated(evaluations(mean=mean), archive)  # which may hang on other batches
    assert [len(part) for part in parts()] == [3]


def test_a_slow_evaluation_by_name_runs_alone(evaluated: Evaluate) -> None:
    """What was not asked for is not computed."""
    fits = Evaluation("fits", "gloss", mean, slow=True)
    found = evaluated(evaluations(other=never, fits=fits), quantity="fits")
    assert found.left_out == ()
    assert len(found.table) == 3


def test_the_name_of_an_evaluation_gives_all_its_results(evaluated: Evaluate) -> None:
    """A quantity of that name comes first, though."""

    def gloss(frames: Frames, choices: Choices) -> pd.DataFrame:
        return together([results(name, {}, 1.0, "") for name in ("one", "two")])

    both = evaluations(gloss=gloss, gloss_mean=mean)
    assert set(evaluated(both, quantity="gloss").table["quantity"]) == {"one", "two"}
    assert set(evaluated(both, quantity="gloss_mean").table["quantity"]) == {"gloss_mean"}


def test_an_unknown_quantity_lists_near_ones_and_what_failed(evaluated: Evaluate) -> None:
    """It may be missing because its evaluation broke down."""
    with pytest.raises(UnknownName) as caught:
        evaluated(evaluations(mean=mean, bad=never), quantity="gloss_meen")
    message = str(caught.value)
    assert "no quantity 'gloss_meen' of gloss here; near it: gloss_mean" in message
    assert "evaluation 'bad' broke down: AssertionError: computed" in message


def test_an_unknown_kind_lists_near_ones(evaluated: Evaluate) -> None:
    """And a kind without evaluations those that have some."""
    with pytest.raises(UnknownName, match="no results are computed from 'gloss'; there is nothing"):
        evaluated(Evaluations({}, {}, ()))
    haze = Evaluation("haze", "haze", mean)
    with pytest.raises(UnknownName, match="from 'gloss'; there are: haze\nplugin x was left out"):
        evaluated(Evaluations({"haze": haze}, {}, ("plugin x was left out: it is bad",)))


@pytest.mark.parametrize(
    ("compute", "said"),
    [
        (never, "evaluation 'bad' broke down: AssertionError: computed (test_run.py, line"),
        (
            lambda frames, choices: None,
            "evaluation 'bad' was left out: it gives NoneType, and no result table",
        ),
        (
            lambda frames, choices: results("pick_up", {}, 1.0, "mg per area"),
            "evaluation 'bad' was left out: its pick_up is in 'mg per area', which is no unit;",
        ),
        (
            lambda frames, choices: results("dry", {"batch": "RB-010"}, 1.0, "g").assign(value=nan),
            "evaluation 'bad' was left out: it gives neither value nor reason for dry of RB-010",
        ),
        (
            lambda frames, choices: pd.DataFrame({"value": [1.0]}),
            "evaluation 'bad' was left out: it gives no result table; columns that differ: batch",
        ),
    ],
)
def test_what_breaks_down_costs_only_itself(
    evaluated: Evaluate, compute: Compute, said: str
) -> None:
    """The others are computed, and it is told."""
    found = evaluated(evaluations(bad=compute, mean=mean))
    assert len(found.table) == 3
    (problem,) = found.left_out
    assert problem.startswith(said)


def test_a_needed_kind_comes_for_the_batches_at_hand(evaluated: Evaluate) -> None:
    """Of the register only what belongs to the measurements, whatever panel was asked for."""
    seen: dict[str, Any] = {}

    def compute(frames: Frames, choices: Choices) -> pd.DataFrame:
        seen.update({kind: list(frame["batch"]) for kind, frame in frames.items()})
        return together([])

    loaded = evaluations(x=Evaluation("x", "gloss", compute, needs=("panels",)))
    evaluated(loaded)
    assert seen == {"gloss": ["RB-010", "RB-010", "RB-011"], "panels": ["RB-010", "RB-011"]}
    evaluated(loaded, panel="RB-010-2")
    assert seen == {"gloss": ["RB-010"], "panels": ["RB-010"]}


def test_a_needed_kind_that_was_never_filed_is_empty_with_its_columns(evaluated: Evaluate) -> None:
    """So that an evaluation can say what it lacks."""
    seen: dict[str, list[str]] = {}

    def compute(frames: Frames, choices: Choices) -> pd.DataFrame:
        assert len(frames["density"]) == 0
        seen["columns"] = list(frames["density"].columns)
        return together([])

    loaded = evaluations(x=Evaluation("x", "gloss", compute, needs=("density",)))
    assert evaluated(loaded, Archive(gloss=GLOSS)).left_out == ()
    assert {"batch", "panel", "measured_at", "density_g_cm3", "state"} <= set(seen["columns"])


def test_a_needed_kind_that_does_not_exist_leaves_the_evaluation_out(evaluated: Evaluate) -> None:
    """Its plugin is missing."""
    loaded = evaluations(mean=mean, x=Evaluation("x", "gloss", never, needs=("haze",)))
    found = evaluated(loaded)
    assert len(found.table) == 3
    assert found.left_out == (
        "evaluation 'x' was left out: it needs the kind 'haze', which no plugin brings",
    )


def test_an_evaluation_cannot_change_what_another_sees(evaluated: Evaluate) -> None:
    """Each gets frames of its own."""

    def spoil(frames: Frames, choices: Choices) -> pd.DataFrame:
        frames["gloss"]["gloss_gu"] = 0.0
        frames["gloss"].loc[0, "batch"] = "RB-099"
        return together([])

    assert list(evaluated(evaluations(a=spoil, b=mean)).table["value"]) == [10.0, 20.0, 30.0]


def test_the_results_always_come_in_the_same_order(evaluated: Evaluate) -> None:
    """By batch, panel, exposure, quantity and condition, however they were computed."""
    rows = [
        results(
            quantity,
            {"batch": batch, "panel": None, "exposure_h": hours},
            1.0,
            "",
            condition=condition,
        )
        for batch in ("RB-010", "RB-011")
        for hours in (1.0, 24.0, float("nan"))
        for quantity in ("haze", "peak")
        for condition in ("20 deg", "60 deg")
    ]
    found = []
    for seed in range(3):
        shuffled = random.Random(seed).sample(rows, len(rows))
        found.append(evaluated(evaluations(x=lambda f, c, s=shuffled: together(s))).table)
    pd.testing.assert_frame_equal(found[0], found[1])
    pd.testing.assert_frame_equal(found[0], found[2])
    assert list(found[0].columns) == list(COLUMNS)
    assert found[0]["exposure_h"].tolist()[:4] == [1.0] * 4
    assert set(found[0]["panel"]) == {""}  # never None


def test_nothing_to_evaluate_is_an_empty_table(evaluated: Evaluate) -> None:
    """No evaluation runs on nothing."""
    found = evaluated(evaluations(x=never), Archive(gloss=GLOSS.iloc[:0]))
    assert list(found.table.columns) == list(COLUMNS)
    assert len(found.table) == 0
    assert found.left_out == ()
