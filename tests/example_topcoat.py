"""The second trial of the example: primers with and without a topcoat, and what hides under it.

A control and two candidates. The surface-treated talc stirs in less air, and holds as well as the
control on the primer alone; under the topcoat it lets go. The wollastonite does nothing at all.
Everything is invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from example_formats import INVENTED, lines
from example_truth import BERLIN, DOLLY_MM, Chance

ALONE = "epoxy primer alone"
TOPPED = "epoxy primer with polyurethane topcoat"
SUBSTRATE = "steel, blasted Sa 2½"
BETWEEN_PANELS, WITHIN_PANEL = 0.12, 0.35  # MPa
STATES = (("as mixed", (10, 14, 18, 22)), ("deaerated", (75, 79, 83, 87)))


@dataclass(frozen=True)
class TopcoatRecipe:
    """A paint of the second trial: its air as mixed, and its strength alone and under a topcoat."""

    batch: str
    candidate: str
    dose_percent: float
    density: float
    air: float
    alone_mpa: float
    topped_mpa: float

    @property
    def mixed_on(self) -> datetime:
        """One batch every two hours."""
        return datetime(2026, 10, 12, 7, 30, tzinfo=BERLIN) + timedelta(
            hours=2 * (int(self.batch[-3:]) - 20)
        )

    @property
    def panels(self) -> list[tuple[str, str, float]]:
        """Four panels without and five with a topcoat: name, coats, strength."""
        systems = [(ALONE, self.alone_mpa)] * 4 + [(TOPPED, self.topped_mpa)] * 5
        return [(f"{self.batch}-{n}", *system) for n, system in enumerate(systems, 1)]


TOPCOAT_RECIPES = (
    TopcoatRecipe("RB-020", "none", 0, 1.440, 0.026, 7.3, 7.0),
    TopcoatRecipe("RB-021", "surface-treated talc", 5, 1.476, 0.012, 7.3, 3.8),
    TopcoatRecipe("RB-022", "wollastonite", 10, 1.498, 0.026, 7.3, 7.0),
)


def trial_register() -> bytes:
    """Return the register of the trial, batches above and panels below."""
    rows = ["Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note"]
    for one in TOPCOAT_RECIPES:
        recipe = "EP-2K base"
        if one.dose_percent:
            recipe += f" + {one.dose_percent:g} % {one.candidate}"
        role = "candidate" if one.dose_percent else "control"
        cells = [one.batch, recipe, one.candidate, f"{one.dose_percent:g}", role]
        rows.append(",".join([*cells, f"{one.mixed_on:%Y-%m-%d %H:%M}", INVENTED]))
    rows += ["", "Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note"]
    for one in TOPCOAT_RECIPES:
        for name, system, _ in one.panels:
            film = round(Chance("thickness", name).normal(240 if system == TOPPED else 180, 5))
            coated = f"{one.mixed_on + timedelta(hours=4):%Y-%m-%d}"
            rows.append(f'{name},{one.batch},"{SUBSTRATE}","{system}",{film},{coated},,{INVENTED}')
    return lines(INVENTED, "", *rows).encode("utf-8")


def trial_pulls() -> bytes:
    """Return three determinations of every panel: where the coats part, and at which strength."""
    rows = [INVENTED, "", "Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured"]
    at = datetime(2026, 11, 2, 8, 0, tzinfo=BERLIN)
    for one in TOPCOAT_RECIPES:
        for name, system, strength in one.panels:
            chance = Chance("pull-off of the trial", name)
            own = strength + chance.normal(0, BETWEEN_PANELS)
            lets_go = system == TOPPED and one.topped_mpa < 5
            failure = '"80% C/D, 20% B"' if lets_go else '"100% B"'
            for number in (1, 2, 3):
                at += timedelta(minutes=4)
                value = own + chance.normal(0, WITHIN_PANEL)
                told = f"{value:.2f},{failure},{at:%Y-%m-%d %H:%M}"
                rows.append(f"{name},{number},{DOLLY_MM:g},{told}")
    return lines(*rows).encode("utf-8")


def trial_densities() -> bytes:
    """Return four fillings as mixed and four after the vacuum, of each paint."""
    head = "Date;Time;Batch;State;Sample temp. [°C];Density [kg/m³];Rest [min];Remark"
    rows = ["Density bench, 100 ml cup", INVENTED, "Instrument;DB-2", "Operator;M. Keller", ""]
    rows.append(head)
    for one in TOPCOAT_RECIPES:
        chance = Chance("topcoat density", one.batch)
        for state, minutes in STATES:
            air = 0.001 if state == "deaerated" else one.air
            for minute in minutes:
                temperature = round(chance.normal(23, 0.2), 1)
                ideal = one.density * (1 - 7e-4 * (temperature - 23)) * (1 - air)
                density = 1000 * chance.normal(ideal, 0.0008)
                when = one.mixed_on + timedelta(minutes=minute)
                remark = "vacuum 10 min" if state == "deaerated" else ""
                told = f"{temperature:.1f};{density:.1f};0;{remark}"
                rows.append(f"{when:%d.%m.%Y;%H:%M};{one.batch};{state};{told}")
    return lines(*rows, end="\r\n").encode("cp1252")


def exports() -> dict[str, bytes]:
    """Return the exports of the trial: path below the inbox -> bytes."""
    return {
        "register/Register topcoat trial.csv": trial_register(),
        "pull-off/pull off topcoat trial.csv": trial_pulls(),
        "density/density 2026-10-12.csv": trial_densities(),
    }
