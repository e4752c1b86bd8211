"""What a lab sets for a plugin reaches it; what is wrong there is told by line, key and value."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from pathlib import Path

import pytest
from labs import LabAtWork

import tiecoat
from tiecoat.contract.choices import Choices
from tiecoat.errors import SettingInvalid
from tiecoat.extend.loading import load_evaluations, load_plugins
from tiecoat.lab.new_lab import TEMPLATE, new_lab

READER = """
from dataclasses import dataclass
from tiecoat.plugin import Checked, Claim, Measurement, hookimpl

@dataclass(frozen=True)
class Scale(Checked):
    factor: float = 1.0
    marks: tuple[str, ...] = ("%",)

    def __post_init__(self):
        if not self.factor > 0:
            raise ValueError(f"factor = {self.factor:g}: allowed is above 0")

class Scaled:
    name, kind, version, choices = "scaled_density", "density", "1", Scale

    def recognise(self, export):
        return Claim(0.9, f"{export.choices.factor}") if export.head[:1] in b"%$" else None

    def read(self, export):
        if chr(export.head[0]) not in export.choices.marks:
            return
        number = float(export.head[1:]) * export.choices.factor
        yield Measurement(
            columns={
                "state": ["as mixed"], "temperature_c": [23.0], "density_g_cm3": [number],
                "elapsed_s": [0.0],
            },
            rows=[1], batch="RB-010",
        )

@hookimpl
def tiecoat_readers():
    return [Scaled()]
"""
EVALUATION = """
from dataclasses import dataclass
from tiecoat.evaluate.result import results
from tiecoat.plugin import Checked, Evaluation, hookimpl

@dataclass(frozen=True)
class Target(Checked):
    target_g_cm3: float = 1.4

def compute(frames, choices):
    rows = frames["density"]
    return results("above_target", rows, rows["density_g_cm3"] - choices.target_g_cm3, "g/cm3")

@hookimpl
def tiecoat_evaluations():
    return [Evaluation("target", "density", compute, choices=Target)]
"""


@pytest.fixture
def at_work(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """A lab with a reader and an evaluation of its own."""
    made = lab(readers={"folder": True})
    (made.root / "readers" / "scaled.py").write_text(READER)
    (made.root / "readers" / "evaluate_target.py").write_text(EVALUATION)
    return made


def test_choices_reach_reader_and_evaluation(at_work: LabAtWork) -> None:
    """A factor and a list for a reader, a target for an evaluation; else there are defaults."""
    at_work.settle(
        readers={"folder": True},
        **{"read.scaled_density": {"factor": 2.0, "marks": ["$"]}},
        **{"evaluate.target": {"target_g_cm3": 1.25}},
    )
    at_work.drop("one.txt", "$0.75")
    at_work.take()
    found = tiecoat.open(at_work.root).evaluate("density", quantity="above_target")
    assert found["value"].tolist() == pytest.approx([0.25])


def test_a_new_lab_shows_every_choice(tmp_path: Path) -> None:
    """The settings of a new lab name each choice of the built-in plugins, with its default."""
    made = new_lab(tmp_path / "lab")
    plugins, evaluations = load_plugins(None), load_evaluations(None).evaluations
    models = {("read", name): type(found) for name, found in plugins.choices.items()}
    models |= {
        ("evaluate", name): one.choices
        for name, one in evaluations.items()
        if one.choices is not Choices
    }
    for (sort, name), model in models.items():
        chosen = made.reading if sort == "read" else made.evaluating
        assert chosen.of(name, model) == model()
        section = TEMPLATE.split(f"[{sort}.{name}]")[1].split("\n[")[0]
        assert [one.name for one in fields(model) if f"{one.name} = " not in section] == []


@pytest.mark.parametrize(
    ("section", "setting", "said"),
    [
        ("scaled_density", {"factor": "2"}, ["read.scaled_density.factor = '2'", "number"]),
        ("scaled_density", {"factor": -1.0}, ["factor = -1", "above 0"]),
        ("scaled_density", {"factr": 1.0}, ["no such key", "did you mean 'factor'?"]),
        ("scald_density", {"factor": 1.0}, ["nothing of this name", "'scaled_density'"]),
    ],
)
def test_what_a_reader_refuses_is_told(
    at_work: LabAtWork, section: str, setting: dict[str, object], said: list[str]
) -> None:
    """The service goes on, with a sentence on the reader that it left out or the name it lacks."""
    at_work.settle(readers={"folder": True}, **{f"read.{section}": setting})
    at_work.take()
    told = "\n".join(at_work.said)
    assert [word for word in [*said, "tiecoat.toml", "line "] if word not in told] == [], told


@pytest.mark.parametrize(
    ("section", "setting", "said"),
    [
        ("target", {"target_g_cm3": "x"}, ["evaluate.target.target_g_cm3 = 'x'", "number"]),
        ("targte", {"target_g_cm3": 1.0}, ["nothing of this name", "did you mean 'target'?"]),
    ],
)
def test_what_an_evaluation_refuses_is_told(
    at_work: LabAtWork, section: str, setting: dict[str, object], said: list[str]
) -> None:
    """Nothing is computed with a choice that is not allowed, or beside one that nobody reads."""
    at_work.settle(readers={"folder": True})
    at_work.drop("one.txt", "%1.5")
    at_work.take()
    at_work.settle(readers={"folder": True}, **{f"evaluate.{section}": setting})
    with pytest.raises(SettingInvalid) as caught:
        tiecoat.open(at_work.root).evaluate("density")
    assert [word for word in [*said, "line "] if word not in str(caught.value)] == []


def test_choices_of_nobody_are_refused_where_they_are_no_table(tmp_path: Path) -> None:
    """`read = 5` is no section for a reader."""
    (tmp_path / "tiecoat.toml").write_text("read = 5")
    with pytest.raises(SettingInvalid, match="line 1: read: there is no such key"):
        tiecoat.open(tmp_path)
