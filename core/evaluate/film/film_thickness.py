"""Film thickness of panels and batches, and the acceptance rules of ISO 19840.

| quantity | unit | of |
| --- | --- | --- |
| thickness_readings | 1 | a panel, and a batch |
| thickness_mean | um | a panel, and a batch over its panels |
| thickness_sd, thickness_cv | um, % | a panel, and a batch |
| thickness_least, thickness_most | um | a panel, and a batch |
| thickness_below_nominal | % of the readings | the dry system of a panel, and of a batch |
| iso_19840_mean, _least_reading, _low_share, _maximum | 1 fulfilled, 0 not | likewise |
| iso_19840_accepted | 1 all four fulfilled, 0 not | likewise |

Each coat, and wet and dry, stand apart: the condition names them. The correction for the surface
profile is made only for the dry system: the gauge read it down to the steel. Where no profile is
set, the numbers stay as read, and the share below the nominal and the rules are those of an unknown
profile. How many readings the standard asks for by area is not checked, because panels are none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import pandas as pd

from tiecoat.contract.standards import ISO_19840
from tiecoat.evaluate.choices import FilmThicknessChoices, folded
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.film.thickness_rules import (
    LEAST_NOMINAL_UM,
    acceptance_rules,
    below_percent,
    is_below,
)
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics import replicates
from tiecoat.evaluate.statistics.replicates import Found
from tiecoat.wording import counted

USED = ["batch", "panel", "coat", "state", "thickness_um", "again"]
WHOLE_DRY = "system, dry"
RULES = ("mean", "least_reading", "low_share", "maximum")
SOURCE = ISO_19840
TABLE = f"{SOURCE}, table 2"  # of the corrections
AS_READ = "as read: nothing taken off for the surface profile, which is not set"
ASSUMED = "surface profile not set: 25 um taken off each reading as for an unknown one"
DEFERS = "supports and does not replace the inspection by the responsible person"


@dataclass(frozen=True)
class _ThicknessGroup:
    """Readings of one coat in one state, on one panel or on all of a batch.

    `thickness_um` of `rows` is corrected where a correction is set, which `method` then tells.
    """

    keys: Mapping[str, str]
    condition: str
    rows: pd.DataFrame
    method: str = ""
    flags: tuple[str, ...] = ()


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
    nominals = _Nominals(frames["panels"], choices)
    rows = frames["film_thickness"]
    rows = rows.assign(again=rows.duplicated(["batch", "panel", "coat", "state", "spot"]))[USED]
    for group in _groups(rows, choices):
        _tell_numbers(ledger, group)
        if group.condition == WHOLE_DRY:
            _tell_acceptance(ledger, group, nominals, choices)
    return ledger.table()


def _groups(rows: pd.DataFrame, choices: FilmThicknessChoices) -> Iterator[_ThicknessGroup]:
    """Return for each coat and state the panels and then the batches."""
    for (coat, state), part in rows.groupby(["coat", "state"], sort=True):
        condition, method = f"{coat}, {state}", ""
        corrected = part
        if condition == WHOLE_DRY:
            corrected, method = (
                _corrected(part, choices) if choices.surface_profile else (part, AS_READ)
            )
        for (batch, panel), own in corrected.groupby(["batch", "panel"], sort=True):
            yield _ThicknessGroup(
                {"batch": str(batch), "panel": str(panel)}, condition, own, method
            )
        for batch, own in corrected.groupby("batch", sort=True):
            yield _ThicknessGroup({"batch": str(batch)}, condition, own, method)


def _corrected(rows: pd.DataFrame, choices: FilmThicknessChoices) -> tuple[pd.DataFrame, str]:
    """Return readings less what is due for the profile, and what was taken off in words."""
    less, profile = choices.correction_um, choices.surface_profile or "unknown"
    corrected = rows.assign(thickness_um=rows["thickness_um"] - less)
    if profile == "none":
        return corrected, ""
    if profile == "unknown":
        return corrected, f"less {less:g} um for an unknown profile ({TABLE})"
    return corrected, f"less {less:g} um for a {profile} profile ({TABLE})"


def _judged(group: _ThicknessGroup, choices: FilmThicknessChoices) -> _ThicknessGroup:
    """Return the readings that the rules are asked of: of an unknown profile if none is set."""
    if choices.surface_profile:
        return group
    rows, method = _corrected(group.rows, choices)
    return _ThicknessGroup(group.keys, group.condition, rows, method, (ASSUMED,))


def _tell_numbers(ledger: Ledger, group: _ThicknessGroup) -> None:
    thickness, panels = group.rows["thickness_um"], group.rows["panel"]
    cautions = tuple(_cautions(group))
    on = f"on {counted(panels.nunique(), 'panel')}"
    _add(ledger, group, "thickness_readings", "", Found(Estimate(len(thickness)), on, cautions))
    mean = replicates.mean(thickness, panels, "reading")
    _add(ledger, group, "thickness_mean", "um", mean, flags=cautions)
    for quantity, unit, find in (
        ("thickness_sd", "um", replicates.spread),
        ("thickness_cv", "%", replicates.variation),
    ):
        try:
            _add(ledger, group, quantity, unit, find(thickness, panels, "reading"))
        except NotDeterminable as why:
            _add(ledger, group, quantity, unit, why)
    for quantity, value in (
        ("thickness_least", thickness.min()),
        ("thickness_most", thickness.max()),
    ):
        _add(ledger, group, quantity, "um", Found(Estimate(float(value)), "of the readings"))


def _cautions(group: _ThicknessGroup) -> Iterator[str]:
    """Say what weakens the mean."""
    rows = group.rows
    if again := int(rows["again"].sum()):
        yield f"{counted(again, 'reading')} of spots that were read before: each counts"
    if lost := int((rows["thickness_um"] <= 0).sum()):
        yield f"{counted(lost, 'reading')} not above the correction for the profile"


class _Nominals:
    """The nominal thickness of panels, by the coat system that the register gives them."""

    def __init__(self, register: pd.DataFrame, choices: FilmThicknessChoices) -> None:
        self._systems = dict(zip(register["panel"], register["coat_system"], strict=True))
        self._set = {folded(system): value for system, value in choices.nominal_um.items()}
        self.most_times_nominal = choices.most_times_nominal

    def of(self, panels: pd.Series[str]) -> float:
        """Return the one nominal thickness in um of all these panels.

        Raises
        ------
        NotDeterminable
            If there is none or more than one; the message says what to set.
        """
        names = sorted(panels.unique())
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


def _tell_acceptance(
    ledger: Ledger, group: _ThicknessGroup, nominals: _Nominals, choices: FilmThicknessChoices
) -> None:
    try:
        nominal = nominals.of(group.rows["panel"])
    except NotDeterminable as why:
        _add(ledger, group, "thickness_below_nominal", "%", why)
        _tell_no_verdict(ledger, group, why)
        return
    judged = _judged(group, choices) if nominal >= LEAST_NOMINAL_UM else group
    _tell_below(ledger, judged, nominal)
    try:
        rules = acceptance_rules(judged.rows["thickness_um"], nominal, nominals.most_times_nominal)
    except NotDeterminable as why:
        _tell_no_verdict(ledger, judged, why)
        return
    for rule in rules:
        flags = () if rule.fulfilled else (f"not fulfilled: {rule.found}",)
        verdict = Found(Estimate(float(rule.fulfilled)), f"{rule.asked} ({SOURCE})", flags)
        _add(ledger, judged, f"iso_19840_{rule.name}", "", verdict)
    failed = tuple(f"not fulfilled: {rule.name}" for rule in rules if not rule.fulfilled)
    verdict = Found(Estimate(float(not failed)), f"all four rules ({SOURCE}); {DEFERS}", failed)
    _add(ledger, judged, "iso_19840_accepted", "", verdict)


def _tell_below(ledger: Ledger, group: _ThicknessGroup, nominal: float) -> None:
    thickness, panels = group.rows["thickness_um"], group.rows["panel"]
    below = Estimate(below_percent(thickness, nominal))
    ends, how = replicates.share_interval(is_below(thickness, nominal), panels)
    share = Found(below, f"below {nominal:g} um; {how}", (), ends)
    _add(ledger, group, "thickness_below_nominal", "%", share)


def _tell_no_verdict(ledger: Ledger, group: _ThicknessGroup, why: NotDeterminable) -> None:
    for name in (*RULES, "accepted"):
        _add(ledger, group, f"iso_19840_{name}", "", why)


def _add(
    ledger: Ledger,
    group: _ThicknessGroup,
    quantity: str,
    unit: str,
    found: Found | NotDeterminable,
    *,
    flags: tuple[str, ...] = (),
) -> None:
    n = len(group.rows)
    if isinstance(found, NotDeterminable):
        ledger.add(quantity, unit, group.keys, found, condition=group.condition, n=n)
        return
    ledger.add(
        quantity,
        unit,
        group.keys,
        found.estimate,
        condition=group.condition,
        method="; ".join(part for part in (found.method, group.method) if part),
        flags="; ".join((*found.flags, *flags, *group.flags)),
        interval=found.interval,
        n=n,
    )
