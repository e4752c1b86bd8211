"""How things are called in a report: batches, properties, units, numbers."""

from __future__ import annotations

import math
import re
import textwrap

import pandas as pd

from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Verdict, VerdictWord

DIGITS = 4  # significant digits of a number in the report; the CSV tables have all of them
LEAST, MOST = 1e-3, 1e6  # numbers outside are written with a power of ten
SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
LEAST_P = 1e-4  # smaller p are told as "below"
WIDE = 36  # characters of a batch's name beside a figure

UNIT_WORDS = (
    (re.compile(r"\bohm\b"), "Ω"),
    (re.compile(r"\bum\b"), "µm"),
    (re.compile(r"\bdeg\b"), "°"),
    (re.compile(r"(?<=m)2\b"), "²"),
    (re.compile(r"(?<=m)3\b"), "³"),
)

TITLES = {
    "modulus": "impedance modulus × area",
    "modulus_decline": "fall of lg |Z| in a day",
    "water_uptake": "water uptake of the film",
    "strength_mean_censored": "pull-off strength",
    "failure_adhesive": "adhesive failure, share of the area",
    "entrapped_air": "entrapped air by volume",
    "shear_thinning_index": "shear-thinning index",
}

OUTCOME_WORDS = {
    VerdictWord.BETTER: ("▲", "better"),
    VerdictWord.NOT_WORSE: ("●", "not worse"),
    VerdictWord.WORSE: ("▼", "worse"),
    VerdictWord.SIGNS_OF_HARM: ("!", "signs of harm"),
    VerdictWord.CANNOT_TELL: ("?", "cannot tell"),
}


def number(value: float, digits: int = DIGITS) -> str:
    """Return a number with four significant digits, as print has it.

    Examples
    --------
    >>> number(86925220.0), number(-0.61874), number(12.0), number(float("nan"))
    ('8.693 × 10⁷', '−0.6187', '12', '–')
    """
    if math.isnan(value):
        return "–"
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    if value == 0:  # also -0.0, which a difference of equal means may be
        return "0"
    rounded = float(f"{value:.{digits}g}")
    if LEAST <= abs(rounded) < MOST:
        text = f"{value:.{digits}g}"
        text = f"{rounded:.0f}" if "e" in text else text
        return text.replace("-", "−")
    mantissa, _, power = f"{value:.{digits - 1}e}".partition("e")
    mantissa = mantissa.rstrip("0").rstrip(".").replace("-", "−")
    return f"{mantissa} × 10{str(int(power)).translate(SUPERSCRIPTS)}"


def interval(low: float, high: float, digits: int = DIGITS) -> str:
    """Return an interval in words.

    Examples
    --------
    >>> interval(0.759, 1.0076, 3), interval(2.0, math.inf), interval(math.nan, math.nan)
    ('0.759 to 1.01', 'above 2', '')
    """
    if math.isnan(low) and math.isnan(high):
        return ""
    if math.isinf(low) and math.isinf(high):
        return "open on both sides"
    if math.isinf(high):
        return f"above {number(low, digits)}"
    if math.isinf(low):
        return f"below {number(high, digits)}"
    return f"{number(low, digits)} to {number(high, digits)}"


def p_text(p: float) -> str:
    """Return a p as it is told.

    Examples
    --------
    >>> p_text(0.0421), p_text(3e-7), p_text(math.nan)
    ('0.042', 'below 0.0001', '–')
    """
    if math.isnan(p):
        return "–"
    return f"below {LEAST_P:.4f}" if p < LEAST_P else f"{p:.2g}"


def unit_text(unit: str) -> str:
    """Return a unit as print has it.

    Examples
    --------
    >>> unit_text("ohm cm2"), unit_text("um"), unit_text("% by volume"), unit_text("1")
    ('Ω cm²', 'µm', '% by volume', '')
    >>> unit_text("per evaluated_mm2")
    'per evaluated mm²'
    """
    if unit == "1":
        return ""
    unit = unit.replace("_", " ")  # of counts it names a column
    for pattern, word in UNIT_WORDS:
        unit = pattern.sub(word, unit)
    return unit


def difference_unit(unit: str) -> str:
    """Return the unit of a difference: of shares these are points.

    Examples
    --------
    >>> difference_unit("% by volume"), difference_unit("MPa"), difference_unit("")
    ('points', 'MPa', '')
    """
    return "points" if unit.startswith("%") else unit_text(unit)


def title_of(wanted: Property) -> str:
    """Return what is measured, in the words of the trade, with its condition and time."""
    title = TITLES.get(wanted.quantity, wanted.quantity.replace("_", " "))
    condition = "" if wanted.condition in wanted.setting else wanted.condition
    parts = [title, wanted.setting, condition.replace("10000 Hz", "10 kHz")]
    if not math.isnan(wanted.exposure_h):
        parts.append(f"after {wanted.exposure_h:g} h")
    return ", ".join(part for part in parts if part)


def middle_words(wanted: Property) -> str:
    """Return what the middle of a batch is; see `Sample.middle`."""
    if wanted.method == "counts":
        return "rate"
    if wanted.method == "ratings":
        return "median"
    return "geometric mean" if wanted.scale == "ratio" else "mean"


def direction_words(wanted: Property, unit: str) -> str:
    """Return which way is better."""
    if wanted.direction == "target":
        if wanted.target is None:
            return "should stay at the control's value"
        return f"should be {number(wanted.target)} {unit_text(unit)}".strip()
    return f"{wanted.direction} is better"


def margin_words(wanted: Property, unit: str) -> str:
    """Return from where on a candidate does harm."""
    side = {"higher": "below", "lower": "above", "target": "above or below"}[wanted.direction]
    of = "the control" if wanted.target is None else "the target"
    if wanted.margin_percent is not None:
        return f"more than {number(wanted.margin_percent)} % {side} {of}"
    if wanted.margin is None:
        return "no margin is stated, so nothing can be called not worse"
    if wanted.method == "ratings":
        return f"probability of superiority below {number(0.5 - wanted.margin)}"
    told = f"{number(wanted.margin)} {difference_unit(unit)}".strip()
    return f"more than {told} {side} {of}"


def effect_text(verdict: Verdict, digits: int = DIGITS, *, with_unit: bool = True) -> str:
    """Return the effect, with its sign or as a multiple of the control.

    Examples
    --------
    >>> one = {"property": "", "batch": "", "candidate": "", "dose_percent": 1.0, "control": ""}
    >>> one |= {"outcome": VerdictWord.BETTER, "because": "", "effect": 0.5}
    >>> effect_text(Verdict(**one, effect_is="difference", unit="MPa"))
    '+0.5 MPa'
    >>> effect_text(Verdict(**one, effect_is="ratio"))
    '× 0.5'
    """
    text = number(verdict.effect, digits)
    if math.isnan(verdict.effect):
        return text
    if verdict.effect_is == "ratio":
        return f"× {text}"
    if verdict.effect_is == "probability of superiority":
        return text
    sign = "+" if verdict.effect > 0 else ""
    unit = difference_unit(verdict.unit) if with_unit else ""
    return f"{sign}{text} {unit}".strip()


def effect_heading(verdict: Verdict) -> str:
    """Return what the effect is, with its unit."""
    if verdict.effect_is == "ratio":
        return "ratio to the control"
    if verdict.effect_is == "probability of superiority":
        return "probability of superiority"
    unit = difference_unit(verdict.unit)
    return f"difference from the control ({unit})" if unit else "difference from the control"


def batch_words(register: pd.DataFrame, batch: str, control: str) -> str:
    """Return a batch with its candidate and dose, or as the control."""
    if batch == control:
        return f"{batch} · control"
    return f"{batch} · {recipe_words(register, batch)}"


def recipe_words(register: pd.DataFrame, batch: str) -> str:
    """Return dose and candidate of a batch."""
    candidate = candidate_words(register, batch)
    dose = float(register.loc[batch].to_dict()["dose_percent"])
    return candidate if math.isnan(dose) else f"{dose:g} % {candidate}"


def candidate_words(register: pd.DataFrame, batch: str) -> str:
    """Return the candidate of a batch; only a batch with the role control may name none."""
    candidate = register.loc[batch].to_dict()["candidate"]
    return candidate if isinstance(candidate, str) else "no candidate named"


def in_lines(text: str, width: int = WIDE) -> str:
    """Return a text in at most two lines, for a figure with little room.

    Examples
    --------
    >>> in_lines("RB-013 · 10 % micaceous iron oxide, surface treated, of the second delivery")
    'RB-013 · 10 % micaceous iron oxide,\\nsurface treated, of the second …'
    """
    lines = textwrap.wrap(text, width, max_lines=2, placeholder=" …", break_on_hyphens=False)
    return "\n".join(lines)
