"""A wet film after application: whether it sags on a vertical face, how fast its marks level."""

from __future__ import annotations

import math

from tiecoat.evaluate.estimate import Estimate, NotDeterminable

GRAVITY_M_S2 = 9.80665
SMALL_AMPLITUDE = 0.5  # of the film's thickness: above, the linear theory is no guide


def sag_limit_um(yield_stress_pa: Estimate, density_g_cm3: Estimate) -> Estimate:
    """Return the thickest wet film in µm that does not sag on a vertical face.

    .. math:: h = \\frac{\\tau_y}{\\rho g}, \\quad
        \\frac{u^2(h)}{h^2} = \\frac{u^2(\\tau_y)}{\\tau_y^2} + \\frac{u^2(\\rho)}{\\rho^2}

    The shear stress is largest at the substrate, where it carries the weight of the whole film. It
    holds for an even film on a wide vertical face, at once after application: the yield stress is
    that of the flow curve, before the paint dries or rebuilds its structure.

    Parameters
    ----------
    yield_stress_pa
        In Pa, above 0.
    density_g_cm3
        Of the wet paint with its air, in g/cm³, above 0.

    Raises
    ------
    NotDeterminable
        If one of them is not above 0.

    References
    ----------
    Balance of forces, tau = rho g h.

    Examples
    --------
    >>> round(sag_limit_um(Estimate(6.865), Estimate(1.4)).value, 1)
    500.0
    """
    tau, rho = yield_stress_pa, density_g_cm3
    if not (tau.value > 0 and rho.value > 0):
        raise NotDeterminable("a sag limit needs a yield stress and a density above 0")
    value = tau.value / (rho.value * 1000 * GRAVITY_M_S2) * 1e6
    share = math.hypot(tau.standard_error / tau.value, rho.standard_error / rho.value)
    return Estimate(value, value * share, tau.freedom, tau.n)


def levelling_s(
    viscosity_pa_s: float, wavelength_mm: float, film_um: float, surface_tension_mn_m: float
) -> float:
    """Return the time constant in s in which marks in a film level to 1/e, for any wavelength.

    .. math:: t = \\frac{2 \\eta}{\\gamma k} \\,
        \\frac{\\cosh 2kh + 1 + 2 k^2 h^2}{\\sinh 2kh - 2kh}, \\quad k = 2 \\pi / \\lambda

    For long waves it becomes :math:`3 \\lambda^4 \\eta / (16 \\pi^4 h^3 \\gamma)`, which is 15 %
    too short where they are 20 times as long as the film is thick, 41 % at 10 times. It holds for
    marks low against the film, a Newtonian paint, an even substrate, surface tension that is the
    same everywhere; inertia and gravity are left out (gravity adds 5 % to the speed at 2 mm, and as
    much as surface tension at 9 mm).

    Parameters
    ----------
    viscosity_pa_s, wavelength_mm, film_um, surface_tension_mn_m
        Viscosity in Pa s, wavelength of the marks in mm, mean thickness of the wet film in µm and
        surface tension in mN/m, all above 0.

    Raises
    ------
    NotDeterminable
        If one of them is not above 0.

    References
    ----------
    Orchard, Appl. Sci. Res. A 11 (1962) 451; its law for long waves as a published page
    on levelling prints it. The tests solve the same flow anew.

    Examples
    --------
    >>> round(levelling_s(1.0, 2.0, 100.0, 30.0), 3)
    1.209
    """
    length, depth, tension = _si(viscosity_pa_s, wavelength_mm, film_um, surface_tension_mn_m)
    k = 2 * math.pi / length
    x = 2 * k * depth
    if x > 100:  # deep: the ratio is 1 to the last digit, and cosh overflows soon
        ratio = 1.0
    elif x < 0.05:  # the difference below loses its digits: its series, to 1e-9
        ratio = (math.cosh(x) + 1 + x**2 / 2) / (x**3 / 6 * (1 + x**2 / 20 * (1 + x**2 / 42)))
    else:
        ratio = (math.cosh(x) + 1 + x**2 / 2) / (math.sinh(x) - x)
    return 2 * viscosity_pa_s / (tension * k) * ratio


def levelling_half_time_s(
    viscosity_pa_s: float, wavelength_mm: float, film_um: float, surface_tension_mn_m: float
) -> float:
    """Return the time in s in which marks in a wet film lose half of their height.

    .. math:: t_{1/2} = t \\ln 2

    with the time constant of `levelling_s`, whose limits and parameters it shares.

    Examples
    --------
    >>> round(levelling_half_time_s(1.0, 2.0, 100.0, 30.0), 3)
    0.838
    """
    constant = levelling_s(viscosity_pa_s, wavelength_mm, film_um, surface_tension_mn_m)
    return math.log(2) * constant


def levelling_stress_pa(
    wavelength_mm: float, film_um: float, surface_tension_mn_m: float, mark_height_um: float
) -> float:
    """Return the largest shear stress in Pa by which surface tension levels marks in a film.

    .. math:: \\tau = \\gamma k^2 a \\, \\frac{kh \\cosh kh}{\\cosh^2 kh + k^2 h^2}, \\quad
        k = 2 \\pi / \\lambda

    It acts at the substrate, under the flank of a mark; for long waves it is gamma k^3 a h, the
    gradient of pressure times the thickness. Where the yield stress of the paint is higher, the
    marks stay. It is that of a Newtonian film, in the limits of `levelling_s`.

    Parameters
    ----------
    wavelength_mm, film_um, surface_tension_mn_m
        As for `levelling_s`.
    mark_height_um
        From the middle to the crest of the marks in µm, above 0 and at most half of the film.

    Raises
    ------
    NotDeterminable
        If one of them is not above 0, or the marks are not low against the film.

    References
    ----------
    The flow of Orchard (1962); derived here, and solved anew in the tests.

    Examples
    --------
    >>> round(levelling_stress_pa(2.0, 200.0, 30.0, 20.0), 2)
    2.43
    """
    length, depth, tension = _si(1.0, wavelength_mm, film_um, surface_tension_mn_m)
    if not 0 < mark_height_um <= SMALL_AMPLITUDE * film_um:
        raise NotDeterminable(
            f"marks of {mark_height_um:g} µm are not low against a film of {film_um:g} µm"
        )
    k = 2 * math.pi / length
    kh = min(k * depth, 300.0)  # deeper, the film below does not feel the marks, and cosh overflows
    share = kh * math.cosh(kh) / (math.cosh(kh) ** 2 + kh**2)
    return tension * k**2 * mark_height_um * 1e-6 * share


def _si(
    viscosity_pa_s: float, wavelength_mm: float, film_um: float, surface_tension_mn_m: float
) -> tuple[float, float, float]:
    given = (viscosity_pa_s, wavelength_mm, film_um, surface_tension_mn_m)
    if not all(math.isfinite(one) and one > 0 for one in given):
        raise NotDeterminable(
            "levelling needs viscosity, wavelength, thickness and surface tension above 0"
        )
    return wavelength_mm * 1e-3, film_um * 1e-6, surface_tension_mn_m * 1e-3
