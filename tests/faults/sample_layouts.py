"""How each sample export is laid out, for the plain way of reading them."""

from __future__ import annotations

import math
from dataclasses import replace

from plain_parse import Layout, Odd


def polar(values: dict[str, float | None]) -> None:
    """Modulus and phase to real and imaginary part."""
    modulus, phase = values.pop("modulus", None), values.pop("phase", None)
    if modulus is None or phase is None:
        raise Odd("half of an impedance")
    values["z_real_ohm"] = modulus * math.cos(phase)
    values["z_imag_ohm"] = modulus * math.sin(phase)


def lagging(values: dict[str, float | None]) -> None:
    """The phase was written with its sign turned."""
    phase = values.get("phase")
    values["phase"] = None if phase is None else -phase
    polar(values)


def turned(values: dict[str, float | None]) -> None:
    """The imaginary part was written with its sign turned."""
    imaginary = values.get("z_imag_ohm")
    values["z_imag_ohm"] = None if imaginary is None else -imaginary


def either(values: dict[str, float | None]) -> None:
    """In one table modulus and phase, in another the parts."""
    if "modulus" in values or "phase" in values:
        polar(values)
    else:
        turned(values)


def by_area(values: dict[str, float | None]) -> None:
    """Both parts were written for one square centimetre."""
    for column in ("z_real_ohm", "z_imag_ohm"):
        value, area = values.get(column), values.get("area_cm2")
        if area is None or area == 0:
            raise Odd("no area")
        values[column] = None if value is None else value / area


def pulled(values: dict[str, float | None]) -> None:
    """Force or strength, the other from the round dolly: strength = 4 F / (pi d^2)."""
    diameter, force, strength = (
        values.get(name) for name in ("dolly_diameter_mm", "force_n", "strength_mpa")
    )
    if not diameter or (force is None) == (strength is None):
        raise Odd("a pull without force or dolly")
    face = math.pi * diameter**2 / 4
    values["strength_mpa"] = force / face if force is not None else strength
    values["force_n"] = strength * face if strength is not None else force


def unrated(values: dict[str, float | None]) -> None:
    """Without a width of the damage a line holds no rating."""
    if values.get("damage_width_mm") is None:
        values.update(dict.fromkeys(values))


def flowing(values: dict[str, float | None]) -> None:
    """Of rate, stress and viscosity the third follows from two: stress = viscosity x rate."""
    rate, stress, viscosity = (
        values.get(name) for name in ("shear_rate_per_s", "shear_stress_pa", "viscosity_pa_s")
    )
    if viscosity is None and stress is not None and rate:
        values["viscosity_pa_s"] = stress / rate
    if stress is None and viscosity is not None and rate:
        values["shear_stress_pa"] = viscosity * rate


_DENSITY = {
    "Sample temp.": ("temperature_c", "temperature"),
    "Density": ("density_g_cm3", "density"),
    "Rest": ("elapsed_s", "seconds"),
}
_CUP = {"Efflux": ("efflux_s", "seconds"), "Temp": ("temperature_c", "temperature")}
_GLOSS = {
    "Angle": ("angle_deg", "degrees"),
    "Spot": ("spot", ""),
    "Gloss": ("gloss_gu", "gloss"),
}
_PULL = {
    "Determination": ("determination", ""),
    "Dolly": ("dolly_diameter_mm", "millimetres"),
    "Strength": ("strength_mpa", "strength"),
}
_FLOW = {
    "t": ("elapsed_s", "seconds"),
    "Shear rate": ("shear_rate_per_s", "rate"),
    "Viscosity": ("viscosity_pa_s", "viscosity"),
    "T": ("temperature_c", "temperature"),
}
_POLAR = {"f": ("frequency_hz", "frequency"), "|Z|": ("modulus", "impedance")}
_BATH = {
    "Cell area": ("area_cm2", "area"),
    "Dry film": ("thickness_um", "length"),
    "Immersed for": ("exposure_h", "hours"),
}
_WEEK = {
    "Area": ("area_cm2", "area"),
    "Thickness": ("thickness_um", "length"),
    "Immersion": ("exposure_h", "hours"),
}
_FORCE = Layout(
    ";",
    ",",
    {"No.": ("determination", ""), "Force": ("force_n", "force")},
    "Panel",
    ("Date", "Time"),
    {"Dolly diameter": ("dolly_diameter_mm", "millimetres")},
    derive=pulled,
)

LAYOUTS: dict[str, Layout] = {
    "density/comma_g_cm3.csv": Layout(";", ",", _DENSITY, "Batch", ("Date", "Time")),
    "density/point_kg_m3.csv": Layout(";", ".", _DENSITY, "Batch", ("Date", "Time")),
    "flow_cup/cup_book.csv": Layout(",", ".", _CUP, "Batch", ("Date", "Time")),
    "flow_cup/cup_book_unquoted.csv": Layout(",", ".", _CUP, "Batch", ("Date", "Time")),
    "gloss/list_comma.csv": Layout(";", ",", _GLOSS, "Panel", ("Measured",)),
    "gloss/list_point.txt": Layout("\t", ".", _GLOSS, "Panel", ("Measured",)),
    "pull_off/strength_mpa.csv": Layout(",", ".", _PULL, "Panel", ("Measured",), derive=pulled),
    "pull_off/strength_psi.csv": Layout(",", ".", _PULL, "Panel", ("Measured",), derive=pulled),
    "pull_off/force.csv": _FORCE,
    "pull_off/force_two_panels.csv": replace(_FORCE, blocks=True),
    "film_thickness/list_comma.csv": Layout(
        ";",
        ",",
        {"Spot": ("spot", ""), "Thickness": ("thickness_um", "length")},
        "Panel",
        ("Date", "Time"),
    ),
    "film_thickness/list_mil.csv": Layout(
        ",",
        ".",
        {"Spot": ("spot", ""), "Thickness": ("thickness_um", "length")},
        "Panel",
        ("Date", "Time"),
    ),
    "film_thickness/log_mm.csv": Layout(
        ";",
        ",",
        {"Spot": ("spot", ""), "Reading": ("thickness_um", "length")},
        "Panel",
        ("Taken",),
        unit_row=True,
    ),
    "film_thickness/log_mil.txt": Layout(
        "\t",
        ".",
        {"Spot": ("spot", ""), "Reading": ("thickness_um", "length")},
        "Panel",
        ("Taken",),
    ),
    "flow_curve/single_point.txt": Layout("\t", ".", _FLOW, "Sample", ("Start",), derive=flowing),
    "flow_curve/up_and_down.txt": Layout(
        "\t",
        ".",
        {**_FLOW, "Shear stress": ("shear_stress_pa", "pascal")},
        "Sample",
        ("Start",),
        derive=flowing,
    ),
    "film_thickness/log_two_panels.csv": Layout(
        ";",
        ",",
        {"Spot": ("spot", ""), "Reading": ("thickness_um", "length")},
        "Panel",
        ("Taken",),
        unit_row=True,
        blocks=True,
    ),
    "flow_curve/two_samples.txt": Layout(
        "\t",
        ".",
        {
            **{title: _FLOW[title] for title in ("t", "Shear rate", "T")},
            "Shear stress": ("shear_stress_pa", "pascal"),
        },
        "Sample",
        ("Start",),
        blocks=True,
        derive=flowing,
    ),
    "impedance/both_forms.csv": Layout(
        ",",
        ".",
        {
            "Frequency": ("frequency_hz", "frequency"),
            "Freq": ("frequency_hz", "frequency"),  # what may become of it
            "Z'": ("z_real_ohm", "impedance"),
            "-Z''": ("z_imag_ohm", "impedance"),
            "|Z|": ("modulus", "impedance"),
            "Phase": ("phase", "angle"),
        },
        "Panel",
        ("Measured at",),
        {name: _BATH[name] for name in ("Cell area", "Immersed for")},
        blocks=True,
        derive=either,
    ),
    "impedance/long_form_area.txt": Layout(
        "\t",
        ".",
        {
            "t": ("exposure_h", "hours"),
            "f": ("frequency_hz", "frequency"),
            "Re": ("z_real_ohm", "impedance by area"),
            "Im": ("z_imag_ohm", "impedance by area"),
        },
        "Panel",
        ("Measured at",),
        {"Cell area": ("area_cm2", "area")},
        derive=by_area,
    ),
    "impedance/modulus_minus_phase.csv": Layout(
        ";",
        ",",
        {**_POLAR, "-Phase": ("phase", "angle")},
        "Panel",
        ("Time",),
        _WEEK,
        blocks=True,
        unit_row=True,
        derive=lagging,
    ),
    "impedance/modulus_phase_blocks.csv": Layout(
        ";",
        ",",
        {**_POLAR, "Phase": ("phase", "angle")},
        "Panel",
        ("Time",),
        _WEEK,
        blocks=True,
        unit_row=True,
        derive=polar,
    ),
    "impedance/modulus_phase_rad.csv": Layout(
        ";",
        ",",
        {**_POLAR, "Phase": ("phase", "angle")},
        "Panel",
        ("Time",),
        {name: _WEEK[name] for name in ("Area", "Immersion")},
        unit_row=True,
        derive=polar,
    ),
    "impedance/re_im_minus.csv": Layout(
        ",",
        ".",
        {
            "Frequency": ("frequency_hz", "frequency"),
            "Z'": ("z_real_ohm", "impedance"),
            "-Z''": ("z_imag_ohm", "impedance"),
        },
        "Panel",
        ("Measured at",),
        _BATH,
        derive=turned,
    ),
    "impedance/re_im_plain.csv": Layout(
        ",",
        ".",
        {
            "Freq": ("frequency_hz", "frequency"),
            "Re Z": ("z_real_ohm", "impedance"),
            "Im Z": ("z_imag_ohm", "impedance"),
        },
        "Panel",
        ("Measured at",),
        _BATH,
    ),
    "exposure_rating/readings_comma.csv": Layout(
        ";",
        ",",
        {
            "Stunden": ("exposure_h", "hours"),
            "Enthaftungsbreite": ("damage_width_mm", "millimetres"),
            "Ritzbreite": ("scribe_width_mm", "millimetres"),
        },
        "Platte",
        derive=unrated,
    ),
    "chamber_record/kammerbuch.txt": Layout(
        ";",
        ",",
        {
            "Kammertemperatur": ("temperature_c", "temperature"),
            "Auffangmenge": ("collected_ml_h", "collected"),
            "pH-Wert": ("ph", ""),
        },
        "Chargen",
        ("Datum", "Uhrzeit"),
        unit_row=True,
    ),
    "chamber_record/book.csv": Layout(
        ",",
        ".",
        {
            "Chamber temp.": ("temperature_c", "temperature"),
            "Collected": ("collected_ml_h", "collected"),
            "pH": ("ph", ""),
            "NaCl": ("salt_g_l", "salt"),
        },
        "Batches",
        ("Date", "Time"),
    ),
    "register/batches.csv": Layout(",", ".", {"Dose": ("dose_percent", "dose")}, "Batch"),
    "register/panels.csv": Layout(",", ".", {"Dry film": ("thickness_um", "length")}, "Panel"),
}
