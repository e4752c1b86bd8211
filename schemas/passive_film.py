"""What holds of the spectrum of a passive film, whoever measured it, and what contradicts it.

A coated panel under salt water is a passive system: its resistance is above 0, it is capacitive
over most of the sweep, and modulus and phase belong together. A spectrum that breaks this has its
sign lost, its columns swapped, or a digit slipped: it is told, never filed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from tiecoat.plugin import Fault, Reason

if TYPE_CHECKING:
    from numpy.typing import NDArray

LEAST_POINTS = 5
MOST = 0.5  # share of the points
REACTIVE = 0.1  # of the modulus: an imaginary part below says nothing about its sign
REACTIVE_FOR_SURE = 0.3  # of the modulus: no noise turns the sign of such a part
FEW_SIGNS = 3  # points in a row that may have lost it; more are an arc of their own
NEGATIVE = 0.2  # of the modulus: noise of a nearly ideal capacitance may bring it below 0
PHASE_OFF_DEG = 45.0  # between the phase and what the slope of the modulus asks for
_BESIDE = np.array([-3, -2, -1, 1, 2, 3])  # places of the neighbours of a point
SPIKE_OF_MODULUS = 0.45  # of the modulus: no noise of a part comes to that
STRAIGHT_DECADES, SLIP_DECADES = 0.1, 0.15  # neighbours on a line, and a slip off it by ten
_LEAST_STEP = 0.7  # between it and one of those beside it: it is 0.75 at least
SPIKE_DECADES = 0.6  # a film's modulus bends less between neighbours, at 2 points a decade or more


def contradictions(columns: Mapping[str, Any]) -> Iterator[Fault]:
    r"""Say what no passive film shows, each fault at the position of its row.

    Parameters
    ----------
    columns
        frequency_hz, z_real_ohm, z_imag_ohm of one spectrum, shape (n,), in any order; a capacitive
        imaginary part is negative.

    Notes
    -----
    The phase in degrees of a minimum-phase system is nearly 90 times the slope
    :math:`d\lg|Z| / d\lg f` where the slope changes slowly (H. W. Bode, Network Analysis and
    Feedback Amplifier Design, 1945, chapter 14; from memory). The limits are common practice, no
    source.
    """
    frequency, real, imaginary = (
        np.asarray(columns[name], dtype=float)
        for name in ("frequency_hz", "z_real_ohm", "z_imag_ohm")
    )
    modulus = np.hypot(real, imaginary)
    good = np.isfinite(frequency) & (frequency > 0) & np.isfinite(modulus) & (modulus > 0)
    places = np.flatnonzero(good)[np.argsort(frequency[good], kind="stable")]
    sweep = _Sweep(places, *(each[places] for each in (frequency, real, imaginary, modulus)))
    if len(places) > 1:
        yield from _signs(sweep)
    if len(places) < LEAST_POINTS:
        return
    lg_f, lg_z = np.log10(sweep.frequency), np.log10(sweep.modulus)
    yield from _belonging(sweep, lg_f, lg_z)
    yield from _lost_signs(sweep)
    step = np.diff(lg_f)
    if _are_close(step):
        spikes = list(_spikes(sweep, step, lg_z))
        yield from spikes or _spikes_of_parts(sweep)


@dataclass(frozen=True)
class _Sweep:
    """The sound points of a spectrum by rising frequency, and at which place each stood."""

    places: NDArray[np.intp]
    frequency: NDArray[np.float64]
    real: NDArray[np.float64]
    imaginary: NDArray[np.float64]
    modulus: NDArray[np.float64]


def _signs(sweep: _Sweep) -> Iterator[Fault]:
    places, modulus = sweep.places, sweep.modulus
    reactive = np.abs(sweep.imaginary) > REACTIVE * modulus
    if reactive.any() and np.mean(sweep.imaginary[reactive] > 0) > MOST:
        yield Fault(
            Reason.INCONSISTENT,
            int(places.min()),
            "z_imag_ohm",
            "an imaginary part or phase that is inductive at most points",
            "capacitive; if the column has its sign turned, title it -Z'' or -Phase, or teach the "
            "layout with its sign (tiecoat learn)",
        )
    below = places[sweep.real < -NEGATIVE * modulus]
    if len(below) > 0.1 * len(places):
        yield Fault(
            Reason.INCONSISTENT,
            int(below.min()),
            "z_real_ohm",
            f"a real part below 0 at {len(below)} of {len(places)} points",
            "above 0, as of every passive film; see whether columns are swapped",
        )


def _belonging(
    sweep: _Sweep, lg_f: NDArray[np.float64], lg_z: NDArray[np.float64]
) -> Iterator[Fault]:
    if not (np.diff(lg_f) > 0).all():
        return  # repeated frequencies are told elsewhere
    asked = 90 * np.gradient(lg_z, lg_f)
    phase = np.degrees(np.arctan2(sweep.imaginary, sweep.real))
    off = np.abs(np.clip(asked, -90, 90) - phase)
    if (usual := _median(off)) > PHASE_OFF_DEG:
        yield Fault(
            Reason.INCONSISTENT,
            int(sweep.places.min()),
            "z_imag_ohm",
            f"a phase that is {usual:.0f} degrees off what the slope of the modulus asks "
            "for, over most of the sweep",
            "real and imaginary part, or modulus and phase, that belong together; see whether "
            "columns are swapped",
        )


def _lost_signs(sweep: _Sweep) -> Iterator[Fault]:
    """Tell few points that are inductive between capacitive ones, as large as these."""
    part = sweep.imaginary / sweep.modulus
    turned = part > REACTIVE_FOR_SURE
    starts = np.flatnonzero(turned[1:] & ~turned[:-1]) + 1
    for start in starts.tolist():
        rest = np.flatnonzero(~turned[start:])
        stop = start + int(rest[0]) if len(rest) else len(part)
        if stop == len(part) or stop - start > FEW_SIGNS:
            continue
        if part[start - 1] < -REACTIVE_FOR_SURE and part[stop] < -REACTIVE_FOR_SURE:
            first = start + int(sweep.places[start:stop].argmin())
            yield Fault(
                Reason.INCONSISTENT,
                int(sweep.places[first]),
                "z_imag_ohm",
                f"an imaginary part of {sweep.imaginary[first]:.3g} ohm, inductive between"
                " capacitive neighbours",
                "one sign along the sweep; see whether a minus is lost",
            )


def _spikes(sweep: _Sweep, step: NDArray[np.float64], lg_z: NDArray[np.float64]) -> Iterator[Fault]:
    share = step[:-1] / (step[:-1] + step[1:])
    bend = lg_z[1:-1] - (lg_z[:-2] * (1 - share) + lg_z[2:] * share)
    for at in np.flatnonzero(np.abs(bend) > SPIKE_DECADES).tolist():
        neighbours = bend[max(at - 1, 0) : at + 2]
        if abs(bend[at]) < np.abs(neighbours).max():
            continue  # it stands beside the one that is off
        found = f"a modulus of {sweep.modulus[at + 1]:.3g} ohm"
        yield _jump(sweep, at + 1, "z_real_ohm", found, abs(float(bend[at])))


def _spikes_of_parts(sweep: _Sweep) -> Iterator[Fault]:
    """Tell a part that is a decade off between its neighbours while the modulus hides it."""
    least = np.minimum(sweep.modulus[:-2], sweep.modulus[2:])
    for name, part in (("z_real_ohm", sweep.real), ("z_imag_ohm", sweep.imaginary)):
        amount = np.abs(part)
        expected = np.sqrt(amount[:-2] * amount[2:])
        apart = np.abs(amount[1:-1] - expected) > SPIKE_OF_MODULUS * least
        if not apart.any():
            continue
        with np.errstate(divide="ignore", invalid="ignore"):  # a part that is 0, and its neighbour
            decades = np.abs(np.log10(amount[1:-1]) - np.log10(expected))
        for at in np.flatnonzero((decades > SPIKE_DECADES) & apart).tolist():
            found = f"{part[at + 1]:.3g} ohm"
            yield _jump(sweep, at + 1, name, found, float(decades[at]))


def slipped_parts(columns: Mapping[str, Any]) -> Iterator[tuple[int, str]]:
    """Tell a small part that is ten times off while its neighbours lie on a line.

    Noise may do that to a part that hardly shows in the modulus, but not between six neighbours
    that are without any: a remark, not a fault. Common practice, no source.
    """
    frequency = np.asarray(columns["frequency_hz"], dtype=float)
    for places in _sweeps([columns[name] for name in ("panel", "exposure_h", "spot")]):
        order = places[np.argsort(frequency[places], kind="stable")]
        step = np.diff(np.log10(np.where(frequency[order] > 0, frequency[order], np.nan)))
        if len(order) < 2 * LEAST_POINTS or not _are_close(step):
            continue
        for name in ("z_real_ohm", "z_imag_ohm"):
            part = np.asarray(columns[name], dtype=float)[order]
            yield from (
                (int(order[at]), f"{name} {part[at]:.3g} ohm, ten times off its neighbours")
                for at in _off_by_ten(part)
            )


def _sweeps(told: Sequence[NDArray[Any]]) -> list[NDArray[np.intp]]:
    """Return the places of the points of each sweep; mostly all are of one."""
    if all(len(set(values.tolist())) == 1 for values in told):
        return [np.arange(len(told[0]))]
    sweeps: dict[tuple[str, ...], list[int]] = {}
    for at, sweep in enumerate(zip(*(map(str, values) for values in told), strict=True)):
        sweeps.setdefault(sweep, []).append(at)
    return [np.array(places) for places in sweeps.values()]


def _off_by_ten(part: NDArray[np.float64]) -> list[int]:
    """Return where a part is a power of ten off the line through its six neighbours."""
    with np.errstate(divide="ignore", invalid="ignore"):
        lg = np.where(part != 0, np.log10(np.abs(part)), np.nan)
        if not (np.abs(np.diff(lg)) >= _LEAST_STEP).any():
            return []
    reach = len(_BESIDE) // 2
    windows = np.lib.stride_tricks.sliding_window_view(lg, 2 * reach + 1)
    signs = np.lib.stride_tricks.sliding_window_view(np.sign(part), 2 * reach + 1)
    around = windows[:, _BESIDE + reach]
    level = around.mean(axis=1)  # of the least-squares line: its places lie about 0
    slope = around @ _BESIDE / (_BESIDE @ _BESIDE)
    off_line = np.abs(around - (level[:, None] + slope[:, None] * _BESIDE)).max(axis=1)
    slip = np.abs(np.abs(windows[:, reach] - level) - 1)
    one_sign = np.abs(signs.sum(axis=1)) == signs.shape[1]
    # NaN, where a part is zero, compares as False
    slipped = one_sign & (off_line <= STRAIGHT_DECADES) & (slip < SLIP_DECADES)
    return (np.flatnonzero(slipped) + reach).tolist()


def _are_close(step: NDArray[np.float64]) -> bool:
    """Say whether frequencies rise in steps so small that no film jumps between them."""
    return bool((step > 0).all() and _median(step) <= 0.5)


def _median(values: NDArray[np.float64]) -> float:
    """Return the median of numbers without NaN; numpy's own is dear for few of them."""
    ranked, half = np.sort(values), len(values) // 2
    return float((ranked[half] + ranked[-1 - half]) / 2)


def _jump(sweep: _Sweep, at: int, column: str, found: str, decades: float) -> Fault:
    return Fault(
        Reason.INCONSISTENT,
        int(sweep.places[at]),
        column,
        f"{found} at {sweep.frequency[at]:.4g} Hz, {10**decades:.0f} times off its neighbours",
        "a sweep without jumps; see whether a digit slipped",
    )
