"""The invented truth behind the example: recipes, and what ideal instruments would find on them.

A two-pack epoxy primer for railway bridge girders, without an additive (the control) and with four
generic ones at two doses. Everything is invented, but hangs together as it would in a laboratory:
air lowers the density, a film with fewer pores keeps its modulus, a thicker paint runs longer.

Only the standard library is used, so that the same numbers come out everywhere and for good.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import NormalDist
from zoneinfo import ZoneInfo

SEED = 2026
BERLIN = ZoneInfo("Europe/Berlin")
AREA_CM2 = 14.6
DOLLY_MM = 20.0
EXPOSURES_H = (1.0, 24.0, 72.0, 168.0, 240.0)
AIR_AFTER_VACUUM = 0.001  # volume share
VACUUM_PERMITTIVITY = 8.8541878e-14  # F/cm

Point = tuple[float, complex]  # frequency in Hz, impedance in ohm


@dataclass(frozen=True)
class Recipe:
    """One batch of paint.

    Parameters
    ----------
    dose_percent
        Additive by mass of the wet paint.
    pores_lg
        lg of the share of the film's area that is pores, after an hour in salt water.
    pores_rise
        By how much that lg rises, for each square root of a day.
    uptake
        Volume share of water in the saturated film.
    density
        Of the paint without air at 23 °C, g/cm³.
    air
        Volume share of air after mixing.
    yield_pa, consistency, index
        Herschel-Bulkley: stress = yield_pa + consistency * rate ** index, in Pa and 1/s.
    structure
        By what share the stress is higher at the start of the first ramp, before shear has broken
        the structure down.
    strength_mpa
        Mean pull-off strength.
    adhesive
        Mean share of the broken area that lies between two layers.
    """

    batch: str
    candidate: str
    dose_percent: float
    pores_lg: float
    pores_rise: float
    uptake: float
    density: float
    air: float
    yield_pa: float
    consistency: float
    index: float
    structure: float
    strength_mpa: float
    adhesive: float

    @property
    def number(self) -> int:
        """Place in the study, from 0."""
        return int(self.batch[-3:]) - 10

    @property
    def mixed_on(self) -> datetime:
        """Three batches a day from Monday, one every hour and a half."""
        start = datetime(2026, 9, 14, 7, 30, tzinfo=BERLIN)
        return start + timedelta(days=self.number // 3, minutes=90 * (self.number % 3))

    def stress_pa(self, rate_per_s: float) -> float:
        """Return the shear stress in Pa of the sheared paint."""
        return self.yield_pa + self.consistency * math.pow(rate_per_s, self.index)


# fmt: off
RECIPES = (
    # batch, candidate, dose,                 pores_lg, rise, uptake
    #     density, air, yield_pa, consistency, index, structure, strength_mpa, adhesive
    Recipe("RB-010", "none",                 0,   -9.3, 0.55, 0.035,
           1.440, 0.026,  4.0, 1.20, 0.82, 0.20, 7.5, 0.25),
    Recipe("RB-011", "lamellar talc",        5,   -9.6, 0.45, 0.030,
           1.475, 0.030,  4.8, 1.26, 0.82, 0.22, 7.6, 0.25),
    Recipe("RB-012", "lamellar talc",        10,  -9.8, 0.40, 0.027,
           1.512, 0.035,  5.6, 1.34, 0.82, 0.25, 7.2, 0.30),
    Recipe("RB-013", "micaceous iron oxide", 10,  -9.7, 0.40, 0.028,
           1.548, 0.027,  4.2, 1.22, 0.82, 0.20, 7.9, 0.20),
    Recipe("RB-014", "micaceous iron oxide", 20,  -9.9, 0.33, 0.024,
           1.674, 0.028,  4.5, 1.26, 0.83, 0.21, 8.1, 0.20),
    Recipe("RB-015", "glass flake",          5,  -10.4, 0.25, 0.018,
           1.471, 0.020,  4.1, 1.16, 0.82, 0.18, 7.7, 0.25),
    Recipe("RB-016", "glass flake",          10, -10.7, 0.18, 0.014,
           1.504, 0.018,  4.3, 1.20, 0.82, 0.18, 4.9, 0.75),
    Recipe("RB-017", "precipitated silica",  1,   -9.4, 0.52, 0.038,
           1.444, 0.042,  8.5, 1.62, 0.80, 0.35, 7.6, 0.25),
    Recipe("RB-018", "precipitated silica",  2,   -9.1, 0.62, 0.045,
           1.448, 0.063, 14.0, 2.10, 0.78, 0.50, 7.0, 0.35),
)
# fmt: on


class Chance:
    """Random numbers for one subject; another subject's draws do not shift them."""

    def __init__(self, *subject: object) -> None:
        self._random = random.Random(" ".join(map(str, (SEED, *subject))))

    def normal(self, mean: float, spread: float) -> float:
        """Return a normal deviate."""
        return NormalDist(mean, spread).inv_cdf(self._random.random())

    def shuffled(self, points: tuple[Point, ...]) -> tuple[Point, ...]:
        """Return the points of a spectrum in another order."""
        return tuple(sorted(points, key=lambda _: self._random.random()))


@dataclass(frozen=True)
class Panel:
    """One coated steel plate."""

    recipe: Recipe
    place: int

    @property
    def name(self) -> str:
        """Id as it is written on the back."""
        return f"{self.recipe.batch}-{self.place}"

    @property
    def thickness_um(self) -> int:
        """Dry film thickness."""
        return round(Chance("thickness", self.name).normal(182, 5))

    @property
    def coated_on(self) -> datetime:
        """The day of mixing, after lunch."""
        return self.recipe.mixed_on.replace(hour=13, minute=30) + timedelta(minutes=5 * self.place)

    @property
    def immersed_at(self) -> datetime:
        """All on one Monday, one panel every twelve minutes."""
        turn = 3 * self.recipe.number + self.place - 1
        return datetime(2026, 9, 21, 8, 0, tzinfo=BERLIN) + timedelta(minutes=12 * turn)


@dataclass(frozen=True)
class Spectrum:
    """One impedance spectrum, falling in frequency."""

    panel: Panel
    exposure_h: float
    points: tuple[Point, ...]

    @property
    def measured_at(self) -> datetime:
        """Start of the sweep."""
        return self.panel.immersed_at + timedelta(hours=self.exposure_h)


@dataclass(frozen=True)
class PullOff:
    """One determination; `failure` gives shares in % and places by ISO 4624."""

    panel: Panel
    determination: int
    measured_at: datetime
    force_kn: float
    strength_mpa: float
    failure: tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class Density:
    """One filling of the cup."""

    batch: str
    measured_at: datetime
    state: str
    rest_min: int
    temperature_c: float
    density_g_cm3: float


@dataclass(frozen=True)
class FlowPoint:
    """One step of a flow curve."""

    ramp: str
    elapsed_s: int
    rate_per_s: float
    stress_pa: float
    temperature_c: float


@dataclass(frozen=True)
class CupRun:
    """One run-out of a flow cup."""

    batch: str
    measured_at: datetime
    cup: str
    efflux_s: float
    temperature_c: float


def panels(recipe: Recipe) -> list[Panel]:
    """Return the three panels of a batch."""
    return [Panel(recipe, place) for place in (1, 2, 3)]


def film_impedance(
    frequency_hz: float, recipe: Recipe, exposure_h: float, thickness_um: float, pores_lg: float
) -> complex:
    """Return the impedance in ohm of the whole film in salt water.

    The film's capacitance, nearly ideal, lies parallel to its pores; at their ground the double
    layer lies parallel to the charge transfer of the corroding steel, on an area that is larger
    than the pores. Water fills the film by uptake and raises its permittivity (Brasher and
    Kingsbury, J. Appl. Chem. 4 (1954) 62); pores grow with the square root of time.
    """
    omega = 2 * math.pi * frequency_hz
    thickness_cm = thickness_um * 1e-4
    water = recipe.uptake * (1 - math.exp(-math.sqrt(exposure_h / 36)))
    capacitance = 4.6 * 80**water * VACUUM_PERMITTIVITY * AREA_CM2 / thickness_cm
    exponent = 0.97
    film: complex = capacitance * (2 * math.pi * 1e4) ** (1 - exponent) * (1j * omega) ** exponent
    pores = 10 ** (pores_lg + recipe.pores_rise * math.sqrt(exposure_h / 24))
    pore_ohm = 22 * thickness_cm / (AREA_CM2 * pores)  # 3 % NaCl: 22 ohm cm
    bare_cm2 = 5000 * pores * AREA_CM2
    ground = 1 / (1e4 / bare_cm2) + 2e-5 * bare_cm2 * (1j * omega) ** 0.85
    impedance: complex = 30 + 1 / (film + 1 / (pore_ohm + 1 / ground))
    return impedance


def spectra(panel: Panel, points: int = 36) -> list[Spectrum]:
    """Return what a panel gives over ten days, with noise: 1 % of the modulus, 0.2 degrees."""
    chance = Chance("impedance", panel.name)
    pores_lg = chance.normal(panel.recipe.pores_lg, 0.1)  # no two panels are alike
    found = []
    for exposure_h in EXPOSURES_H:
        sweep = []
        for step in range(points):
            frequency_hz = float(f"{10 ** (5 - 7 * step / (points - 1)):.5g}")
            ideal = film_impedance(
                frequency_hz, panel.recipe, exposure_h, panel.thickness_um, pores_lg
            )
            turn = math.radians(chance.normal(0, 0.2))
            noise = chance.normal(1, 0.01) * complex(math.cos(turn), math.sin(turn))
            sweep.append((frequency_hz, ideal * noise))
        found.append(Spectrum(panel, exposure_h, tuple(sweep)))
    return found


def pull_offs(panel: Panel) -> list[PullOff]:
    """Return six determinations outside the cell, two weeks after the immersion began.

    Above about 9 MPa the adhesive gives way first: the film's own strength stays unknown.
    """
    chance = Chance("pull-off", panel.name)
    recipe = panel.recipe
    start = datetime(2026, 10, 5 + recipe.number // 5, 8, 0, tzinfo=BERLIN)
    start += timedelta(minutes=(recipe.number % 5 * 3 + panel.place) * 30)
    found = []
    for determination in range(1, 7):
        film = recipe.strength_mpa * (1 + chance.normal(0, 0.1))
        glue = chance.normal(9.0, 0.5)
        share = recipe.adhesive - 1.5 * (film / recipe.strength_mpa - 1) + chance.normal(0, 0.08)
        adhesive = min(100, max(0, 10 * round(10 * share)))
        if film > glue:
            failure = [(70, "-/Y"), (30, "B")] if adhesive else [(100, "Y")]
        else:  # the flakes lie flat on the steel; elsewhere the second coat parts from the first
            failure = [(100 - adhesive, "B"), (adhesive, "A/B" if recipe.adhesive > 0.5 else "B/C")]
        force_kn = round(min(film, glue) * math.pi * DOLLY_MM**2 / 4 / 1000, 3)
        found.append(
            PullOff(
                panel=panel,
                determination=determination,
                measured_at=start + timedelta(minutes=4 * determination),
                force_kn=force_kn,
                strength_mpa=round(4000 * force_kn / (math.pi * DOLLY_MM**2), 2),
                failure=tuple(sorted((part for part in failure if part[0]), reverse=True)),
            )
        )
    return found


def densities(recipe: Recipe) -> list[Density]:
    """Return three fillings as mixed, two while the paint rests, three after the vacuum."""
    chance = Chance("density", recipe.batch)
    plan = [("as mixed", 0, minutes) for minutes in (10, 14, 18)]
    plan += [("rested", rest, 10 + rest) for rest in (30, 60)]
    plan += [("deaerated", 0, minutes) for minutes in (75, 79, 83)]
    found = []
    for state, rest_min, minutes in plan:
        air = (
            0.001 if state == "deaerated" else recipe.air * (0.35 + 0.65 * math.exp(-rest_min / 45))
        )
        temperature_c = round(chance.normal(23, 0.2), 1)
        ideal = recipe.density * (1 - 7e-4 * (temperature_c - 23)) * (1 - air)
        found.append(
            Density(
                batch=recipe.batch,
                measured_at=recipe.mixed_on + timedelta(minutes=minutes),
                state=state,
                rest_min=rest_min,
                temperature_c=temperature_c,
                density_g_cm3=round(chance.normal(ideal, 0.0008), 4),
            )
        )
    return found


def flow_curve(recipe: Recipe) -> list[FlowPoint]:
    """Return a ramp from 0.1 to 1000 1/s and back, five seconds a step, 1 % noise."""
    chance = Chance("flow", recipe.batch)
    rates = [10 ** (step / 4 - 1) for step in range(17)]
    found = []
    for number, rate in enumerate([*rates, *reversed(rates)], 1):
        left = recipe.structure * math.exp(-number / 8)  # of the structure at rest
        stress = recipe.stress_pa(rate) * (1 + left) * chance.normal(1, 0.01)
        ramp = "up" if number <= len(rates) else "down"
        temperature_c = round(chance.normal(23, 0.05), 1)
        found.append(
            FlowPoint(ramp, 5 * number, float(f"{rate:.4g}"), float(f"{stress:.4g}"), temperature_c)
        )
    return found


# Kinematic viscosity in mm²/s = a t - b / t (ISO 2431), as a public program and tables have it.
ISO_CUPS = {
    "ISO 2431 4 mm": (1.37, 200.0),
    "ISO 2431 5 mm": (3.28, 220.0),
    "ISO 2431 6 mm": (6.90, 570.0),
}


def kinematic_mm2_s(recipe: Recipe) -> float:
    """Return the kinematic viscosity at 100 1/s, about what shears the paint in a 6 mm cup.

    At the wall of the nozzle the rate is 4 Q / (pi r³) = 79 1/s for 100 cm³ in 60 s.
    """
    return recipe.stress_pa(100) / 100 / (recipe.density * 1000) * 1e6


def cup_runs(recipe: Recipe) -> list[CupRun]:
    """Return two run-outs of the finest cup whose time lies within its range of 30 to 100 s."""
    chance = Chance("cup", recipe.batch)
    nu = kinematic_mm2_s(recipe)
    times = {cup: (nu + math.sqrt(nu**2 + 4 * a * b)) / (2 * a) for cup, (a, b) in ISO_CUPS.items()}
    cup = next(cup for cup, efflux_s in times.items() if 30 <= efflux_s <= 100)
    return [
        CupRun(
            batch=recipe.batch,
            measured_at=recipe.mixed_on + timedelta(minutes=minutes),
            cup=cup,
            efflux_s=round(times[cup] * chance.normal(1, 0.012), 1),
            temperature_c=round(chance.normal(23, 0.2), 1),
        )
        for minutes in (22, 27)
    ]
