"""Film thickness of panels and batches, and the acceptance rules of ISO 19840.

| quantity | unit | of |
| --- | --- | --- |
| thickness_readings | 1 | a panel, and a batch |
| thickness_mean | um | a panel, and a batch over its panels |
| thickness_sd, thickness_cv | um, % | a panel, and a batch |
| thickness_least, thickness_most | um | a panel, and a batch |
| thickness_below_nominal | % of the readings | the dry system of a panel, and of a batch |
| iso_19840_mean, iso_19840_least_reading | 1 fulfilled, 0 not | likewise |
| iso_19840_low_share, iso_19840_maximum | 1 fulfilled, 0 not | likewise |
| iso_19840_accepted | 1 all four fulfilled, 0 not | likewise |

Each coat, and wet and dry, stand apart: the condition names them. The correction for the surface
profile is made only for the dry system: the gauge read it down to the steel. Where no profile is
set, the numbers stay as read, and the share below the nominal and the rules are those of an unknown
profile. How many readings the standard asks for by area is not checked, because panels are none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tiecoat.contract.standards import ISO_19840
from tiecoat.evaluate.choices import FilmThicknessChoices, folded
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.film.thickness_rules import (
    LEAST_NOMINAL_UM,
    acceptance_rules,
    is_below,
)
from tiecoat.evaluate.grouping import (
    Floats,
    RowGroups,
    Whole,
    distinct_values,
    groups_of,
    numbered,
)
from tiecoat.evaluate.ledger import Ledger, table_of
from tiecoat.evaluate.result import results, together
from tiecoat.evaluate.statistics import replicates
from tiecoat.evaluate.statistics.replicates import ManyFound
from tiecoat.wording import counted

WHOLE_DRY = "system, dry"
RULES = ("mean", "least_reading", "low_share", "maximum")
SOURCE = ISO_19840
TABLE = f"{SOURCE}, table 2"  # of the corrections
AS_READ = "as read: nothing taken off for the surface profile, which is not set"
ASSUMED = "surface profile not set: 25 um taken off each reading as for an unknown one"
DEFERS = "supports and does not replace the inspection by the responsible person"


@dataclass(frozen=True)
class _ThicknessReadings:
    """Readings of many panels or batches, each coat in each state apart.

    Parameters
    ----------
    keys, condition
        Of each group.
    groups
        Which readings are of it.
    thickness_um
        Of each reading, corrected where a correction is set, which `method` then tells.
    panels, names
        The number of the panel of each reading, and the panels of each group.
    again
        Of each reading, whether its spot was read before.
    """

    keys: pd.DataFrame
    condition: list[str]
    groups: RowGroups
    thickness_um: Floats
    panels: Whole
    names: list[list[str]]
    again: Floats
    method: list[str]

    @property
    def at(self) -> dict[str, object]:
        """What stands in every result."""
        return {"condition": self.condition, "n": self.groups.sizes}


def compute(frames: Mapping[str, pd.DataFrame], choices: FilmThicknessChoices) -> pd.DataFrame:
    """Return the results of film thickness readings.

    Parameters
    ----------
    frames
        `film_thickness` and `panels`, as the archive gives them.
    choices
        What the laboratory has set.
    """
    ledger = Ledger()
    tables: list[pd.DataFrame] = []
    nominals = _Nominals(frames["panels"], choices)
    for by in (["batch", "panel"], ["batch"]):
        readings = _readings(frames["film_thickness"], by, choices)
        tables += _numbers(readings)
        _tell_acceptance(ledger, readings, nominals, choices)
    return together([*tables, ledger.table()])


def _readings(
    rows: pd.DataFrame, by: list[str], choices: FilmThicknessChoices
) -> _ThicknessReadings:
    """Return the readings of each panel or batch, the dry system less what is due."""
    groups, keys = groups_of(rows, [*by, "coat", "state"])
    condition = (keys.pop("coat").astype("str") + ", " + keys.pop("state").astype("str")).tolist()
    method, thickness = AS_READ, rows["thickness_um"].to_numpy(dtype=float)
    dry = np.array([one == WHOLE_DRY for one in condition], dtype=bool)
    if choices.surface_profile:
        of_dry = dry[groups.of_row]
        thickness = np.where(of_dry, thickness - choices.correction_um, thickness)
        method = _correction(choices)
    return _ThicknessReadings(
        keys,
        condition,
        groups,
        thickness,
        numbered(rows["panel"])[0],
        distinct_values(groups, rows["panel"]),
        rows.duplicated(["batch", "panel", "coat", "state", "spot"]).to_numpy(dtype=float),
        [method if is_dry else "" for is_dry in dry.tolist()],
    )


def _correction(choices: FilmThicknessChoices) -> str:
    """Return in words what is taken off for the profile."""
    less, profile = choices.correction_um, choices.surface_profile or "unknown"
    if profile == "none":
        return ""
    if profile == "unknown":
        return f"less {less:g} um for an unknown profile ({TABLE})"
    return f"less {less:g} um for a {profile} profile ({TABLE})"


def _numbers(readings: _ThicknessReadings) -> Iterator[pd.DataFrame]:
    groups, at, cautions = readings.groups, readings.at, list(map(tuple, _cautions(readings)))
    given = readings.thickness_um, readings.panels, groups, "reading"
    on = [f"on {counted(len(names), 'panel')}" for names in readings.names]
    flags = list(map("; ".join, cautions))
    told = {"method": _both(on, readings.method), "flags": flags, **at}
    yield results("thickness_readings", readings.keys, groups.sizes, "", **told)
    mean = replicates.means(*given)
    both = zip(mean.flags, cautions, strict=True)
    flags = ["; ".join(filter(None, (flag, *more))) for flag, more in both]
    yield _table(readings, "thickness_mean", "um", replace(mean, flags=flags))
    yield _table(readings, "thickness_sd", "um", replicates.spreads(*given))
    yield _table(readings, "thickness_cv", "%", replicates.variations(*given))
    told = {"method": _both(["of the readings"] * groups.count, readings.method), **at}
    least, most = groups.least(readings.thickness_um), groups.most(readings.thickness_um)
    yield results("thickness_least", readings.keys, least, "um", **told)
    yield results("thickness_most", readings.keys, most, "um", **told)


def _table(
    readings: _ThicknessReadings, quantity: str, unit: str, found: ManyFound
) -> pd.DataFrame:
    told = replace(found, method=_both(found.method, readings.method))
    return table_of(told, quantity, unit, readings.keys, **readings.at)


def _both(first: Sequence[str], second: Sequence[str]) -> list[str]:
    return ["; ".join(filter(None, both)) for both in zip(first, second, strict=True)]


def _cautions(readings: _ThicknessReadings) -> Iterator[Iterator[str]]:
    """Say what weakens the mean of each."""
    again = readings.groups.sum(readings.again).astype(int)
    lost = readings.groups.sum(readings.thickness_um <= 0).astype(int)
    for twice, less in zip(again.tolist(), lost.tolist(), strict=True):
        said = f"{counted(twice, 'reading')} of spots that were read before: each counts"
        gone = f"{counted(less, 'reading')} not above the correction for the profile"
        yield filter(None, (said if twice else "", gone if less else ""))


class _Nominals:
    """The nominal thickness of panels, by the coat system that the register gives them."""

    def __init__(self, register: pd.DataFrame, choices: FilmThicknessChoices) -> None:
        self._systems = dict(zip(register["panel"], register["coat_system"], strict=True))
        self._set = {folded(system): value for system, value in choices.nominal_um.items()}
        self.most_times_nominal = choices.most_times_nominal

    def of(self, names: Sequence[str]) -> float:
        """Return the one nominal thickness in um of all these panels, which are sorted.

        Raises
        ------
        NotDeterminable
            If there is none or more than one; the message says what to set.
        """
        if unknown := [name for name in names if name not in self._systems]:
            raise NotDeterminable(
                "not in the register of panels, so without a coat system and its nominal"
                f" thickness: {', '.join(unknown)}"
            )
        systems = sorted({str(self._systems[name]) for name in names})
        if unset := [system for system in systems if folded(system) not in self._set]:
            raise NotDeterminable(
                f"no nominal thickness of {unset[0]!r}: set it in tiecoat.toml under"
                f' [evaluate.film_thickness.nominal_um], such as "{unset[0]}" = 180'
            )
        found = {self._set[folded(system)] for system in systems}
        if len(found) > 1:
            raise NotDeterminable(
                f"coat systems of different nominal thickness together: {'; '.join(systems)}"
            )
        return found.pop()


@dataclass(frozen=True)
class _Judged:
    """The readings of one panel or batch that the rules are asked of.

    Of an unknown profile if none is set, as `flags` say.
    """

    keys: Mapping[str, str]
    n: int
    method: str
    flags: tuple[str, ...] = ()


def _tell_acceptance(
    ledger: Ledger, readings: _ThicknessReadings, nominals: _Nominals, choices: FilmThicknessChoices
) -> None:
    """Tell the share below the nominal and the rules of each whole dry system."""
    groups = readings.groups
    nominal = np.full(groups.count, math.nan)
    asked: list[tuple[int, _Judged]] = []
    names = list(map(str, readings.keys))
    for group, key in enumerate(readings.keys.itertuples(index=False, name=None)):
        if readings.condition[group] != WHOLE_DRY:
            continue
        judged = _Judged(
            dict(zip(names, key, strict=True)), int(groups.sizes[group]), readings.method[group]
        )
        try:
            nominal[group] = nominals.of(readings.names[group])
        except NotDeterminable as why:
            _add(ledger, judged, "thickness_below_nominal", "%", why)
            _tell_no_verdict(ledger, judged, why)
            continue
        if not choices.surface_profile and nominal[group] >= LEAST_NOMINAL_UM:
            judged = replace(judged, method=_correction(choices), flags=(ASSUMED,))
        asked.append((group, judged))
    if not asked:
        return
    less = 0.0 if choices.surface_profile else choices.correction_um
    due = np.where(nominal >= LEAST_NOMINAL_UM, less, 0.0)
    thickness = readings.thickness_um - due[groups.of_row]
    below = is_below(thickness, nominal[groups.of_row]).astype(float)
    share = 100 * groups.mean(below)
    low, high, how = replicates.share_intervals(below, readings.panels, groups)
    for group, judged in asked:
        told, ends = float(nominal[group]), (float(low[group]), float(high[group]))
        method, found = f"below {told:g} um; {how[group]}", Estimate(float(share[group]))
        _add(ledger, judged, "thickness_below_nominal", "%", found, method=method, interval=ends)
        _tell_rules(ledger, judged, thickness[groups.positions[group]], told, nominals)


def _tell_rules(
    ledger: Ledger, judged: _Judged, thickness_um: Floats, nominal_um: float, nominals: _Nominals
) -> None:
    try:
        rules = acceptance_rules(thickness_um, nominal_um, nominals.most_times_nominal)
    except NotDeterminable as why:
        _tell_no_verdict(ledger, judged, why)
        return
    for rule in rules:
        flags = () if rule.fulfilled else (f"not fulfilled: {rule.found}",)
        found, method = Estimate(float(rule.fulfilled)), f"{rule.asked} ({SOURCE})"
        _add(ledger, judged, f"iso_19840_{rule.name}", "", found, method=method, flags=flags)
    failed = tuple(f"not fulfilled: {rule.name}" for rule in rules if not rule.fulfilled)
    found, method = Estimate(float(not failed)), f"all four rules ({SOURCE}); {DEFERS}"
    _add(ledger, judged, "iso_19840_accepted", "", found, method=method, flags=failed)


def _tell_no_verdict(ledger: Ledger, judged: _Judged, why: NotDeterminable) -> None:
    for name in (*RULES, "accepted"):
        _add(ledger, judged, f"iso_19840_{name}", "", why)


def _add(
    ledger: Ledger,
    judged: _Judged,
    quantity: str,
    unit: str,
    found: Estimate | NotDeterminable,
    *,
    method: str = "",
    flags: tuple[str, ...] = (),
    interval: tuple[float, float] | None = None,
) -> None:
    if isinstance(found, NotDeterminable):
        ledger.add(quantity, unit, judged.keys, found, condition=WHOLE_DRY, n=judged.n)
        return
    ledger.add(
        quantity,
        unit,
        judged.keys,
        found,
        condition=WHOLE_DRY,
        method="; ".join(filter(None, (method, judged.method))),
        flags="; ".join((*flags, *judged.flags)),
        interval=interval,
        n=judged.n,
    )
