r"""Equivalent circuits of a coated panel in salt water: impedance and its derivatives.

| circuit | diagram | when |
| --- | --- | --- |
| blocking film | Rs + Q | no plateau within the frequencies measured |
| intact film, ideal | Rs + (R || C) | one resistive plateau, an ideal capacitor |
| intact film | Rs + (R || Q) | the same with a constant-phase element |
| film with pores | Rs + (Q || (Rp + (Qd || Rt))) | the steel below the pores shows as well |
| relaxing film | Rs + (R || Q || D) | the permittivity of the film itself rises once more |
| pores with diffusion | Rs + (Q || (Rp + (Qd || (Rt + W)))) | the steel waits for what diffuses |
| pores with finite diffusion | the same | which it does through a layer |

Rs is the electrolyte, R or Rp the film or its pores, Q the film's constant-phase element, Qd the
double layer at the ground of the pores, Rt the charge transfer there. A constant-phase element has

.. math:: Z_Q = \frac{1}{Q (i \omega)^n}, \qquad 0.5 \le n \le 1

(Brug et al., J. Electroanal. Chem. 176 (1984) 275; from memory). A relaxation D of capacitance dC,
i w dC/(1 + (i w tau)^a), is that of Cole and Cole (J. Chem. Phys. 9 (1941) 341); diffusion W
without end is s/(i w)^(1/2) (Warburg, Ann. Phys. 303 (1899) 493), through a layer R tanh(x)/x with
x = (i w tau)^(1/2); all three from memory. The circuits are those in common use for organic
coatings (Mansfeld, J. Appl. Electrochem. 25 (1995) 187; from memory).

Everything here is without dimension: angular frequency over a reference, impedance over a
reference. What is positive is a parameter by its natural logarithm, so that it stays positive and
its error is a relative one; the exponent is a parameter as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]
Response: TypeAlias = tuple[Complexes, Callable[[], Complexes]]

QUARTER_TURN = 0.5j * np.pi  # ln i


@dataclass(frozen=True)
class Circuit:
    """One equivalent circuit.

    Parameters
    ----------
    name, diagram
        For the chemist.
    parameters
        Names in the order of the columns of `response`.
    response
        (parameters, ln_frequency) -> impedance and a function that gives its derivatives.
        `parameters` has a row a spectrum, `ln_frequency` (natural logarithm of the angular
        frequency over its reference) a row a spectrum and a column a point. The impedance has the
        shape of `ln_frequency`; the derivatives have the shape (spectra, parameters, points).
    """

    name: str
    diagram: str
    parameters: tuple[str, ...]
    response: Callable[[Floats, Floats], Response]

    def place(self, parameter: str) -> int:
        """Return the column of a parameter."""
        return self.parameters.index(parameter)

    def is_exponent(self, parameter: str) -> bool:
        """Whether a parameter is the exponent, not a logarithm."""
        return parameter in EXPONENTS


# The coefficient of each constant-phase element and its exponent.
EXPONENT_OF = {
    "coating_cpe_coefficient": "cpe_exponent",
    "double_layer_cpe_coefficient": "double_layer_exponent",
}
RELAXATION_EXPONENT, RELAXATION_CAPACITANCE = "relaxation_exponent", "relaxation_capacitance"
WARBURG_COEFFICIENT = "warburg_coefficient"
EXPONENTS = (*EXPONENT_OF.values(), RELAXATION_EXPONENT)
RESISTANCES = (
    "electrolyte_resistance",
    "pore_resistance",
    "charge_transfer_resistance",
    "diffusion_resistance",
)
TIMES = ("relaxation_time", "diffusion_time")


def admittance(ln_coefficient: Floats, exponent: Floats, ln_frequency: Floats) -> Complexes:
    r"""Return the admittance Q (i w)^n of constant-phase elements.

    Its derivative by ln Q is the admittance itself; that by n is :math:`Y (\ln\omega + i\pi/2)`.

    Parameters
    ----------
    ln_coefficient, exponent
        ln Q and n, one a spectrum.
    ln_frequency
        Shape (spectra, points).

    Examples
    --------
    >>> y = admittance(np.array([0.0]), np.array([1.0]), np.array([[0.0]]))
    >>> complex(y[0, 0].round(12))  # a capacitor
    1j
    """
    size = np.exp(ln_coefficient[:, None] + exponent[:, None] * ln_frequency)
    value: Complexes = size * np.exp(QUARTER_TURN * exponent)[:, None]
    return value


def blocking_film(parameters: Floats, ln_frequency: Floats) -> Response:
    """Return the response of Rs + Q; parameters ln Rs, ln Q, n."""
    ln_rs, ln_q, exponent = parameters.T
    film_z = 1 / admittance(ln_q, exponent, ln_frequency)
    rs = np.exp(ln_rs)[:, None]

    def derivatives() -> Complexes:
        found = _empty(parameters, ln_frequency)
        found[:, 0] = rs
        found[:, 1] = -film_z
        found[:, 2] = found[:, 1] * (ln_frequency + QUARTER_TURN)
        return found

    return rs + film_z, derivatives


def intact_film(parameters: Floats, ln_frequency: Floats) -> Response:
    """Return the response of Rs + (R || Q); parameters ln Rs, ln R, ln Q, n."""
    ln_rs, ln_r, ln_q, exponent = parameters.T
    film = admittance(ln_q, exponent, ln_frequency)
    leak, rs = np.exp(-ln_r)[:, None], np.exp(ln_rs)[:, None]
    parallel = 1 / (film + leak)

    def derivatives() -> Complexes:
        found = _empty(parameters, ln_frequency)
        square = parallel * parallel
        found[:, 0] = rs
        found[:, 1] = square * leak
        found[:, 2] = -square * film
        found[:, 3] = found[:, 2] * (ln_frequency + QUARTER_TURN)
        return found

    return rs + parallel, derivatives


def ideal_film(parameters: Floats, ln_frequency: Floats) -> Response:
    """Return the response of Rs + (R || C); parameters ln Rs, ln R, ln C."""
    with_exponent = np.column_stack([parameters, np.ones(len(parameters))])
    impedance, derivatives = intact_film(with_exponent, ln_frequency)
    return impedance, lambda: np.ascontiguousarray(derivatives()[:, :3])


def film_with_pores(parameters: Floats, ln_frequency: Floats) -> Response:
    """Return the response of Rs + (Q || (Rp + (Qd || Rt))).

    Parameters ln Rs, ln Rp, ln Q, n, ln Qd, nd, ln Rt.
    """
    ln_rs, ln_rp, ln_q, exponent, ln_qd, exponent_d, ln_rt = parameters.T
    film = admittance(ln_q, exponent, ln_frequency)
    layer = admittance(ln_qd, exponent_d, ln_frequency)
    rs, rp = np.exp(ln_rs)[:, None], np.exp(ln_rp)[:, None]
    leak = np.exp(-ln_rt)[:, None]
    ground = 1 / (layer + leak)  # the steel at the ground of the pores
    share = 1 / (1 + film * (rp + ground))  # of the current that takes the pores
    parallel = (rp + ground) * share

    def derivatives() -> Complexes:
        found = _empty(parameters, ln_frequency)
        turned = ln_frequency + QUARTER_TURN
        by_branch = share * share
        by_ground = by_branch * (ground * ground)
        found[:, 0] = rs
        found[:, 1] = by_branch * rp
        found[:, 2] = -(parallel * parallel) * film
        found[:, 3] = found[:, 2] * turned
        found[:, 4] = -by_ground * layer
        found[:, 5] = found[:, 4] * turned
        found[:, 6] = by_ground * leak
        return found

    return rs + parallel, derivatives


def relaxing_film(parameters: Floats, ln_frequency: Floats) -> Response:
    """Return the response of Rs + (R || Q || relaxation).

    Parameters ln Rs, ln R, ln Q, n, ln dC, ln tau, a; the admittance of the relaxation is
    i w dC/(1 + (i w tau)^a).
    """
    ln_rs, ln_r, ln_q, exponent, ln_c, ln_tau, width = parameters.T
    film = admittance(ln_q, exponent, ln_frequency)
    leak, rs = np.exp(-ln_r)[:, None], np.exp(ln_rs)[:, None]
    turn = admittance(width * ln_tau, width, ln_frequency)
    relaxation = admittance(ln_c, np.ones_like(ln_c), ln_frequency) / (1 + turn)
    parallel = 1 / (film + leak + relaxation)

    def derivatives() -> Complexes:
        found = _empty(parameters, ln_frequency)
        square = -parallel * parallel
        by_turn = -relaxation * turn / (1 + turn)
        turned = ln_frequency + QUARTER_TURN
        found[:, 0] = rs
        found[:, 1] = -square * leak
        found[:, 2] = square * film
        found[:, 3] = found[:, 2] * turned
        found[:, 4] = square * relaxation
        found[:, 5] = square * by_turn * width[:, None]
        found[:, 6] = square * by_turn * (ln_tau[:, None] + turned)
        return found

    return rs + parallel, derivatives


def pores_with_diffusion(parameters: Floats, ln_frequency: Floats) -> Response:
    """Return the response of Rs + (Q || (Rp + (Qd || (Rt + W)))).

    Parameters ln Rs, ln Rp, ln Q, n, ln Qd, nd, ln Rt, ln s; W = s/(i w)^(1/2).
    """
    half = np.full(len(parameters), 0.5)
    slow = 1 / admittance(-parameters[:, 7], half, ln_frequency)
    return _pores_before(parameters, ln_frequency, slow, (slow,))


def pores_with_finite_diffusion(parameters: Floats, ln_frequency: Floats) -> Response:
    """Return the response of the same with W = Rw tanh(x)/x, x = (i w tau)^(1/2).

    Parameters ln Rs, ln Rp, ln Q, n, ln Qd, nd, ln Rt, ln Rw, ln tau.
    """
    half = np.full(len(parameters), 0.5)
    x = admittance(parameters[:, 8] / 2, half, ln_frequency)
    size, tanh = np.exp(parameters[:, 7])[:, None], np.tanh(x)
    slow = size * tanh / x
    return _pores_before(parameters, ln_frequency, slow, (slow, (size * (1 - tanh**2) - slow) / 2))


def _pores_before(
    parameters: Floats, ln_frequency: Floats, slow: Complexes, by_slow: tuple[Complexes, ...]
) -> Response:
    """Return the response of a film with pores whose charge transfer has `slow` in series.

    `by_slow` are the derivatives of it by its own parameters, which follow the seven of the film.
    """
    ln_rs, ln_rp, ln_q, exponent, ln_qd, exponent_d, ln_rt = parameters[:, :7].T
    film = admittance(ln_q, exponent, ln_frequency)
    layer = admittance(ln_qd, exponent_d, ln_frequency)
    rs, rp, rt = (np.exp(one)[:, None] for one in (ln_rs, ln_rp, ln_rt))
    faradaic = rt + slow
    ground = 1 / (layer + 1 / faradaic)
    share = 1 / (1 + film * (rp + ground))
    parallel = (rp + ground) * share

    def derivatives() -> Complexes:
        found = _empty(parameters, ln_frequency)
        turned = ln_frequency + QUARTER_TURN
        by_branch = share * share
        by_ground = by_branch * (ground * ground)
        by_faradaic = by_ground / (faradaic * faradaic)
        found[:, 0] = rs
        found[:, 1] = by_branch * rp
        found[:, 2] = -(parallel * parallel) * film
        found[:, 3] = found[:, 2] * turned
        found[:, 4] = -by_ground * layer
        found[:, 5] = found[:, 4] * turned
        found[:, 6] = by_faradaic * rt
        for place, one in enumerate(by_slow, 7):
            found[:, place] = by_faradaic * one
        return found

    return rs + parallel, derivatives


def _empty(parameters: Floats, ln_frequency: Floats) -> Complexes:
    return np.empty((*parameters.shape, ln_frequency.shape[1]), dtype=np.complex128)


BLOCKING = Circuit(
    "blocking film",
    "Rs + Q",
    ("electrolyte_resistance", "coating_cpe_coefficient", "cpe_exponent"),
    blocking_film,
)
IDEAL = Circuit(
    "intact film, ideal",
    "Rs + (R || C)",
    ("electrolyte_resistance", "pore_resistance", "coating_cpe_coefficient"),
    ideal_film,
)
INTACT = Circuit(
    "intact film",
    "Rs + (R || Q)",
    ("electrolyte_resistance", "pore_resistance", "coating_cpe_coefficient", "cpe_exponent"),
    intact_film,
)
PORES = Circuit(
    "film with pores",
    "Rs + (Q || (Rp + (Qd || Rt)))",
    (
        "electrolyte_resistance",
        "pore_resistance",
        "coating_cpe_coefficient",
        "cpe_exponent",
        "double_layer_cpe_coefficient",
        "double_layer_exponent",
        "charge_transfer_resistance",
    ),
    film_with_pores,
)
RELAXING = Circuit(
    "relaxing film",
    "Rs + (R || Q || D)",
    (*INTACT.parameters, RELAXATION_CAPACITANCE, "relaxation_time", RELAXATION_EXPONENT),
    relaxing_film,
)
DIFFUSION = Circuit(
    "pores with diffusion",
    "Rs + (Q || (Rp + (Qd || (Rt + W))))",
    (*PORES.parameters, WARBURG_COEFFICIENT),
    pores_with_diffusion,
)
FINITE_DIFFUSION = Circuit(
    "pores with finite diffusion",
    "Rs + (Q || (Rp + (Qd || (Rt + W)))), W of a layer",
    (*PORES.parameters, "diffusion_resistance", "diffusion_time"),
    pores_with_finite_diffusion,
)
CIRCUITS = (BLOCKING, IDEAL, INTACT, PORES)  # from few parameters to many, tried on every spectrum
# Tried where these do not suffice: a second relaxation of the film, diffusion below the pores.
DIFFUSING = (DIFFUSION, FINITE_DIFFUSION)
FURTHER = (RELAXING, *DIFFUSING)


def impedance(
    circuit: Circuit, values: dict[str, float], frequency_hz: Floats
) -> NDArray[np.complex128]:
    """Return the impedance of a circuit in ohm cm².

    Parameters
    ----------
    values
        By the circuit's parameter names: resistances in ohm cm², coefficients in s^n/(ohm cm²),
        exponents as they are.
    frequency_hz
        In Hz.

    Examples
    --------
    At the frequency 1 / (2 pi R C) the imaginary part of R || C is half its resistance.

    >>> values = {"electrolyte_resistance": 30.0, "pore_resistance": 1e6,
    ...           "coating_cpe_coefficient": 1e-9 / (2 * np.pi)}
    >>> complex(impedance(IDEAL, values, np.array([1e3]))[0].round(6))
    (500030-500000j)
    """
    row = [
        values[name] if circuit.is_exponent(name) else np.log(values[name])
        for name in circuit.parameters
    ]
    found, _ = circuit.response(np.array([row]), np.log(2 * np.pi * np.asarray(frequency_hz))[None])
    one: Complexes = found[0]
    return one
