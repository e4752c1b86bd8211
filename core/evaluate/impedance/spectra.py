"""Impedance spectra as arrays: many at once, area-normalised, frequencies ascending.

The evaluation of a spectrum is the same few operations for every spectrum, so all spectra of a
frame stand in one array, a row each, padded at the right with NaN.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tiecoat.evaluate.result import KEYS, TEXT, results

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]
Texts = NDArray[np.object_]

TEXT_KEYS = ("measurement", "batch", "panel", "spot")
POINTS_MOST = 2000  # far above any sweep; keeps the padded arrays small
# Wider than anything that can be measured; what lies beyond would overflow on the way.
OHM_RANGE = (1e-30, 1e30)
HZ_RANGE = (1e-12, 1e15)
CM2_RANGE = (1e-9, 1e9)


@dataclass(frozen=True)
class Spectra:
    """n spectra of at most m points.

    A spectrum that cannot be used has no points, and `reason` says why.

    Parameters
    ----------
    keys
        A row a spectrum: measurement, batch, panel, spot ("" where there is none), exposure_h,
        measured_at, area_cm2, thickness_um, thickness_from ("" for the export of the spectrum, else
        where it was taken from), temperature_c of the bath (its mean over the sweep, NaN where it
        is not told), system ("", or "; coat system: " with its name where the register tells
        several of the batch).
    frequency_hz
        (n, m), ascending in each row, NaN behind the last point.
    z_ohm_cm2
        (n, m) area-normalised impedance; capacitive = negative imaginary part; NaN likewise.
    points
        (n,) how many points each spectrum has.
    reason
        (n,) why a spectrum cannot be used, else "".
    flags
        (n,) what the reader of every result of the spectrum must know, "; " between several.
    """

    keys: pd.DataFrame
    frequency_hz: Floats
    z_ohm_cm2: Complexes
    points: Integers
    reason: Texts
    flags: Texts

    def __len__(self) -> int:
        return len(self.points)

    @cached_property
    def modulus_ohm_cm2(self) -> Floats:
        """(n, m) modulus of the impedance."""
        return np.abs(self.z_ohm_cm2)

    @cached_property
    def phase_deg(self) -> Floats:
        """(n, m) phase in degrees, without jumps of 360, in (-180, 180] at the highest frequency.

        The highest frequency is the anchor because it is the least noisy point of a film's sweep.
        """
        return self._at_last(np.unwrap(np.angle(self.z_ohm_cm2, deg=True), period=360.0))

    @property
    def range_hz(self) -> tuple[Floats, Floats]:
        """(n,) lowest and highest measured frequency; NaN where there are no points."""
        if not self.frequency_hz.shape[1]:
            none = np.full(len(self), np.nan)
            return none, none
        rows = np.arange(len(self))
        return self.frequency_hz[:, 0], self.frequency_hz[rows, np.maximum(self.points - 1, 0)]

    @cached_property
    def result_keys(self) -> dict[str, Any]:
        """The keys of a result of each spectrum, as every result table holds them."""
        told = {
            name: pd.array(self.keys[name].to_numpy(dtype=object), dtype=TEXT)
            for name in TEXT_KEYS
            if name in KEYS
        }
        return {**told, "exposure_h": self.keys["exposure_h"].to_numpy(dtype=np.float64)}

    @cached_property
    def place(self) -> Integers:
        """(n,) number of the place on a panel: one for every batch, panel and spot."""
        return codes(self.keys, ("batch", "panel", "spot"))

    def flagged(self, where: Bools, text: str) -> Spectra:
        """Return the spectra with one flag more where it holds."""
        return replace(self, flags=joined(self.flags, np.where(where, text, "")))

    def _at_last(self, phase: Floats) -> Floats:
        if not phase.shape[1]:
            return phase
        last = phase[np.arange(len(self)), np.maximum(self.points - 1, 0)]
        turns = np.ceil((last - 180.0) / 360.0)
        shifted: Floats = phase - 360.0 * turns[:, None]
        return shifted


def spectra_of(
    frame: pd.DataFrame,
    panels: pd.DataFrame | None = None,
    film_thickness: pd.DataFrame | None = None,
) -> Spectra:
    """Return the spectra of a frame of the kind impedance.

    Area-normalised impedance = impedance times wetted area, in ohm cm2.

    Parameters
    ----------
    frame
        Rows as `archive.read("impedance")` gives them, in any order.
    panels, film_thickness
        Rows of these kinds: where the export gives no thickness, the mean of the dry readings of
        the whole system on the panel stands in, else the thickness in the register.

    Returns
    -------
    Spectra
        In the order in which the measurements first appear. Points without a usable number
        (missing, infinite, zero impedance, frequency not above zero) are left out and flagged.
        A spectrum with a frequency twice, without a clear area, or without points is not used.
    """
    names = frame["measurement"].astype("object").fillna("").to_numpy()
    code, first = _first_rows(names)
    frequency, z = _numbers(frame, "frequency_hz"), _impedance(frame)
    usable = _within(frequency, HZ_RANGE) & np.isfinite(z) & _within(_size(z), OHM_RANGE)
    keys = _keys(frame, code, first)
    reason, flags = _blank(len(first)), _blank(len(first))
    left_out = np.bincount(code[~usable], minlength=len(first))
    for n in np.flatnonzero(left_out):
        flags[n] = f"{left_out[n]} points without a usable number left out"
    code, frequency, z = code[usable], frequency[usable], z[usable]
    order = np.lexsort((frequency, code))
    code, frequency, z = code[order], frequency[order], z[order]
    _refuse(keys, code, frequency, reason)
    keys = _thickness_from_elsewhere(keys, panels, film_thickness)
    keys = keys.assign(system=_systems(keys, panels))
    used = (reason == "")[code]
    return _padded(keys, code[used], frequency[used], z[used], reason=reason, flags=flags)


def rows_of(
    spectra: Spectra,
    quantity: str,
    value: Floats,
    unit: str,
    *,
    reason: Texts | str,
    flags: Texts | None = None,
    **more: Any,
) -> pd.DataFrame:
    """Return result rows, one a spectrum.

    `reason` counts where the value is missing; the reason of an unusable spectrum goes before it.
    """
    missing = ~np.isfinite(value)
    why = np.where(spectra.reason != "", spectra.reason, np.asarray(reason, dtype=object))
    why = np.where(why != "", why, "no finite number came out")
    every = spectra.flags if flags is None else joined(spectra.flags, flags)
    return results(
        quantity,
        spectra.result_keys,
        np.where(missing, np.nan, value),
        unit,
        reason=np.where(missing, why, ""),
        flags=every,
        **more,
    )


def codes(keys: pd.DataFrame, columns: Sequence[str]) -> Integers:
    """Return a number for each row, equal where the columns are equal, in order of appearance."""
    code = np.zeros(len(keys), dtype=np.int64)
    for name in columns:
        more, seen = pd.factorize(keys[name], use_na_sentinel=False)
        code = pd.factorize(code * max(len(seen), 1) + more)[0].astype(np.int64)
    return code


def joined(first: Texts, second: Texts) -> Texts:
    """Return texts joined by "; ", empty ones left out."""
    pairs = zip(first, second, strict=True)
    return texts([f"{a}; {b}" if a and b else a or b for a, b in pairs])


def texts(values: list[str]) -> Texts:
    array = np.empty(len(values), dtype=object)
    array[:] = values
    return array


def _blank(count: int) -> Texts:
    return np.full(count, "", dtype=object)


def _first_rows(names: Texts) -> tuple[Integers, Integers]:
    code, seen = pd.factorize(names)
    first = np.full(len(seen), len(names), dtype=np.int64)
    np.minimum.at(first, code, np.arange(len(names)))
    return code.astype(np.int64), first


def _within(values: Floats, bounds: tuple[float, float]) -> Bools:
    return (values >= bounds[0]) & (values <= bounds[1])


def _size(z: Complexes) -> Floats:
    """Return the larger of both parts in size: the modulus could overflow."""
    return np.maximum(np.abs(z.real), np.abs(z.imag))


def _numbers(frame: pd.DataFrame, column: str) -> Floats:
    return frame[column].to_numpy(dtype=np.float64, na_value=np.nan)


def _impedance(frame: pd.DataFrame) -> Complexes:
    z = np.empty(len(frame), dtype=np.complex128)
    z.real, z.imag = _numbers(frame, "z_real_ohm"), _numbers(frame, "z_imag_ohm")
    return z


def _keys(frame: pd.DataFrame, code: Integers, first: Integers) -> pd.DataFrame:
    rows = frame.iloc[first]
    # plain objects: Arrow strings are slow to take out singly
    texts = {
        name: pd.Series(rows[name].astype("object").fillna("").to_numpy(), dtype=object)
        for name in TEXT_KEYS
    }
    numbers = {
        name: _single(_numbers(frame, name), code, first)
        for name in ("exposure_h", "area_cm2", "thickness_um")
    }
    numbers["temperature_c"] = np.full(len(first), np.nan)
    if "temperature_c" in frame:  # rows filed before the kind had the column may be without
        numbers["temperature_c"] = _mean(_numbers(frame, "temperature_c"), code, len(first))
    return pd.DataFrame({**texts, "measured_at": rows["measured_at"].to_numpy(), **numbers})


def _mean(values: Floats, code: Integers, count: int) -> Floats:
    """Return the mean of what is known of each measurement, NaN where nothing is."""
    known = np.isfinite(values)
    n = np.bincount(code[known], minlength=count)
    return np.bincount(code[known], values[known], minlength=count) / np.where(n, n, np.nan)


def _single(values: Floats, code: Integers, first: Integers) -> Floats:
    """Return the value of each measurement, NaN where its rows do not agree."""
    of_first = values[first]
    other = (values != of_first[code]) & ~(np.isnan(values) & np.isnan(of_first[code]))
    return np.where(np.bincount(code[other], minlength=len(first)) > 0, np.nan, of_first)


def _refuse(keys: pd.DataFrame, code: Integers, frequency: Floats, reason: Texts) -> None:
    twice = (code[1:] == code[:-1]) & (frequency[1:] == frequency[:-1])
    for row in np.flatnonzero(twice):
        reason[code[row]] = f"the frequency {frequency[row]:.4g} Hz stands twice in the spectrum"
    area = keys["area_cm2"].to_numpy()
    reason[~_within(area, CM2_RANGE)] = "the wetted area is missing or not one number"
    count = np.bincount(code, minlength=len(keys))
    reason[count > POINTS_MOST] = f"more than {POINTS_MOST} points: not one sweep"
    reason[count == 0] = "the spectrum has no usable point"


def _thickness_from_elsewhere(
    keys: pd.DataFrame, panels: pd.DataFrame | None, film_thickness: pd.DataFrame | None
) -> pd.DataFrame:
    """Complete the thickness from the first place that knows it, and tell the place."""
    keys = keys.assign(thickness_from=_blank(len(keys)))
    for known in (_dry_film(film_thickness), _registered(panels)):
        missing = keys["thickness_um"].isna()
        if not len(known) or not missing.any():
            continue
        names = ["batch", "panel"]
        found = keys[names].merge(known.astype(dict.fromkeys(names, object)), on=names, how="left")
        takes = missing & found["thickness_um"].notna()
        keys = keys.assign(
            thickness_um=keys["thickness_um"].fillna(found["thickness_um"]),
            thickness_from=np.where(takes, found["thickness_from"], keys["thickness_from"]),
        )
    return keys


def _systems(keys: pd.DataFrame, panels: pd.DataFrame | None) -> Texts:
    """Return what is added to the condition of a batch's results, so that systems stay apart."""
    if panels is None or not len(panels) or "coat_system" not in panels:
        return _blank(len(keys))
    known = panels.drop_duplicates("panel", keep="last").set_index("panel")["coat_system"]
    found = keys["panel"].map(known.astype("object")).fillna("").astype(str)
    several = found.groupby(keys["batch"]).transform("nunique") > 1
    named = found.where(found != "", "unknown")
    return texts(
        [f"; coat system: {one}" if m else "" for one, m in zip(named, several, strict=True)]
    )


def _dry_film(readings: pd.DataFrame | None) -> pd.DataFrame:
    """Return the mean of the dry readings of the whole system, a row a panel."""
    if readings is None or not len(readings):
        return pd.DataFrame()
    whole = readings[(readings["coat"] == "system") & (readings["state"] == "dry")]
    of_panel = whole.groupby(["batch", "panel"])["thickness_um"]
    means = of_panel.mean().reset_index()
    return means.assign(
        thickness_from=[
            f"thickness: mean of dry film thickness as read, n = {n}" for n in of_panel.count()
        ]
    )


def _registered(panels: pd.DataFrame | None) -> pd.DataFrame:
    """Return the thickness in the register, a row a panel."""
    if panels is None or not len(panels):
        return pd.DataFrame()
    known = panels.dropna(subset=["thickness_um"]).drop_duplicates(["batch", "panel"], keep="last")
    rows = known[["batch", "panel", "thickness_um"]]
    return rows.assign(thickness_from="thickness from the register of panels")


def _padded(
    keys: pd.DataFrame,
    code: Integers,
    frequency: Floats,
    z: Complexes,
    *,
    reason: Texts,
    flags: Texts,
) -> Spectra:
    points = np.bincount(code, minlength=len(keys)).astype(np.int64)
    shape = (len(keys), int(points.max(initial=0)))
    column = np.arange(len(code)) - (np.cumsum(points) - points)[code]
    frequency_hz = np.full(shape, np.nan)
    z_ohm_cm2 = np.full(shape, complex(np.nan, np.nan))
    frequency_hz[code, column] = frequency
    z_ohm_cm2[code, column] = z * keys["area_cm2"].to_numpy()[code]
    return Spectra(keys, frequency_hz, z_ohm_cm2, points, reason, flags)
