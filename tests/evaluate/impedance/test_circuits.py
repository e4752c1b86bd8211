"""Impedances of the circuits and their derivatives."""

from __future__ import annotations

import numpy as np
import pytest
from circuit_spectra import FREQUENCY_HZ, ONES
from circuit_spectra import impedance as plain
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.impedance.circuit_models import (
    BLOCKING,
    CIRCUITS,
    FURTHER,
    IDEAL,
    INTACT,
    PORES,
    Circuit,
    impedance,
)

LN_FREQUENCY = np.linspace(-8, 8, 9)[None]


def places(circuit: Circuit) -> st.SearchStrategy[list[float]]:
    """Parameters of a circuit: logarithms within five decades, exponents within their bounds."""
    return st.tuples(
        *(
            st.floats(0.5, 1.0) if circuit.is_exponent(name) else st.floats(-6, 6)
            for name in circuit.parameters
        )
    ).map(list)


def test_impedance_is_that_of_plain_complex_arithmetic() -> None:
    """Every circuit gives what its diagram, written out, gives."""
    for circuit in CIRCUITS:
        values = ONES[circuit.name]
        expected = plain(circuit.name, values, FREQUENCY_HZ)
        np.testing.assert_allclose(impedance(circuit, values, FREQUENCY_HZ), expected, rtol=1e-12)


@pytest.mark.parametrize("circuit", [*CIRCUITS, *FURTHER], ids=lambda one: one.name)
@given(data=st.data())
def test_derivatives_are_those_of_differences(circuit: Circuit, data: st.DataObject) -> None:
    """Analytic derivatives agree with central differences by every parameter."""
    row = np.array([data.draw(places(circuit))])
    _, derivatives = circuit.response(row, LN_FREQUENCY)
    found = derivatives()
    step = 1e-5
    for place in range(row.shape[1]):
        ends = []
        for way in (1, -1):
            moved = row.copy()
            moved[0, place] += way * step
            ends.append(circuit.response(moved, LN_FREQUENCY)[0][0])
        difference = (ends[0] - ends[1]) / (2 * step)
        # error of the difference: rounding of Z over the step, and the step's square
        size = np.abs(np.array(ends)).max(axis=0)
        allowed = size * 1e-9 + np.abs(difference) * 1e-7
        assert (np.abs(found[0, place] - difference) <= allowed).all()


@given(places(INTACT))
def test_an_exponent_of_one_is_a_capacitor(row: list[float]) -> None:
    """The intact film with n = 1 is the ideal one."""
    row[3] = 1.0
    with_exponent, _ = INTACT.response(np.array([row]), LN_FREQUENCY)
    ideal, _ = IDEAL.response(np.array([row[:3]]), LN_FREQUENCY)
    np.testing.assert_allclose(with_exponent, ideal, rtol=1e-13)


@given(places(INTACT))
def test_without_a_leak_the_film_blocks(row: list[float]) -> None:
    """An immense resistance leaves electrolyte and film in series."""
    row[1] = 200.0
    intact, _ = INTACT.response(np.array([row]), LN_FREQUENCY)
    blocking, _ = BLOCKING.response(np.array([[row[0], row[2], row[3]]]), LN_FREQUENCY)
    np.testing.assert_allclose(intact, blocking, rtol=1e-12)


@given(places(PORES))
def test_a_large_double_layer_shows_the_pores_alone(row: list[float]) -> None:
    """Where the double layer shorts the steel, the film with pores is an intact film."""
    row[4] = 200.0
    pores, _ = PORES.response(np.array([row]), LN_FREQUENCY)
    intact, _ = INTACT.response(np.array([row[:4]]), LN_FREQUENCY)
    np.testing.assert_allclose(pores, intact, rtol=1e-12)


def test_the_ends_of_the_spectrum_are_the_resistances() -> None:
    """At very high frequency the electrolyte is left, at very low one all resistances in series."""
    values = ONES["film with pores"]
    ends = impedance(PORES, values, np.array([1e15, 1e-15]))
    total = sum(values[name] for name in values if name.endswith("resistance"))
    np.testing.assert_allclose(ends.real, [values["electrolyte_resistance"], total], rtol=1e-4)
