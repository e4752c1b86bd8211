"""How things are called in a report: batches, properties, units, numbers."""

from __future__ import annotations

import math
import re
import textwrap
from collections import Counter
from collections.abc import Callable, Sequence
from typing import assert_never

import pandas as pd

from tiecoat.compare.properties import Property
from tiecoat.compare.restriction import ExcludedBy, Exclusion
from tiecoat.compare.strength import StrengthStep, step_of
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.words import in_numbers, joined, say, say_counted, translated

DIGITS = 4  # significant digits of a number in the report; the CSV tables have all of them
LEAST, MOST = 1e-3, 1e6  # numbers outside are written with a power of ten
SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
LEAST_P = 1e-4  # smaller p are told as "below"
LABEL_TIME = re.compile(r"(,?) after ([0-9.e+, ]+) h$")
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
    "time_to_limit": "time until |Z| falls below a limit",
    "water_uptake": "water uptake of the film",
    "strength_mean_censored": "pull-off strength",
    "failure_adhesive": "adhesive failure, share of the area",
    "entrapped_air": "entrapped air by volume",
    "foam_initial": "foam just after it was made",
    "air_half_life": "time until half of the entrapped air has left",
    "foam_half_life": "time until half of the foam is left",
    "shear_thinning_index": "shear-thinning index",
    "time_to_rust_grade": "time until a degree of rusting",
    "time_to_blister_density": "time until a density of blisters",
    "smallest_escaping_radius": "radius of the smallest bubble that escapes",
    "thickness_mean": "film thickness",
    "void_fraction": "void fraction",
}

OUTCOME_WORDS = {
    VerdictWord.BETTER: ("▲", "better"),
    VerdictWord.NOT_WORSE: ("●", "not worse"),
    VerdictWord.WORSE: ("▼", "worse"),
    VerdictWord.SIGNS_OF_HARM: ("!", "signs of harm"),
    VerdictWord.CANNOT_TELL: ("?", "cannot tell"),
    VerdictWord.NOT_TESTED: ("", "not tested"),
}
HOLLOW = {"▲": "△", "●": "○", "▼": "▽"}  # signs of claims that stand only on a condition
TO_HOLLOW = str.maketrans(HOLLOW)
STEP_SIGNS = {
    StrengthStep.STRONGLY_BETTER: "▲▲▲",
    StrengthStep.CLEARLY_BETTER: "▲▲",
    StrengthStep.BETTER: "▲",
    StrengthStep.NOT_WORSE: "●",
    StrengthStep.SIGNS_OF_HARM: "!",
    StrengthStep.WORSE: "▼",
    StrengthStep.CLEARLY_WORSE: "▼▼",
    StrengthStep.STRONGLY_WORSE: "▼▼▼",
    StrengthStep.CANNOT_TELL: "?",
    StrengthStep.NOT_TESTED: "",
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
        return in_numbers(text.replace("-", "−"))
    return _with_power(value, digits, zeros=False)


def _with_power(value: float, digits: int, *, zeros: bool) -> str:
    mantissa, _, power = f"{value:.{digits - 1}e}".partition("e")
    if not zeros and "." in mantissa:
        mantissa = mantissa.rstrip("0").rstrip(".")
    mantissa = in_numbers(mantissa.replace("-", "−"))
    return f"{mantissa} × 10{str(int(power)).translate(SUPERSCRIPTS)}"


def place_of(value: float, low: float, high: float) -> int | None:
    """Return the power of ten of the last digit that counts, by the interval; None without one.

    The shorter side of the interval keeps two significant digits, as uncertainties are told
    (the GUM, 7.2.6); value and ends are rounded to that place.

    Examples
    --------
    >>> place_of(4.262, 2.849, 6.377), place_of(304.0, 203.0, 455.0), place_of(1.0, math.nan, 2.0)
    (-1, 1, -1)
    """
    sides = [side for side in (value - low, high - value) if 0 < side < math.inf]
    return None if not sides else math.floor(math.log10(min(sides))) - 1


def at_place(value: float, place: int | None) -> str:
    """Return a number rounded to a place; with four significant digits without one.

    Examples
    --------
    >>> at_place(4.262, -1), at_place(304.2, 1), at_place(-0.004, -1), at_place(86925220.0, 6)
    ('4.3', '300', '0.0', '8.7 × 10⁷')
    """
    if place is None or not math.isfinite(value):
        return number(value)
    rounded = round(value, -place) + 0.0  # of -0.0 it makes 0.0
    size = abs(rounded)
    if LEAST <= size < MOST or (size == 0 and place > -4):
        return in_numbers(f"{rounded:.{max(0, -place)}f}".replace("-", "−"))
    if size == 0:
        return "0"
    return _with_power(rounded, max(1, math.floor(math.log10(size)) - place + 1), zeros=True)


def interval(low: float, high: float, digits: int = DIGITS, *, place: int | None = None) -> str:
    """Return an interval in words, its ends rounded to a place where one is given.

    Examples
    --------
    >>> interval(0.759, 1.0076, 3), interval(2.0, math.inf), interval(math.nan, math.nan)
    ('0.759 to 1.01', 'above 2', '')
    >>> interval(0.759, 1.0076, place=-2)
    '0.76 to 1.01'
    """
    if math.isnan(low) and math.isnan(high):
        return ""
    if math.isinf(low) and math.isinf(high):
        return say("open on both sides")
    first, last = (
        number(end, digits) if place is None else at_place(end, place) for end in (low, high)
    )
    if math.isinf(high):
        return say("above {number}", number=first)
    if math.isinf(low):
        return say("below {number}", number=last)
    return say("{low} to {high}", low=first, high=last)


def p_text(p: float) -> str:
    """Return a p as it is told.

    Examples
    --------
    >>> p_text(0.0421), p_text(3e-7), p_text(math.nan)
    ('0.042', 'below 0.0001', '–')
    """
    if math.isnan(p):
        return "–"
    if p < LEAST_P:
        return say("below {number}", number=in_numbers(f"{LEAST_P:.4f}"))
    return in_numbers(f"{p:.2g}")


def unit_text(unit: str) -> str:
    """Return a unit as print has it.

    Examples
    --------
    >>> unit_text("ohm cm2"), unit_text("um"), unit_text("% by volume"), unit_text("1")
    ('Ω cm²', 'µm', '% by volume', '')
    >>> unit_text("per dm2, from 0.3 mm on")
    'per dm², from 0.3 mm on'
    """
    if unit == "1":
        return ""
    unit = unit.replace("_", " ")  # of counts it names a column
    for pattern, word in UNIT_WORDS:
        unit = pattern.sub(word, unit)
    return translated(unit)


def difference_unit(unit: str) -> str:
    """Return the unit of a difference: of shares these are points.

    Examples
    --------
    >>> difference_unit("% by volume"), difference_unit("MPa"), difference_unit("")
    ('points', 'MPa', '')
    """
    return translated("points") if unit.startswith("%") else unit_text(unit)


def title_of(wanted: Property) -> str:
    """Return what is measured, in the words of the trade, with its condition and time."""
    title = TITLES.get(wanted.quantity, wanted.quantity.replace("_", " "))
    condition = "" if wanted.condition in wanted.setting else wanted.condition
    parts = [title, wanted.setting, condition.replace("10000 Hz", "10 kHz")]
    parts = [translated(part) for part in parts]
    if not math.isnan(wanted.exposure_h):
        parts.append(say("after {hours} h", hours=in_numbers(f"{wanted.exposure_h:g}")))
    return ", ".join(part for part in parts if part)


def label_words(label: str) -> str:
    """Return the label of a property, as the comparison has it, in the language of the report.

    Examples
    --------
    >>> from tiecoat.report.words import Language, speaking
    >>> with speaking(Language.GERMAN):
    ...     label_words("modulus after 240 h"), label_words("modulus, my primer, after 0.5 h")
    ('Modul nach 240 h', 'Modul, my primer, nach 0,5 h')
    """
    time = LABEL_TIME.search(label)
    name = label[: time.start()] if time else label
    told = ", ".join(map(translated, name.split(", ")))
    if time is None:
        return told
    hours = ", ".join(in_numbers(one) for one in time[2].split(", "))
    return f"{told}{time[1]} {say('after {hours} h', hours=hours)}"


def middle_words(wanted: Property) -> str:
    """Return what the middle of a batch is; see `Sample.middle`."""
    if wanted.method == "counts":
        return say("rate")
    if wanted.method in {"ratings", "times"}:
        return say("median")
    return say("geometric mean") if wanted.scale == "ratio" else say("mean")


def direction_words(wanted: Property, unit: str) -> str:
    """Return which way is better."""
    if wanted.direction == "target":
        if wanted.target is None:
            return say("should stay at the control's value")
        told = f"{number(wanted.target)} {unit_text(unit)}".strip()
        return say("should be {value}", value=told)
    return say("higher is better") if wanted.direction == "higher" else say("lower is better")


def presets_words() -> str:
    """Return what a margin marked as preset is."""
    return say(
        "Margins marked preset come with the program; they are common practice without a source."
        " What counts as harm is for the responsible person to say, in the study file."
    )


def margin_words(wanted: Property, unit: str, *, is_preset: bool = False) -> str:
    """Return from where on a candidate does harm, and whether that is a preset.

    Examples
    --------
    >>> craters = Property(
    ...     "craters", "defects", "craters", direction="lower", method="counts", margin=4
    ... )
    >>> margin_words(craters, "per dm2, from 0.3 mm on")
    'more than 4 per dm² above the control, from 0.3 mm on'
    """
    told = _margin_words(wanted, unit)
    return f"{told} ({say('preset')})" if is_preset else told


def _margin_words(wanted: Property, unit: str) -> str:
    if wanted.method == "ratings" and wanted.margin is not None:
        return say("probability of superiority below {number}", number=number(0.5 - wanted.margin))
    if wanted.margin_percent is not None:
        told = f"{number(wanted.margin_percent)} %"
    elif wanted.margin is not None:
        unit, _, least = difference_unit(unit).partition(", ")  # what counts, from which size on
        told = f"{number(wanted.margin)} {unit}".strip()
        return ", ".join(filter(None, (_beyond(wanted, told), least)))
    else:
        return say("no margin is stated, so nothing can be called not worse")
    return _beyond(wanted, told)


def _beyond(wanted: Property, told: str) -> str:
    """Return on which side of the control, or of the target, a margin counts."""
    side = {
        ("higher", True): say("more than {margin} below the control", margin=told),
        ("lower", True): say("more than {margin} above the control", margin=told),
        ("target", True): say("more than {margin} above or below the control", margin=told),
        ("target", False): say("more than {margin} above or below the target", margin=told),
    }
    return side[wanted.direction, wanted.target is None]


def effect_text(verdict: Verdict, digits: int | None = None, *, with_unit: bool = True) -> str:
    """Return the effect, with its sign or as a multiple of the control.

    It has as many digits as its interval lets count, or as many significant ones as are asked for.

    Examples
    --------
    >>> one = {"property": "", "batch": "", "candidate": "", "dose_percent": 1.0, "control": ""}
    >>> one |= {"outcome": VerdictWord.BETTER, "because": "", "effect": 0.5}
    >>> effect_text(Verdict(**one, effect_is="difference", unit="MPa"))
    '+0.5 MPa'
    >>> effect_text(Verdict(**one, effect_is="ratio"))
    '× 0.5'

    Of times that one side had all reached by the first look no ratio is known, only its bound.

    >>> dead = Verdict(**{**one, "effect": 0.0}, effect_is="ratio", low=0.0, high=0.31)
    >>> effect_text(dead), ends_text(dead)
    ('–', 'below 0.31')
    """
    if _is_open(verdict):
        return number(math.nan)
    place = place_of(verdict.effect, verdict.low, verdict.high)
    text = at_place(verdict.effect, place) if digits is None else number(verdict.effect, digits)
    if math.isnan(verdict.effect):
        return text
    if verdict.effect_is == "ratio":
        return f"× {text}"
    if verdict.effect_is == "probability of superiority":
        return text
    sign = "+" if verdict.effect > 0 else ""
    unit = difference_unit(verdict.unit) if with_unit else ""
    return f"{sign}{text} {unit}".strip()


def ends_text(verdict: Verdict, digits: int | None = None) -> str:
    """Return the interval of an effect; of a ratio an end at 0 is open, as one at infinity is."""
    place = None if digits else place_of(verdict.effect, verdict.low, verdict.high)
    low = verdict.low
    if verdict.effect_is == "ratio" and low == 0:
        low = -math.inf
    return interval(low, verdict.high, digits or DIGITS, place=place)


def _is_open(verdict: Verdict) -> bool:
    if verdict.effect_is != "ratio":
        return False
    return (verdict.effect, verdict.low) == (0, 0) or verdict.effect == verdict.high == math.inf


def bound_words(value: str, side: str) -> str:
    """Return a value, or on which side of it the true one lies; see `Sample.side`.

    Examples
    --------
    >>> bound_words("336 h", "above"), bound_words("24 h", "below"), bound_words("96 h", "")
    ('above 336 h', 'below 24 h', '96 h')
    """
    match side:
        case "above":
            return say("above {number}", number=value)
        case "below":
            return say("below {number}", number=value)
        case _:
            return value


def middle_as_known(
    value: float, side: str, ends: tuple[float, float], shown: Callable[[float], str]
) -> str:
    """Return a middle as it is known: by its ends where that alone is, else as `bound_words`.

    Parameters
    ----------
    ends
        As `Sample.between` gives them.
    shown
        Writes a number.

    Examples
    --------
    >>> middle_as_known(1224.0, "", (1000.0, 1448.0), "{:g}".format)
    '1000 to 1448'
    >>> middle_as_known(336.0, "above", (math.nan, math.nan), "{:g}".format)
    'above 336'
    """
    low, high = ends
    if low < high:
        return say("{low} to {high}", low=shown(low), high=shown(high))
    return bound_words(shown(value), side)


def effect_heading(verdict: Verdict) -> str:
    """Return what the effect is, with its unit."""
    if verdict.effect_is == "ratio":
        return say("ratio to the control")
    if verdict.effect_is == "probability of superiority":
        return say("probability of superiority")
    unit = difference_unit(verdict.unit)
    told = say("difference from the control")
    return f"{told} ({unit})" if unit else told


def lab_words(name: str) -> str:
    """Return what a laboratory is called in a heading, by the name of its folder.

    Examples
    --------
    >>> lab_words("north"), lab_words("Paint lab 2"), lab_words("labor-ost")
    ('lab north', 'Paint lab 2', 'labor-ost')
    """
    return name if re.search("lab", name, re.IGNORECASE) else say("lab {name}", name=name)


def batch_words(register: pd.DataFrame, batch: str, control: str) -> str:
    """Return a batch with its candidate and dose, or as the control."""
    if batch == control:
        return f"{batch} · {say('control')}"
    return f"{batch} · {recipe_words(register, batch)}"


def recipe_words(register: pd.DataFrame, batch: str) -> str:
    """Return dose and candidate of a batch; a candidate that begins with its dose stands alone."""
    candidate = candidate_words(register, batch)
    dose = float(register.loc[batch].to_dict()["dose_percent"])
    if math.isnan(dose) or re.match(rf"{dose:g} ?%".replace(".", "[.,]"), candidate):
        return candidate
    return f"{in_numbers(f'{dose:g}')} % {candidate}"


def candidate_words(register: pd.DataFrame, batch: str) -> str:
    """Return the candidate of a batch; only a batch with the role control may name none."""
    candidate = register.loc[batch].to_dict()["candidate"]
    return candidate if isinstance(candidate, str) else say("no candidate named")


def by_dose(register: pd.DataFrame, batches: Sequence[str]) -> dict[str, list[str]]:
    """Return the batches of each candidate by rising dose, candidates in the order of batches."""
    doses = {batch: float(register.loc[batch].to_dict()["dose_percent"]) for batch in batches}
    found: dict[str, list[str]] = {}
    for batch in batches:
        found.setdefault(candidate_words(register, batch), []).append(batch)
    return {
        name: sorted(of, key=lambda one: (-1 if math.isnan(doses[one]) else doses[one], one))
        for name, of in found.items()
    }


def recipe_names(register: pd.DataFrame, batches: Sequence[str]) -> dict[str, str]:
    """Return dose and candidate of each batch; with the batch where several have the same."""
    words = {batch: recipe_words(register, batch) for batch in batches}
    several = {one for one, count in Counter(words.values()).items() if count > 1}
    return {
        batch: f"{name} ({batch})" if name in several else name for batch, name in words.items()
    }


def step_sign(verdict: Verdict, wanted: Property) -> str:
    """Return the sign of a verdict, once to three times by its step; hollow on a condition.

    Behind it stands, hollow, what else would be concluded on that condition.
    """
    sign = STEP_SIGNS[step_of(verdict, wanted)]
    if verdict.standing is Firmness.CONDITIONAL:
        return sign.translate(TO_HOLLOW)
    return sign + else_sign(verdict)


def else_sign(verdict: Verdict) -> str:
    """Return the hollow sign of what else would be concluded on a condition; "" if nothing."""
    return "" if verdict.if_alike is None else HOLLOW[OUTCOME_WORDS[verdict.if_alike][0]]


def conditions_words(verdicts: Sequence[Verdict]) -> str:
    """Return on what the hollow signs of verdicts stand, each condition once.

    Examples
    --------
    >>> conditions_words([])
    'on a condition'
    """
    hollow = (
        one for one in verdicts if one.standing is Firmness.CONDITIONAL or one.if_alike is not None
    )
    found = dict.fromkeys(translated(one.condition) for one in hollow)
    return say(" or ").join(found) or say("on a condition")


def left_out_words(one: Exclusion) -> str:
    """Return what a study leaves out, and what is filed of it, in a sentence.

    Examples
    --------
    >>> left_out_words(Exclusion(ExcludedBy.COAT_SYSTEMS, "primer with topcoat", 4, ("pull_off",)))
    '4 panels with the coat system primer with topcoat; filed of it: pull off.'
    """
    match one.by:
        case ExcludedBy.DOSES:
            dose = in_numbers(one.name)
            told = say("candidates with {dose} % ({count})", dose=dose, count=one.count)
        case ExcludedBy.COAT_SYSTEMS:
            panels = say_counted(one.count, "panel")
            told = say("{panels} with the coat system {system}", panels=panels, system=one.name)
            if not one.name:
                told = say("{panels} without a coat system in the register", panels=panels)
        case ExcludedBy.PANELS:
            panels = say_counted(one.count, "panel")
            told = say("{panels} that the study does not name", panels=panels)
        case _:
            assert_never(one.by)
    kinds = joined([translated(kind.replace("_", " ")) for kind in one.kinds])
    return say("{what}; filed of it: {kinds}.", what=told, kinds=kinds or say("nothing"))


def in_lines(text: str, width: int = WIDE, most: int = 2) -> str:
    """Return a text in at most so many lines, for a figure with little room.

    Examples
    --------
    >>> in_lines("RB-013 · 10 % micaceous iron oxide, surface treated, of the second delivery")
    'RB-013 · 10 % micaceous iron oxide,\\nsurface treated, of the second …'
    """
    lines = textwrap.wrap(text, width, max_lines=most, placeholder=" …", break_on_hyphens=False)
    return "\n".join(lines)
