"""Studies of equal paints on panels that scatter as told, through the verdicts of the program."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cache

import numpy as np
import pandas as pd

from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample, Samples
from tiecoat.compare.settling import verdicts
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord

CONTROL = "RB-100"
GLOSS = Property("gloss", "gloss", "gloss_mean", margin=2.0)
DIFFERENT = (VerdictWord.BETTER, VerdictWord.WORSE)
TOLD_AS_HARM = (VerdictWord.WORSE, VerdictWord.SIGNS_OF_HARM)


@dataclass(frozen=True)
class PanelDesign:
    """Panels and standard deviation of the control and of each candidate."""

    of_control: int
    control_spread: float
    candidates: int
    panels: int
    widest: float = 1.0  # of the first candidate; the others have 1

    def __str__(self) -> str:
        more = f", one with sd {self.widest:g}" if self.widest != 1 else ""
        return (
            f"control {self.of_control} sd {self.control_spread:g},"
            f" {self.candidates} candidates of {self.panels}{more}"
        )


@cache
def register(candidates: int) -> pd.DataFrame:
    """Return a control and so many candidates."""
    batches = [CONTROL, *(f"RB-{101 + place}" for place in range(candidates))]
    table = pd.DataFrame({"batch": batches, "candidate": batches, "dose_percent": 1.0})
    return table.set_index("batch", drop=False).rename_axis(None)


def sample(batch: str, values: np.ndarray) -> Sample:
    """Return a value a panel."""
    names = tuple(f"{batch}-{place}" for place in range(len(values)))
    return Sample(batch, names, values, "panels", "GU")


def drawn(rng: np.random.Generator, design: PanelDesign, harm: float = 0.0) -> Samples:
    """Return panels of one property; the first candidate may be worse by some deviations."""
    found: Samples = {
        CONTROL: sample(CONTROL, rng.normal(80, design.control_spread, design.of_control))
    }
    for place, batch in enumerate(register(design.candidates).index[1:]):
        wide, mean = (design.widest, 80 - harm) if place == 0 else (1.0, 80)
        found[batch] = sample(batch, rng.normal(mean, wide, design.panels))
    return found


def one_study(
    rng: np.random.Generator, design: PanelDesign, properties: int = 1, harm: float = 0.0
) -> tuple[Verdict, ...]:
    """Return the verdicts on so many properties; harm is on the first property only."""
    found = []
    for place in range(properties):
        wanted = Property(f"gloss {place}", "gloss", "gloss_mean", margin=2.0)
        found.append((wanted, drawn(rng, design, harm if place == 0 else 0.0)))
    told, problems, _ = verdicts(found, register(design.candidates), CONTROL)
    assert problems == []
    return told


@dataclass(frozen=True)
class Rates:
    """Of so many studies of equal paints, and of as many in which the first candidate is worse.

    `firm` and `any_` count the former with a false difference: a firm one, and a conditional one
    too. `covered` counts those of both whose firm intervals hold the true difference of every
    candidate; `worse` and `told` the latter that find the harm firmly, and that tell of it at all.
    """

    studies: int
    firm: int
    any_: int
    covered: int
    worse: int
    told: int

    def __str__(self) -> str:
        one = 100 / self.studies
        return (
            f"firm {one * self.firm:.2f} %, with conditional {one * self.any_:.2f} %, coverage"
            f" {one * self.covered / 2:.2f} %, harm firmly worse {one * self.worse:.1f} %, worse"
            f" or signs {one * self.told:.1f} %"
        )


def rates_of(design: PanelDesign, studies: int, seed: int, harm: float = 2.0) -> Rates:
    """Return how often the verdicts on a design are wrong, hold the truth, and find a harm."""
    rng = np.random.default_rng(seed)
    found: Counter[str] = Counter()
    for _ in range(studies):
        equal = one_study(rng, design)
        wrong = {one.standing for one in equal if one.outcome in DIFFERENT}
        found["firm"] += Firmness.FIRM in wrong
        found["any"] += bool(wrong)
        harmed = one_study(rng, design, harm=harm)
        mine = harmed[0]
        found["worse"] += mine.outcome is VerdictWord.WORSE and mine.standing is Firmness.FIRM
        found["told"] += mine.outcome in TOLD_AS_HARM
        truths = (0.0 for _ in equal), (0.0 if place else -harm for place in range(len(harmed)))
        for told, of in zip((equal, harmed), truths, strict=True):
            pairs = zip(told, of, strict=True)
            found["covered"] += all(one.firm_low < true < one.firm_high for one, true in pairs)
    return Rates(
        studies, found["firm"], found["any"], found["covered"], found["worse"], found["told"]
    )
