"""Water that a film took up, by its capacitance: at each exposure, how fast, and how much at last.

The first spectrum is seldom that of a dry film: at 1e-9 cm2/s a film of 100 um has a fifth of its
water after an hour. So each uptake against the first spectrum says by how much it is too low, and
where the course shows how it began, an uptake against the dry film, extrapolated by Fick's law
(`fick`), stands beside it. Both are quantities of their own, so that like is compared with like.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.fick import (
    EARLY_EXPOSURES,
    MOST_H,
    Bounds,
    FickFits,
    fit_fick,
    share_taken_up,
)
from tiecoat.evaluate.impedance.group_estimates import mean_of_groups
from tiecoat.evaluate.impedance.repeated_spectra import t_factors
from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Floats,
    Integers,
    Spectra,
    Texts,
    codes,
    rows_of,
    texts,
)
from tiecoat.evaluate.impedance.water_permittivity import (
    UNKNOWN,
    permittivity_said,
    water_permittivity,
)
from tiecoat.evaluate.result import results, together

WHOLE_PERCENT = 100.0
UPTAKE_SMALL_PERCENT = 10.0  # common practice, no source
# of water in epoxy films: 2.4e-10 to 5.5e-10 published (J. Corros. Sci. Eng. 2 (1999) paper 37),
# and further to be on the safe side
DIFFUSION_CM2_S = (2e-10, 1e-9)
WORTH_TELLING = 0.01  # share of the saturation
THINNEST_UM, THICKEST_UM = 1e-3, 1e6
UM_PER_CM, SECONDS_PER_HOUR = 1e4, 3600.0
METHOD = "lg(Ct/C0)/lg(permittivity of water)"
NO_DRY = "the course does not show the dry film: fewer than three early exposures, or no fit"
CITED = "(Brasher and Kingsbury 1954)"
OPEN_TOLD = 0.005  # share of a capacitance, 0.1 % of water by volume; no source
OPEN = "how much of Z' is the film's is not known"


def water_uptake_percent(
    capacitance: Floats, capacitance_dry: Floats, permittivity: Floats | float
) -> Floats:
    """Return the volume share of water in the film, in percent.

    phi = lg(Ct / C0) / lg eps (Brasher and Kingsbury, J. Appl. Chem. 4 (1954) 62, with 80 for the
    permittivity eps of water; its parts as named by Bucharsky, Castro and Real, J. Corros. Sci.
    Eng. 2 (1999) paper 19). It holds for small uptake, water evenly spread in small drops, no
    swelling, and a polymer whose own permittivity stays; a negative value is a fall of capacitance,
    no uptake.

    Parameters
    ----------
    capacitance, capacitance_dry
        Ct and C0 in the same unit, above zero.
    permittivity
        Relative permittivity of water, see `water_permittivity`.

    Examples
    --------
    >>> print(water_uptake_percent(np.array([1.5]), np.array([1.0]), 80.0).round(3))
    [9.253]
    """
    phi: Floats = 100 * np.log(capacitance / capacitance_dry) / np.log(permittivity)
    return phi


def first_of_place(spectra: Spectra) -> Integers:
    """Return for each spectrum the row of the first one of its batch, panel and spot.

    First by exposure, then by time; one without an exposure is never first if another has one.
    """
    place = spectra.place
    when = pd.to_datetime(spectra.keys["measured_at"], utc=True)
    order = np.lexsort(
        (when.rank(na_option="bottom").to_numpy(), spectra.keys["exposure_h"].to_numpy(), place)
    )
    starts = np.flatnonzero(np.diff(place[order], prepend=-1))
    found: Integers = order[starts].astype(np.int64)[place]
    return found


@dataclass(frozen=True)
class FilmCapacitances:
    """Capacitances of n spectra at one frequency, as the uptake needs them.

    Parameters
    ----------
    f_cm2
        (n,) F/cm2; NaN where there is none, and then `reason` says why.
    lg_deviation, freedom
        (n,) standard deviation of its lg, with its degrees of freedom; NaN and 0 without.
    permittivity
        (n,) of water at the temperature of each bath.
    too_high
        (n,) by which share of itself a capacitance may be too high, as of `Capacitance`.
    """

    f_cm2: Floats
    reason: Texts
    lg_deviation: Floats
    freedom: Integers
    permittivity: Floats
    too_high: Floats


@dataclass(frozen=True)
class Uptake:
    """Water uptake of n spectra against the dry film, or the first spectrum of panel and spot.

    Parameters
    ----------
    percent, standard_error, low, high
        (n,) by volume.
    too_high, too_low
        (n,) in % by volume, by `FilmCapacitances.too_high` of the spectrum and of the first; the
        interval reaches so much farther.
    first
        (n,) row of the first spectrum of the place.
    from_dry
        Whether C0 is that of the dry film.
    fits
        Of the places, by their number.
    reason
        (n,) why there is none, else "".
    """

    percent: Floats
    standard_error: Floats
    low: Floats
    high: Floats
    too_high: Floats
    too_low: Floats
    first: Integers
    from_dry: bool
    fits: FickFits
    reason: Texts


def water_uptake(
    spectra: Spectra, film: FilmCapacitances, fits: FickFits, *, from_dry: bool = False
) -> Uptake:
    """Return the water uptake (`water_uptake_percent`) of each spectrum.

    C0 is that of the first spectrum, whose uptake is zero by definition: with the standard
    deviation s of lg C of a spectrum, the standard error is sqrt(2) s / lg eps. With `from_dry` it
    is extrapolated where the course follows Fick's law and has three exposures or more in the part
    where the uptake grows with the root of time; its own interval goes into that of the uptake.
    """
    first, place = first_of_place(spectra), spectra.place
    extrapolated = (fits.early >= EARLY_EXPOSURES)[place] & from_dry
    dry = np.where(extrapolated, np.exp(fits.ln_dry.value[place]), film.f_cm2[first])
    dry = np.where(extrapolated | (not from_dry), dry, np.nan)
    percent = water_uptake_percent(film.f_cm2, dry, film.permittivity)
    itself = (first == np.arange(len(spectra))) & ~extrapolated
    scale = 100 / np.log(film.permittivity)
    quantile = t_factors(film.freedom)
    own = film.lg_deviation * np.log(10)
    of_dry = np.maximum(fits.ln_dry.high - fits.ln_dry.value, fits.ln_dry.value - fits.ln_dry.low)
    half = np.where(
        extrapolated, np.hypot(quantile * own, of_dry[place]), np.sqrt(2) * quantile * own
    )
    half = np.where(itself | np.isnan(percent), np.nan, scale * half)
    impossible = percent > WHOLE_PERCENT
    names = spectra.keys["measurement"].to_numpy()[first]
    reason = texts(
        [
            own_
            or (NO_DRY if from_dry and not known else "")
            or (f"the first spectrum {name} has no capacitance: {its}" if its and not known else "")
            or (
                f"more than 100 % by volume ({value:.0f} %): it is not water alone that raised the"
                " capacitance"
                if too_much
                else ""
            )
            for own_, its, name, known, value, too_much in zip(
                film.reason,
                film.reason[first],
                names,
                extrapolated,
                percent,
                impossible,
                strict=True,
            )
        ]
    )
    percent, half = np.where(impossible, np.nan, percent), np.where(impossible, np.nan, half)
    open_ = scale * np.log1p(film.too_high)
    too_high = np.where(np.isnan(percent) | itself, 0.0, open_)
    too_low = np.where(np.isnan(percent) | itself | extrapolated, 0.0, open_[first])
    return Uptake(
        percent,
        half / quantile,
        percent - half - too_high,
        percent + half + too_low,
        too_high,
        too_low,
        first,
        from_dry,
        fits,
        reason,
    )


def fits_of_places(spectra: Spectra, film: FilmCapacitances) -> FickFits:
    """Return the courses by Fick's law, by the number of the place; repeats are averaged."""
    places = int(spectra.place.max(initial=-1)) + 1
    hours = spectra.keys["exposure_h"].to_numpy(dtype=np.float64)
    good = np.isfinite(hours) & np.isfinite(film.f_cm2)
    table = pd.DataFrame(
        {
            "place": spectra.place[good],
            "hours": hours[good],
            "ln": np.log(film.f_cm2[good]),
            "variance": (film.lg_deviation[good] * np.log(10)) ** 2,
        }
    )
    by_exposure = table.groupby(["place", "hours"], sort=True)
    means = by_exposure.agg({"ln": "mean", "variance": "mean"}).reset_index()
    repeats = by_exposure.size().to_numpy()
    place = means["place"].to_numpy(dtype=np.int64)
    count = np.bincount(place, minlength=places)
    column = np.arange(len(place)) - (np.cumsum(count) - count)[place]
    shape = (places, int(count.max(initial=1)))
    at, ln = np.full(shape, np.nan), np.full(shape, np.nan)
    at[place, column] = means["hours"].to_numpy(dtype=np.float64)
    ln[place, column] = means["ln"].to_numpy(dtype=np.float64)
    variance = np.nan_to_num(means["variance"].to_numpy(dtype=np.float64)) / repeats
    least = np.bincount(place, variance, minlength=places) / np.maximum(count, 1)
    return fit_fick(at, ln, least)


def uptake_flags(
    spectra: Spectra, uptake: Uptake, temperature_c: Floats, dry_until_h: float
) -> Texts:
    """Return the known limits that a water uptake runs into, a text each.

    Of one against the dry film there are none where it is not determinable.
    """
    permittivity = water_permittivity(temperature_c)
    of_first = spectra.keys["exposure_h"].to_numpy()[uptake.first]
    told = np.isfinite(uptake.percent)
    itself = (uptake.first == np.arange(len(spectra))) & (not uptake.from_dry)
    against_first = ~itself & (not uptake.from_dry)
    failed = np.array(["Kramers-Kronig" in text for text in spectra.flags], dtype=bool)
    wet = against_first & (of_first > dry_until_h)
    too_low = _how_much_too_low(spectra, uptake, permittivity, of_first, against_first)
    told_from = 100 * np.log1p(OPEN_TOLD) / np.log(permittivity)
    listed: list[list[str]] = [[] for _ in range(len(spectra))]
    cases: tuple[tuple[Bools, str], ...] = (
        (itself, "the first spectrum: zero by definition"),
        (wet, "the film was wet already at the first spectrum, {first:g} h: too low"),
        (too_low != "", "{low}"),
        (
            failed[uptake.first] & against_first,
            "the first spectrum fails the Kramers-Kronig test",
        ),
        (
            uptake.percent > UPTAKE_SMALL_PERCENT,
            f"above {UPTAKE_SMALL_PERCENT:g} %: no small uptake; swelling and pores count as water",
        ),
        ((uptake.percent < 0) & ~itself, "the capacitance fell: no uptake of water"),
        (
            uptake.too_high > told_from,
            "up to {over:.2g} % by volume too high: how much of Z' is the film's is not known",
        ),
        (
            uptake.too_low > told_from,
            (
                "up to {under:.2g} % by volume too low: how much of Z' of the first spectrum is the"
                " film's is not known"
            ),
        ),
        (np.isnan(temperature_c) & ~itself & (told | (not uptake.from_dry)), UNKNOWN),
    )
    for holds, text in cases:
        for n in np.flatnonzero(holds):
            over, under = uptake.too_high[n], uptake.too_low[n]
            listed[n].append(text.format(first=of_first[n], low=too_low[n], over=over, under=under))
    return texts(["; ".join(one) for one in listed])


def _thickness_um(keys: pd.DataFrame) -> Floats:
    """Return the thickness, NaN where there is none that a film can have."""
    found = keys["thickness_um"].to_numpy(dtype=np.float64)
    return np.asarray(np.where((found >= THINNEST_UM) & (found <= THICKEST_UM), found, np.nan))


def _how_much_too_low(
    spectra: Spectra, uptake: Uptake, permittivity: Floats, of_first: Floats, where: Bools
) -> Texts:
    """Return by how much an uptake against the first spectrum is too low, a text each.

    Only where it is one; else, and where it is none too low, an empty one.
    """
    place, fits = spectra.place, uptake.fits
    of_first = np.where(where & (of_first > 0) & (of_first < MOST_H), of_first, 0.0)
    if not of_first.any():
        return texts([""] * len(spectra))
    rate, rise = fits.rate_per_h.value[place], fits.rise.value[place]
    by_course = 100 * rise * share_taken_up(np.nan_to_num(rate * of_first)) / np.log(permittivity)
    thickness = _thickness_um(spectra.keys)
    cm2 = (thickness / UM_PER_CM) ** 2
    least, most = (
        share_taken_up(np.nan_to_num(one * SECONDS_PER_HOUR * of_first / cm2))
        for one in DIFFUSION_CM2_S
    )
    slow, fast = DIFFUSION_CM2_S
    listed = []
    for hour, course, known, a, b, um in zip(
        of_first, by_course, fits.shows_saturation[place], least, most, thickness, strict=True
    ):
        if not hour > 0:
            listed.append("")
        elif known:
            listed.append(
                f"too low by about {course:.1f} % by volume, taken up by the first spectrum,"
                f" {hour:g} h (Fick's law through the course)"
            )
        elif np.isnan(um):
            listed.append(
                f"no thickness: how much was taken up by the first spectrum, {hour:g} h, is not"
                " known"
            )
        elif b < WORTH_TELLING:
            listed.append("")
        else:
            listed.append(
                f"too low by {100 * a:.0f} to {100 * b:.0f} % of what {um:.0f} um take up, if water"
                f" diffuses at {slow:g} to {fast:g} cm2/s: the first spectrum is of {hour:g} h"
            )
    return texts(listed)


def uptake_rows(
    spectra: Spectra,
    film: FilmCapacitances,
    temperature_c: Floats,
    choices: ImpedanceChoices,
    whence: Texts,
) -> pd.DataFrame:
    """Return the results of this module.

    water_uptake and water_uptake_from_dry (% by volume), a row a spectrum; water_saturation (% by
    volume), water_diffusion (cm2/s) and dry_capacitance (F/cm2), a row a panel and spot; saturation
    and diffusion of a batch over its panels, with an empty panel.
    """
    if not len(spectra):
        return together([])
    fits = fits_of_places(spectra, film)
    condition = f"{choices.capacitance_frequency_hz:g} Hz"
    of_water = permittivity_said(temperature_c, spectra.keys["temperature_c"].notna().to_numpy())
    parts = []
    for quantity, from_dry, c0 in (
        ("water_uptake", False, "C0 of the first spectrum of panel and spot"),
        ("water_uptake_from_dry", True, "C0 of the dry film, extrapolated by Fick's law"),
    ):
        uptake = water_uptake(spectra, film, fits, from_dry=from_dry)
        flags = uptake_flags(spectra, uptake, temperature_c, choices.dry_until_h)
        parts.append(
            rows_of(
                spectra,
                quantity,
                uptake.percent,
                "% by volume",
                reason=uptake.reason,
                flags=flags,
                condition=condition,
                standard_error=uptake.standard_error,
                low=uptake.low,
                high=uptake.high,
                method=[
                    f"{METHOD}, {c0} {CITED}; {eps}; evenly spread water, no swelling; {error}"
                    for eps, error in zip(of_water, whence, strict=True)
                ],
            )
        )
    return together([*parts, *_place_rows(spectra, film, fits, condition)])


def _place_rows(
    spectra: Spectra, film: FilmCapacitances, fits: FickFits, condition: str
) -> list[pd.DataFrame]:
    place = spectra.place
    at = np.flatnonzero(~pd.Series(place).duplicated().to_numpy())
    at = at[np.argsort(place[at])]
    keys = spectra.keys.loc[at, ["batch", "panel", "system", "spot", "thickness_um"]].reset_index(
        drop=True
    )
    used = np.isfinite(film.f_cm2) & np.isfinite(spectra.keys["exposure_h"].to_numpy())
    n = np.bincount(place[used], minlength=len(at))
    cm2 = (_thickness_um(keys) / UM_PER_CM) ** 2
    unknown = np.isnan(cm2)
    open_ = "the exposures do not show how the uptake ends, or how it begins"
    why = np.where(np.array(fits.reason) != "", fits.reason, open_).astype(object)
    rate, per = fits.rate_per_h, cm2 / SECONDS_PER_HOUR
    scale = 100 / np.log(film.permittivity[at])
    water = Bounds(fits.rise.value * scale, fits.rise.low * scale, fits.rise.high * scale)
    impossible = water.value > WHOLE_PERCENT
    few = fits.early < EARLY_EXPOSURES
    dry = Bounds(*(np.exp(one) for one in (fits.ln_dry.value, fits.ln_dry.low, fits.ln_dry.high)))
    diffusion = Bounds(rate.value * per, rate.low * per, rate.high * per)
    saturation = water.only(~impossible)
    conditions = [f"{condition}; spot {one}" if one else condition for one in keys["spot"]]
    shared = {"condition": conditions, "n": n, "flags": _place_flags(spectra, film, used, at)}
    by_fick = "Fick's law, film on metal; interval by profile"
    return [
        _bound_rows(
            "water_saturation",
            keys,
            saturation,
            "% by volume",
            np.where(impossible, "more than 100 % by volume: it is not water alone", why),
            method=f"{by_fick} {CITED}",
            **shared,
        ),
        _bound_rows(
            "water_diffusion",
            keys,
            diffusion,
            "cm2/s",
            np.where(unknown & fits.shows_saturation, "no thickness", why),
            method=f"{by_fick}; the thickness taken as known",
            **shared,
        ),
        _bound_rows(
            "dry_capacitance",
            keys,
            dry.only(~few),
            "F/cm2",
            np.where(np.array(fits.reason) != "", fits.reason, "fewer than three early exposures"),
            method=by_fick,
            **shared,
        ),
        *_batch_rows(keys, saturation, diffusion, condition),
    ]


def _place_flags(spectra: Spectra, film: FilmCapacitances, used: Bools, at: Integers) -> list[str]:
    """Return what is told of some spectra of each place, with how many they are."""
    place = spectra.place
    failed = np.array(["Kramers-Kronig" in text for text in spectra.flags], dtype=bool)
    n = np.bincount(place[used], minlength=len(at))
    told: list[list[str]] = [[] for _ in at]
    for where, text in (
        (failed, "fails the Kramers-Kronig test"),
        (film.too_high > OPEN_TOLD, OPEN),
    ):
        some = np.bincount(place[where & used], minlength=len(at))
        for one in np.flatnonzero(some):
            told[one].append(f"{some[one]} of {n[one]} spectra: {text}")
    return ["; ".join(one) for one in told]


def _bound_rows(
    quantity: str,
    keys: pd.DataFrame,
    found: Bounds,
    unit: str,
    reason: Texts,
    **more: object,
) -> pd.DataFrame:
    none = ~np.isfinite(found.value)
    kept = np.where(none, np.nan, 1.0)
    return results(
        quantity,
        keys[["batch", "panel"]],
        found.value,
        unit,
        low=found.low * kept,
        high=found.high * kept,
        reason=np.where(none, reason, ""),
        **more,
    )


def _batch_rows(
    keys: pd.DataFrame, saturation: Bounds, diffusion: Bounds, condition: str
) -> list[pd.DataFrame]:
    """Return mean saturation and geometric mean diffusion over the panels of each batch."""
    panel = codes(keys, ("batch", "panel"))
    first = np.flatnonzero(~pd.Series(panel).duplicated().to_numpy())
    batch = codes(keys.loc[first], ("batch", "system"))
    batches = keys.loc[first, ["batch", "system"]].reset_index(drop=True)
    names = batches[~pd.Series(batch).duplicated().to_numpy()].reset_index(drop=True)
    whole = np.bincount(batch, minlength=len(names))
    rows = []
    for quantity, one, unit, by_logs in (
        ("water_saturation", saturation, "% by volume", False),
        ("water_diffusion", diffusion, "cm2/s", True),
    ):
        values = np.log(one.value) if by_logs else one.value
        of_panels = mean_of_groups(values, panel, len(first)).value
        mean = mean_of_groups(of_panels, batch, len(names))
        ends = [mean.value, mean.low, mean.high]
        value, low, high = (np.exp(end) for end in ends) if by_logs else ends
        rows.append(
            results(
                quantity,
                names,
                value,
                unit,
                low=low,
                high=high,
                n=mean.n,
                condition=condition + names["system"],
                method=f"{'geometric mean' if by_logs else 'mean'} of panels, t interval over"
                " panels",
                reason=np.where(np.isnan(value), "no panel with one", ""),
                flags=[
                    f"{all_ - n} of {all_} panels without one" if 0 < n < all_ else ""
                    for n, all_ in zip(mean.n, whole, strict=True)
                ],
            )
        )
    return rows
