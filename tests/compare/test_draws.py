"""What is drawn of the means of batches: as wide as a verdict's interval, and true as often."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom, gamma
from scipy.stats import t as student
from study_tables import compared, panel_rows, register

from tiecoat.compare.draws import PanelSteps, drawn_means, drawn_rates, shared_scatter
from tiecoat.compare.properties import Property
from tiecoat.compare.ranking import Ranking, rank
from tiecoat.compare.rates import Counts
from tiecoat.compare.samples import PANELS, Sample
from tiecoat.evaluate.statistics.censored_normal import Floats

GLOSS = Property("gloss", "film", "gloss", margin=10)
DRAWS = 40_000
STUDIES = 400


def of_panels(*values: float, batch: str = "RB-010", **more: object) -> Sample:
    """Return a sample of panels."""
    names = tuple(f"{batch}-{place}" for place, _ in enumerate(values, 1))
    return Sample(batch, names, np.array(values), PANELS, "GU", **more)  # type: ignore[arg-type]


def drawn(
    sample: Sample,
    *others: Sample,
    wanted: Property = GLOSS,
    draws: int = DRAWS,
    alike: bool = False,
    seed: int = 1,
) -> Floats:
    """Return the draws of a sample beside others."""
    rng = np.random.default_rng(seed)
    steps = PanelSteps.of(len(sample.names), draws, rng)
    shared = shared_scatter([sample, *others], wanted, draws, rng)
    return drawn_means(sample, wanted, steps, shared, rng, alike=alike)


@pytest.mark.parametrize("n", [2, 3, 6, 12])
def test_the_draws_of_a_mean_are_those_of_students_t(n: int) -> None:
    """Their quartiles are those of scipy's t of n - 1 degrees about the mean."""
    values = np.random.default_rng(n).normal(80, 2, n)
    found = np.quantile(drawn(of_panels(*values)), [0.25, 0.5, 0.75])
    error = values.std(ddof=1) / np.sqrt(n)
    expected = student.ppf([0.25, 0.5, 0.75], n - 1, values.mean(), error)
    assert found == pytest.approx(expected, abs=0.03 * error)


def test_95_percent_of_the_draws_hold_the_truth_in_95_percent_of_studies() -> None:
    """Of 400 studies with three panels; a bootstrap of three holds it in 3 of 4."""
    rng = np.random.default_rng(11)
    held = 0
    for seed in range(STUDIES):
        found = drawn(of_panels(*rng.normal(80, 2, 3)), draws=1000, seed=seed)
        low, high = np.quantile(found, [0.025, 0.975])
        held += low <= 80 <= high
    assert binom.ppf(0.001, STUDIES, 0.95) <= held <= binom.ppf(0.999, STUDIES, 0.95)


def test_what_goes_together_on_panels_goes_together_in_the_draws() -> None:
    """Two properties of the same panels, one rising with the other; of other panels they do not."""
    rng = np.random.default_rng(3)
    values = rng.normal(80, 2, 6)
    steps, others = (PanelSteps.of(6, DRAWS, rng) for _ in range(2))
    first, second = of_panels(*values), of_panels(*(2 * values))
    shared = shared_scatter([first], GLOSS, DRAWS, rng)
    mine = drawn_means(first, GLOSS, steps, shared, rng)
    same, apart = (drawn_means(second, GLOSS, one, shared, rng) for one in (steps, others))
    assert same == pytest.approx(2 * mine)
    assert abs(np.corrcoef(mine, apart)[0, 1]) < 0.1


@pytest.mark.parametrize("lone", [(80.0,), (80.0, 80.0, 80.0)])
def test_a_batch_that_tells_no_scatter_has_that_of_the_others(lone: tuple[float, ...]) -> None:
    """One panel, or equal ones: scipy's t with the degrees and the scatter of all others."""
    rng = np.random.default_rng(5)
    others = [of_panels(*rng.normal(70, 2, 4), batch=f"RB-02{n}") for n in range(3)]
    sample = of_panels(*lone)
    found = np.quantile(drawn(sample, *others), [0.25, 0.75])
    freedom = 9 + len(lone) - 1
    squares = sum(one.values.var(ddof=1) * 3 for one in others)
    error = np.sqrt(squares / freedom / len(lone))
    expected = student.ppf([0.25, 0.75], freedom, 80, error)
    assert found == pytest.approx(expected, abs=0.03 * error)


def test_a_stated_scatter_alike_is_that_of_all() -> None:
    """Three panels that happen to agree are no surer than the others where the study says so."""
    rng = np.random.default_rng(6)
    others = [of_panels(*rng.normal(70, 2, 6), batch=f"RB-02{n}") for n in range(3)]
    agreeing = of_panels(80.0, 80.01, 79.99)
    own, alike = (drawn(agreeing, *others, alike=one).std() for one in (False, True))
    assert own < 0.2
    assert 0.8 < alike < 1.6


def test_times_are_drawn_between_their_inspections() -> None:
    """Panels that reached it between 24 and 72 h: nowhere else, however equal they look."""
    wanted = Property("time", "impedance", "time_to_limit", scale="ratio", method="times")
    ends = (np.array([24.0] * 6), np.array([72.0] * 6))
    found = drawn(of_panels(*[48.0] * 6, ends=ends), wanted=wanted)
    low, high = np.quantile(found, [0.025, 0.975])
    assert 24 < low < 36
    assert 48 < high < 72


@pytest.mark.parametrize("mean", [3.0, 10.0, 40.0])
def test_rates_hold_the_truth_as_often_as_they_say(mean: float) -> None:
    """Poisson counts on three panels of 1 cm²: 95 % of the draws hold it in 93 to 98 % of 4,000.

    Counts are whole numbers, so that it cannot be 95 % everywhere.
    """
    counts = np.random.default_rng(8).poisson(mean, (4000, 3)).sum(axis=1)
    low, high = gamma.ppf([[0.025], [0.975]], counts + 0.5) / 3
    assert 0.93 <= ((low <= mean) & (mean <= high)).mean() <= 0.98
    rng, ones = np.random.default_rng(9), np.ones(DRAWS)
    rates = drawn_rates(Counts(np.array([mean] * 3), np.ones(3)), ones, rng)
    expected = gamma.ppf([0.025, 0.975], 3 * mean + 0.5) / 3
    assert np.quantile(rates, [0.025, 0.975]) == pytest.approx(expected, rel=0.03)


def test_counts_that_differ_more_than_chance_are_known_less_well() -> None:
    """Negative binomial counts of mean 20 and dispersion 0.3, ten batches of three panels.

    95 % of the draws hold the true rate in at least 90 % of 600; as Poisson counts it is 60 %.
    """
    rng = np.random.default_rng(12)
    wanted = Property("craters", "defects", "craters", method="counts", area="area_cm2")
    held = plain = count = 0
    for _ in range(60):
        panels = rng.poisson(20 * rng.gamma(1 / 0.3, 0.3, (10, 3)))
        samples = [of_panels(*one.astype(float), areas=np.ones(3)) for one in panels]
        shared = shared_scatter(samples, wanted, 500, rng)
        for one in samples:
            mine = Counts(one.values, np.ones(3))
            for name, by in (("held", shared.dispersion), ("plain", np.ones(500))):
                low, high = np.quantile(drawn_rates(mine, by, rng), [0.025, 0.975])
                held += name == "held" and low <= 20 <= high
                plain += name == "plain" and low <= 20 <= high
            count += 1
    assert held / count >= 0.9
    assert plain / count < 0.75


STUDY = """
[[property]]
name = "gloss"
kind = "film"
quantity = "gloss"
margin = 2
[[property]]
name = "haze"
kind = "film"
quantity = "haze"
direction = "lower"
margin = 2
"""
NAMES = ["RB-010", "RB-011", "RB-012", "RB-013"]
FEW, MANY = 10, 300


def ranked(rng: np.random.Generator, n: int, spread: float) -> tuple[str, Ranking]:
    """Return which batch is truly the best of four on two properties, and the ranking of panels."""
    truth = rng.normal(0, spread, (2, 4))
    values = truth[:, :, None] + rng.normal(0, 1, (2, 4, n)) + 50
    table = pd.concat(
        [
            panel_rows(name, dict(zip(NAMES, of.tolist(), strict=True)), unit="GU")
            for name, of in zip(("gloss", "haze"), values, strict=True)
        ]
    )
    gloss, haze = truth[0] - truth[0, 0], truth[1, 0] - truth[1]  # better by so much
    parts = [np.clip((one + 2) / (one.max() + 2), 0, 1) for one in (gloss, haze)]
    best = NAMES[int(np.argmax(parts[0] * parts[1]))]
    return best, rank(compared(table, STUDY, kind="film", batches=register(NAMES)), draws=500)


@pytest.mark.thorough
@pytest.mark.parametrize(
    "count",
    [pytest.param(FEW, id="few"), pytest.param(MANY, id="many", marks=pytest.mark.campaign)],
)
def test_a_clear_first_is_mostly_the_best_and_seldom_told_of_equal_paints(
    count: int, request: pytest.FixtureRequest
) -> None:
    """Of equal paints one is told in at most 10 % of studies; of others 4 of 5 are the best."""
    if count == MANY and "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    rng = np.random.default_rng(3)
    equal = sum(bool(ranked(rng, 3, 0.0)[1].first) for _ in range(count))
    found = [ranked(rng, 6, 3.0) for _ in range(count)]
    told = [(best, ranking.first) for best, ranking in found if ranking.first]
    right = sum(best == first for best, first in told)
    print(count, equal, len(told), right)
    assert equal <= binom.ppf(0.999, count, 0.10)
    assert told
    assert right >= binom.ppf(0.001, len(told), 0.8)
