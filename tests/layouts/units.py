"""Units in which exports come, by quantity: spellings, factor to the unit of the kind.

Factors of inch-pound units: as scipy.constants has them (psi, lbf, kgf, lb, gallon); the rest are
decimal.
"""

from __future__ import annotations

from .cells import Unit

PSI = 0.00689475729316836  # MPa
LBF = 4.4482216152605  # N
KGF = 9.80665  # N
LB_PER_GAL = 0.45359237 / 3.785411784  # g/cm3

FREQUENCY = (Unit(("Hz", "HZ", "hz"), 1, True), Unit(("kHz", "KHz"), 1e3))
OMEGA = (Unit(("rad/s", "1/s", "s^-1", "rad s-1"), 1),)
IMPEDANCE = (
    Unit(("Ω", "Ohm", "ohm", "OHM", "ohms"), 1, True),
    Unit(("kΩ", "kOhm", "kohm", "KOHM"), 1e3),
    Unit(("MΩ", "MOhm", "Mohm"), 1e6),
)
AREA_SPECIFIC = (
    Unit(("Ω·cm²", "Ohm cm2", "ohm cm^2", "ohm*cm2", "Ω cm²"), 1),
    Unit(("kΩ·cm²", "kOhm cm2", "kohm*cm^2"), 1e3),
    Unit(("MΩ·cm²", "MOhm cm2"), 1e6),
)
DEGREES = Unit(("deg", "°", "degrees", "Deg"), 1, True)
RADIANS = Unit(("rad", "Rad", "radian"), 1)
ADMITTANCE = (Unit(("S", "1/Ohm"), 1), Unit(("mS",), 1e-3), Unit(("µS", "uS"), 1e-6))
AREA = (
    Unit(("cm²", "cm2", "cm^2", "sq cm"), 1),
    Unit(("mm²", "mm2", "mm^2"), 0.01),
)
HOURS = Unit(("h", "hrs", "hours", "hr"), 1)
DAYS = Unit(("d", "days", "day"), 24)
HOUR_WORDS = {
    "en": ("h", "hours", "hrs"),
    "de": ("h", "Std.", "Stunden"),
    "fr": ("h", "heures"),
    "es": ("h", "horas"),
    "it": ("h", "ore"),
    "pl": ("h", "godz."),
    "nl": ("h", "uur"),
    "cs": ("h", "hod."),
}
DAY_WORDS = {
    "en": ("d", "days"),
    "de": ("d", "Tage"),
    "fr": ("d", "jours"),
    "es": ("d", "días"),
    "it": ("d", "giorni"),
    "pl": ("d", "dni"),
    "nl": ("d", "dagen"),
    "cs": ("d", "dní"),
}
SECONDS = Unit(("s", "sec", "S"), 1)
MINUTES = Unit(("min", "min.", "minutes"), 60)
MICROMETRES = Unit(("µm", "um", "μm", "micron", "microns"), 1, True)
MILS = Unit(("mil", "mils"), 25.4)
MILLIMETRES = Unit(("mm",), 1000)
THICKNESS = (MICROMETRES, MICROMETRES, MICROMETRES, MILS, MILLIMETRES)
THICKNESS_DECIMALS = {1.0: 0, 25.4: 1, 1000.0: 3}  # by the factor of the unit
DENSITY = (
    Unit(("g/cm³", "g/cm3", "g/cm^3", "g cm-3"), 1, True),
    Unit(("g/ml", "g/mL"), 1),
    Unit(("kg/l", "kg/L", "kg/dm³"), 1),
    Unit(("kg/m³", "kg/m3", "kg/m^3"), 1e-3),
    Unit(("lb/gal", "lb/US gal"), LB_PER_GAL),
)
CELSIUS = Unit(("°C", "degC", "C", "deg C"), 1, True)
FAHRENHEIT = Unit(("°F", "degF", "F"), 5 / 9, offset=-160 / 9)
FOAM_HEIGHT = (Unit(("mm",), 1), Unit(("mm",), 1), Unit(("cm",), 10))
FOAM_VOLUME = (Unit(("ml", "mL"), 1), Unit(("ml", "mL"), 1), Unit(("cm³", "cm3"), 1))
RATE = (Unit(("1/s", "s^-1", "s-1", "s⁻¹", "/s"), 1),)
STRESS = (Unit(("Pa",), 1), Unit(("mPa",), 1e-3), Unit(("dyn/cm²", "dyn/cm2"), 0.1))
VISCOSITY = (
    Unit(("Pa·s", "Pa s", "Pas", "Pa*s", "Pa.s"), 1),
    Unit(("mPa·s", "mPa s", "mPas", "mPa*s", "mPa.s"), 1e-3),
    Unit(("cP", "cps", "cP"), 1e-3),
    Unit(("P", "poise"), 0.1),
)
LENGTH = (Unit(("mm",), 1, True),)
DOLLY = (
    Unit(("mm",), 1, True),
    Unit(("mm",), 1, True),
    Unit(("cm",), 10),
    Unit(("in", "inch"), 25.4),
)
FORCE = (
    Unit(("N",), 1),
    Unit(("kN",), 1e3),
    Unit(("lbf",), LBF),
    Unit(("kgf", "kp"), KGF),
)
STRENGTH = (
    Unit(("MPa", "MPA", "Mpa"), 1, True),
    Unit(("N/mm²", "N/mm2", "N/mm^2"), 1),
    Unit(("psi", "PSI", "lbf/in²"), PSI),
    Unit(("kgf/cm²", "kgf/cm2", "kg/cm2"), KGF / 100),
    Unit(("bar",), 0.1),
)
GLOSS = (Unit(("GU", "gloss units"), 1, True),)
PERCENT = Unit(("%", "percent", "Gew.-%", "% w/w"), 1)
PLAIN_PERCENT = Unit(("%",), 1)
PERMILLE = Unit(("‰", "g/kg"), 0.1)
COLLECTED = (Unit(("ml/h", "mL/h", "ml h-1"), 1),)
SALT = (Unit(("g/l", "g/L"), 1), Unit(("kg/m³", "kg/m3"), 1), Unit(("mg/ml", "mg/mL"), 1))
