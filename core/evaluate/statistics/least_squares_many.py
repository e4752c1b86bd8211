r"""Least squares by Levenberg and Marquardt, for many small problems of one model at a time.

Each problem has its own parameters within bounds. All problems take their steps together, so that
a fit costs a few calls of numpy for each step, however many problems there are.

.. math:: (J^T J + \lambda D^2)\, s = -J^T r, \qquad \chi^2 = r^T r

The scale D is the largest norm each column of J has had (More, in Lecture Notes in Mathematics 630
(1978) 105); lambda follows the gain of the last step (Nielsen, report IMM-REP-1999-05, Technical
University of Denmark). A parameter at a bound rests while the gradient pushes it outward; a step
beyond a bound ends on it (gradient projection; Bertsekas, SIAM J. Control Optim. 20 (1982) 221).
Sources from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiecoat.evaluate.statistics.fit_statistics import gauss_newton_step, inverse_root

Floats: TypeAlias = NDArray[np.float64]
Integers: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]

# (parameters (k, p), which problems (k,)) -> residuals (k, m), their derivatives (k, p, m)
Model: TypeAlias = Callable[[Floats, Integers], tuple[Floats, Floats]]

FIRST_DAMPING = 1e-2
HEAVY_DAMPING = 1.0  # above it a step is short for that reason alone
LEAST_DAMPING = 1e-15
SINGULAR_DAMPING = 1e-8
MOST_DAMPING = 1e12
MOST_TURNS = 4  # solutions for one step, when some of it ends at bounds
SETTLED_OFFSET = 1e-3  # relative offset: Bates and Watts, Technometrics 23 (1981) 179, from memory
SKETCH_TOLERANCE = 1e-4


@dataclass(frozen=True)
class Fit:
    """What the fits of n problems with p parameters gave.

    Parameters
    ----------
    parameters
        Shape (n, p).
    chi_square
        Sum of the squared residuals, shape (n,).
    root
        Shape (n, p, p): the inverse of J^T J is root root^T. Rows and columns of a parameter at a
        bound are 0.
    free
        Shape (n, p): not held by a bound.
    settled
        Shape (n,): the gradient vanishes but for a thousandth of what the noise leaves open.
    steps
        Shape (n,): how many steps were tried.
    """

    parameters: Floats
    chi_square: Floats
    root: Floats
    free: Bools
    settled: Bools
    steps: Integers

    @property
    def inverse(self) -> Floats:
        """(n, p, p) inverse of J^T J: the covariance for residuals of variance 1."""
        found: Floats = self.root @ self.root.transpose(0, 2, 1)
        return found


@dataclass(frozen=True)
class _Room:
    """Bounds of the parameters, and how far one step may go; (n, p) each."""

    low: Floats
    high: Floats
    longest: Floats

    def of(self, who: Integers) -> _Room:
        """Return the room of some problems."""
        return _Room(self.low[who], self.high[who], self.longest[who])


class _Standing:
    """Where every problem stands."""

    def __init__(self, model: Model, start: Floats) -> None:
        count = len(start)
        self.parameters = start.copy()
        self.chi_square = np.empty(count)
        self.gradient = np.empty_like(start)
        self.curvature = np.empty((count, start.shape[1], start.shape[1]))
        self.scale = np.zeros_like(start)
        self.damping = np.full(count, FIRST_DAMPING)
        self.growth = np.full(count, 2.0)
        self.steps = np.zeros(count, dtype=np.int64)
        self.idle = np.zeros(count, dtype=np.bool_)  # the last step promised nothing
        everyone = np.arange(count)
        self.take(everyone, start, *model(start, everyone))

    def take(self, who: Integers, parameters: Floats, residuals: Floats, slopes: Floats) -> None:
        """Stand at new parameters."""
        self.parameters[who] = parameters
        self.chi_square[who] = np.einsum("km,km->k", residuals, residuals)
        self.gradient[who] = np.matmul(slopes, residuals[:, :, None])[:, :, 0]
        curvature = np.matmul(slopes, slopes.transpose(0, 2, 1))
        self.curvature[who] = curvature
        norms = np.sqrt(np.einsum("kpp->kp", curvature))
        self.scale[who] = np.maximum(self.scale[who], norms)


def least_squares(
    model: Model,
    start: ArrayLike,
    low: ArrayLike,
    high: ArrayLike,
    *,
    largest_step: ArrayLike = np.inf,
    most_steps: int = 200,
    tolerance: float = 1e-10,
) -> Fit:
    r"""Minimise the sum of squares of every problem.

    Parameters
    ----------
    model
        Gets the parameters of some problems, shape (k, p), and which ones these are, shape (k,).
        Returns their residuals, shape (k, m), and the derivatives of these, shape (k, p, m). The
        residuals of points that a problem lacks are 0. Where it returns numbers that are not
        finite, the step is taken back.
    start, low, high
        Shape (n, p), or what broadcasts to it. `start` is moved to within the bounds.
    largest_step
        By how much a parameter may change in one step, shape (p,): keeps a first step from a poor
        start out of regions where nothing changes any more.
    most_steps
        Steps tried before a problem is left as it is.
    tolerance
        A problem is done when the next step would lower its sum of squares by less than this
        share.

    Raises
    ------
    ValueError
        If a bound is not a number or above its partner, or the model is not finite at the start.

    Examples
    --------
    y = b x through (1, 2) and (2, 4):

    >>> x, y = np.array([1.0, 2.0]), np.array([2.0, 4.0])
    >>> def line(b, which):
    ...     return b * x - y, np.broadcast_to(x, (len(b), 1, 2))
    >>> least_squares(line, [[0.5]], -np.inf, np.inf).parameters.round(9).tolist()
    [[2.0]]
    """
    start = np.atleast_2d(np.asarray(start, dtype=float))
    low = np.broadcast_to(np.asarray(low, dtype=float), start.shape)
    high = np.broadcast_to(np.asarray(high, dtype=float), start.shape)
    if not (low <= high).all():
        raise ValueError("a lower bound is above its upper bound, or one of them is not a number")
    room = _Room(low, high, np.broadcast_to(np.asarray(largest_step, dtype=float), start.shape))
    state = _Standing(model, np.clip(start, low, high))
    if not np.isfinite(state.chi_square).all():
        raise ValueError("the model is not finite at the start")
    active = np.arange(len(start))
    for _ in range(most_steps):
        if not active.size:
            break
        done = _step(model, state, active, room.of(active), tolerance)
        active = active[~done]
    return _finish(model, state, room)


def _held(state: _Standing, who: Integers, room: _Room) -> Bools:
    """Which parameters rest at a bound."""
    parameters, gradient = state.parameters[who], state.gradient[who]
    at_low = (parameters <= room.low) & (gradient >= 0)
    at_high = (parameters >= room.high) & (gradient <= 0)
    held: Bools = np.asarray(at_low | at_high | (room.low == room.high), dtype=np.bool_)
    return held


def _step(model: Model, state: _Standing, who: Integers, room: _Room, tolerance: float) -> Bools:
    """Try one step of some problems; return which of them are done."""
    trial, cut = _damped_step(state, who, room)
    step = trial - state.parameters[who]
    bend = np.matmul(state.curvature[who], step[:, :, None])[:, :, 0]
    promised = -np.einsum("kp,kp->k", step, 2 * state.gradient[who] + bend)
    chi_square = state.chi_square[who]
    residuals, slopes = model(trial, who)
    with np.errstate(over="ignore", invalid="ignore"):
        found = np.einsum("km,km->k", residuals, residuals)
    rounding = 1e-14 * chi_square
    better = np.isfinite(found) & (found <= chi_square + rounding) & (promised > 0)
    better &= np.isfinite(slopes).all(axis=(1, 2))
    with np.errstate(divide="ignore", invalid="ignore"):
        gain = np.where(promised > rounding, (chi_square - found) / promised, 1.0)
    small = np.abs(promised) <= tolerance * chi_square
    small &= state.damping[who] <= HEAVY_DAMPING
    done = small & (~cut | state.idle[who])  # a step that a bound cut short says little
    state.idle[who] = small
    state.steps[who] += 1
    if better.all():
        state.take(who, trial, residuals, slopes)
    else:
        state.take(who[better], trial[better], residuals[better], slopes[better])
    _adapt_damping(state, who, better, gain)
    ended: Bools = np.asarray(done | (state.damping[who] > MOST_DAMPING), dtype=np.bool_)
    return ended


def _damped_step(state: _Standing, who: Integers, room: _Room) -> tuple[Floats, Bools]:
    """Return the parameters after a step by the damped normal equations, and whether it was cut.

    What would step over a bound is set upon it, and the others are solved for again with that.
    """
    parameters = state.parameters[who]
    scale = state.scale[who]
    scale = np.where(scale > 0, scale, 1.0)
    gradient = state.gradient[who] / scale
    matrix = state.curvature[who] / (scale[:, :, None] * scale[:, None, :])
    step = np.zeros_like(parameters)  # of scaled parameters
    fixed = _held(state, who, room)
    cut = np.zeros(len(who), dtype=np.bool_)
    lowest = np.maximum(room.low - parameters, -room.longest) * scale
    highest = np.minimum(room.high - parameters, room.longest) * scale
    left = np.arange(len(who))
    for _ in range(MOST_TURNS):
        step[left] = _solve(
            matrix[left], gradient[left], state.damping[who[left]], fixed[left], step[left]
        )
        over = ~fixed[left] & ((step[left] < lowest[left]) | (step[left] > highest[left]))
        fixed[left] |= over
        step = np.clip(step, lowest, highest)
        left = left[over.any(axis=1)]
        cut[left] = True
        if not left.size:
            break
    trial = np.clip(parameters + step / scale, room.low, room.high)
    # exactly on the bound, or it would not be held there
    trial = np.where(step <= (room.low - parameters) * scale, room.low, trial)
    trial = np.where(step >= (room.high - parameters) * scale, room.high, trial)
    return trial, cut


def _solve(matrix: Floats, gradient: Floats, damping: Floats, fixed: Bools, step: Floats) -> Floats:
    """Return the damped step of what is not fixed, given the step of what is."""
    given = np.where(fixed, step, 0.0)
    right = -gradient - np.matmul(matrix, given[:, :, None])[:, :, 0]
    right = np.where(fixed, given, right)
    free = ~fixed
    damped = matrix * (free[:, :, None] & free[:, None, :])
    diagonal = np.einsum("kpp->kp", damped)
    diagonal += np.where(fixed, 1.0, damping[:, None])
    try:
        solved = np.linalg.solve(damped, right[:, :, None])
    except np.linalg.LinAlgError:  # one of them damped by less than rounding
        diagonal += SINGULAR_DAMPING
        solved = np.linalg.solve(damped, right[:, :, None])
    found: Floats = np.asarray(solved[:, :, 0], dtype=np.float64)
    return found


def _adapt_damping(state: _Standing, who: Integers, better: Bools, gain: Floats) -> None:
    """Less damping after a good step, more and ever more after bad ones (Nielsen)."""
    damping, growth = state.damping[who], state.growth[who]
    with np.errstate(over="ignore", invalid="ignore"):
        easing = np.maximum(1 / 5, 1 - (2 * gain - 1) ** 3)
    state.damping[who] = np.where(
        better, np.maximum(damping * easing, LEAST_DAMPING), damping * growth
    )
    state.growth[who] = np.where(better, 2.0, growth * 2)


def _finish(model: Model, state: _Standing, room: _Room) -> Fit:
    """Take one last step by the triangular factor of J, and derive the errors there.

    That factor sees the digits which J^T J, its square, has lost.
    """
    everyone = np.arange(len(state.parameters))
    residuals, slopes = model(state.parameters, everyone)
    free = ~_held(state, everyone, room)
    settled = _settled(state, inverse_root(slopes, free), free)
    trial = state.parameters + gauss_newton_step(residuals, slopes, free)
    better = settled & np.isfinite(trial).all(axis=1)
    trial = np.where(better[:, None], np.clip(trial, room.low, room.high), state.parameters)
    residuals, slopes_there = model(trial, everyone)
    with np.errstate(over="ignore", invalid="ignore"):
        found = np.einsum("km,km->k", residuals, residuals)
    better &= found <= state.chi_square * (1 + SETTLED_OFFSET**2)  # its own digits end before
    better &= np.isfinite(slopes_there).all(axis=(1, 2))
    state.take(everyone[better], trial[better], residuals[better], slopes_there[better])
    slopes = np.where(better[:, None, None], slopes_there, slopes)
    free = ~_held(state, everyone, room)
    root = inverse_root(slopes, free)
    settled = _settled(state, root, free)
    return Fit(state.parameters, state.chi_square, root, free, settled, state.steps)


def _settled(state: _Standing, root: Floats, free: Bools) -> Bools:
    """Which problems have a gradient that vanishes but for a thousandth of the noise."""
    gradient = np.where(free, state.gradient, 0.0)
    decrement = ((root.transpose(0, 2, 1) @ gradient[:, :, None]) ** 2).sum(axis=(1, 2))
    settled: Bools = decrement <= SETTLED_OFFSET**2 * state.chi_square
    return settled


def best_of_starts(
    model: Model,
    sketch: Model,
    starts: Floats,
    low: Floats,
    high: Floats,
    *,
    largest_step: ArrayLike = np.inf,
    sketch_steps: int = 15,
    most_steps: int = 200,
    tolerance: float = 1e-10,
) -> Fit:
    """Fit from several starts: all of them roughly, then the best of each problem to the end.

    Parameters
    ----------
    model, sketch
        As for `least_squares`; the sketch may be the same model with fewer points.
    starts
        Shape (n, s, p).
    low, high
        Shape (n, p).
    sketch_steps
        Steps of every start with the sketch.
    largest_step, most_steps, tolerance
        As for `least_squares`; steps and tolerance are those of the last run.
    """
    count, several, size = starts.shape
    owner = np.repeat(np.arange(count), several)
    rough = least_squares(
        lambda parameters, which: sketch(parameters, owner[which]),
        starts.reshape(-1, size),
        low[owner],
        high[owner],
        largest_step=largest_step,
        most_steps=sketch_steps,
        tolerance=SKETCH_TOLERANCE,
    )
    best = rough.chi_square.reshape(count, several).argmin(axis=1)
    return least_squares(
        model,
        rough.parameters.reshape(count, several, size)[np.arange(count), best],
        low,
        high,
        largest_step=largest_step,
        most_steps=most_steps,
        tolerance=tolerance,
    )
