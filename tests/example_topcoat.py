"""The topcoated panels of the example: four more of each batch, and what hides under the topcoat.

Once the primer had hardened, a polyurethane topcoat was laid over it. Five per cent of glass flake
make a better barrier and hold as well as the control on the primer alone; the flakes lie at its
surface, though, and the topcoat lets go of them. Everything is invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from example_formats import INVENTED, Cell, comma, lines, table
from example_truth import BERLIN, DOLLY_MM, RECIPES, Chance, Panel, Recipe

ALONE = "epoxy primer, 2 coats"
TOPPED = "epoxy primer, 2 coats, polyurethane topcoat"
SUBSTRATE = "steel, blasted Sa 2½"
PLACES = (4, 5, 6, 7)
TOPCOAT_UM = 60
BETWEEN_PANELS, WITHIN_PANEL = 0.12, 0.35  # MPa
TOPPED_MPA = {  # mean strength with the topcoat, share between two coats, and between which
    "RB-010": (6.8, 0.15, "C/D"),
    "RB-011": (6.8, 0.15, "C/D"),
    "RB-012": (6.7, 0.20, "C/D"),
    "RB-013": (7.0, 0.15, "C/D"),
    "RB-014": (7.1, 0.10, "C/D"),
    "RB-015": (3.9, 0.85, "C/D"),
    "RB-016": (4.5, 0.75, "A/B"),
    "RB-017": (6.8, 0.15, "C/D"),
    "RB-018": (6.6, 0.20, "C/D"),
}


@dataclass(frozen=True)
class Pull:
    """One determination on a panel with the topcoat."""

    panel: Panel
    determination: int
    measured_at: datetime
    strength_mpa: float
    adhesive_percent: int

    @property
    def failure(self) -> str:
        """By ISO 4624: the rest fails within the second coat of the primer."""
        shares = {
            TOPPED_MPA[self.panel.recipe.batch][2]: self.adhesive_percent,
            "C": 100 - self.adhesive_percent,
        }
        return ", ".join(f"{share}% {place}" for place, share in shares.items() if share)


def topcoated(recipe: Recipe) -> list[Panel]:
    """Return the panels of a batch that got the topcoat."""
    return [Panel(recipe, place) for place in PLACES]


def coats_on(panel: Panel) -> tuple[datetime, datetime, datetime]:
    """Return when each coat came on: the primer on two days, the topcoat three days later."""
    first = panel.coated_on
    return first, first + timedelta(days=1), first + timedelta(days=4)


def film_um(panel: Panel) -> int:
    """Return the dry film thickness of the whole system."""
    return panel.thickness_um + TOPCOAT_UM


def pulls(panel: Panel) -> list[Pull]:
    """Return six determinations, six weeks after the topcoat."""
    chance = Chance("pull-off with topcoat", panel.name)
    mean, adhesive, _ = TOPPED_MPA[panel.recipe.batch]
    own = mean + chance.normal(0, BETWEEN_PANELS)
    start = datetime(2026, 10, 29 + panel.recipe.number // 5, 7, 0, tzinfo=BERLIN)
    start += timedelta(minutes=30 * (len(PLACES) * (panel.recipe.number % 5) + panel.place - 4))
    return [
        Pull(
            panel=panel,
            determination=number,
            measured_at=start + timedelta(minutes=4 * number),
            strength_mpa=round(own + chance.normal(0, WITHIN_PANEL), 2),
            adhesive_percent=min(100, max(0, 10 * round(10 * (adhesive + chance.normal(0, 0.08))))),
        )
        for number in range(1, 7)
    ]


def register() -> bytes:
    """The sheet of the topcoated panels, with the day of each coat."""
    titles = "Platte;Charge;Untergrund;Beschichtungssystem;Trockenschichtdicke [µm]"
    rows = [INVENTED, "", f"{titles};Beschichtet am;2. Schicht am;3. Schicht am;Bemerkung"]
    for recipe in RECIPES:
        for panel in topcoated(recipe):
            days = [f"{day:%d.%m.%Y %H:%M}" for day in coats_on(panel)]
            cells = [panel.name, recipe.batch, SUBSTRATE, TOPPED, comma(film_um(panel))]
            rows.append(";".join([*cells, *days, INVENTED]))
    return lines(*rows, end="\r\n").encode("cp1252")


def pull_offs(recipes: Sequence[Recipe]) -> bytes:
    """Return the determinations of several batches, as the gauge for strengths lists them."""
    rows: list[list[Cell]] = [[INVENTED], []]
    rows.append(["Panel", "Determination", "Dolly (mm)", "Strength (MPa)", "Failure", "Measured"])
    for recipe in recipes:
        for panel in topcoated(recipe):
            for one in pulls(panel):
                strength, at = f"{one.strength_mpa:.2f}", f"{one.measured_at:%Y-%m-%d %H:%M}"
                cells: list[Cell] = [panel.name, one.determination, f"{DOLLY_MM:g}", strength]
                rows.append([*cells, one.failure, at])
    return table(rows).encode()


def exports() -> dict[str, bytes]:
    """Return the exports: path below the inbox -> bytes."""
    return {
        "register/Register Deckbeschichtung.csv": register(),
        "pull-off/pull off topcoat RB-010 to RB-014.csv": pull_offs(RECIPES[:5]),
        "pull-off/pull off topcoat RB-015 to RB-018.csv": pull_offs(RECIPES[5:]),
    }
