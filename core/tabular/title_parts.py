"""Titles as people and instruments write them, parted from their unit, their sign and their logarithm."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from tiecoat.dialect.titles import cut_unit
from tiecoat.dialect.units import plain_unit, scale
from tiecoat.tabular.plain_words import bare, code_of

_SIGN = re.compile(
    r"(?:\(\s*[-−–]\s*\)|[-−–]|minus(?:\b|_)|neg(?:ative|ativ|\.)?[\s_]"
    r"|(?:minus|neg)(?=im|z))\s*(?=[^\s\d])",
    re.IGNORECASE,
)
_SIGN_BEHIND = re.compile(  # Zim_neg_ohm, Z'' (neg.) [ohm]
    r"(?P<name>\S*[^\W\d]\S*?)[\s_]*(?:(?<=[\s_])neg\.?|\(neg(?:ative|ativ)?\.?\))(?=$|[\s_\[(/,])",
    re.IGNORECASE,
)
_LOG = re.compile(r"(?:log\s?10|log|lg)\b[\s_]*(?P<rest>.+)", re.IGNORECASE | re.DOTALL)
_BRACKETED = re.compile(r"(?P<name>.*\S)\s*[\[(](?P<unit>[^()\[\]]{1,20})[\])]")
_AMID = re.compile(  # a unit in brackets amid a title: DFT (µm) dry
    r"(?P<name>[^()\[\]]*\S)\s*[\[(](?P<unit>[^()\[\]]{1,20})[\])],?\s+(?P<rest>[^\W\d][^()\[\]]*)"
)
_JOINED = re.compile(
    r"(?P<name>.*\S)\s+(?:in|en|em|v|ve|w|i)\s+\[?(?P<unit>(?:1/|[^\]\d])\S*(?:\s?\S{1,6})?)\]?",
    re.DOTALL,
)
_MINUTES = re.compile(
    r"(?<=[^\W_])_(?:h{0,2}mmss|hms|hhmm)$|(?<=\S)(?:\s*[\[(/,]\s*|\s+(?:in\s+)?)(?:(?:h+:)?m+(?:in)?:s+(?:ec)?|h+(?:rs?)?:m+(?:in)?)\s*[\])]?$",
    re.IGNORECASE,
)
_DEGREES = re.compile(r"(.*\S)\s*[/,(\[]\s*([CF])\s*[)\]]?")
_PERCENT_OF = re.compile(r"%\s(?P<name>[^\W\d_]{3}.*)", re.DOTALL)  # % rusted
_LOOSE = (
    re.compile(r"(?P<name>.*\S)[\s_]+(?P<unit>\S+\s\S{1,6})"),
    re.compile(r"(?P<name>.*\S)[\s_]+(?P<unit>\S+)"),
)
_BESIDE = (
    re.compile(r"(?P<name>.*[^\s/,:|])\s+(?P<unit>(?:1/|[^\s\d/(\[])\S*\s\S{1,6})"),
    re.compile(r"(?P<name>.*[^\s/,:|])\s+(?P<unit>(?:1/|[^\s\d/(\[])\S+)"),
)
_GLUED = re.compile(r"\s[^\s,;/]+/[^\s/]+(?:\s\S{1,6})?$")  # a slash that may be within a unit
_OVER_ANOTHER = re.compile(r"(?P<name>[^\s/]+)_(?P<unit>[^\s_/]+/[^\s_]+)")  # NaCl_g/l
_VOLUMES = ("milliliter", "centimeter**3")
_IN_A_DAY = re.compile(  # what is collected from one day to the next: Niederschlag in 24 h (ml)
    r"(?:\b(?:in|je|per|pro|par|por|en|na|za|w|over|au bout de)\s+|[(/]\s*)?"
    r"\b24\s?(?:h|hrs?|hours|Std|Stunden|heures|horas|ore|godz|godzin|uur|hod|hodin)\b\.?",
    re.IGNORECASE,
)
_OVER_80 = re.compile(  # the area of a collector: por 80 cm²
    r"(?:\b(?:por|per|pro|je|pour|par|na|op|auf|on|over|su|sobre|sur|su di|v)\s+|[(/,]\s*)?(?<!\d)80\s?cm[²2]\s?\)?",
    re.IGNORECASE,
)
_VOLUME_IN = re.compile(  # collected ml in 24 h
    r"(?P<name>[^()\[\]]*[^\W\d_])\s+(?P<unit>ml\s(?:in|per|pro|je|en|par|por|na|za|w|v|op)\s\d{0,2}\s?h)",
    re.IGNORECASE,
)
_OF_AREA = re.compile(  # % of the area, % dell’area
    r"%\s*(?:of (?:the )?|der |de (?:la |l['’])?|del(?:la |l['’]|lo )?|van (?:het |de )?|z )?"
    r"(?:area|surface|fläche|bruchfläche|superficie|área|powierzchni|oppervlak(?:te)?|plochy)",
    re.IGNORECASE,
)
_WHOLE_UNIT = re.compile(  # and no quantity over its unit, such as f/Hz
    r"[\[(]?(?:(?:1|dyne?s?|kgf|lbf|lb|kN|mN|kg|mg|ml)/|N/[cm]?m[²2^]|D/cm[²2]|g/(?:m[l³3]|cm|cc|l)).*",
    re.IGNORECASE,
)
_TIMES = frozenset({"min", "sec"})
_UNDERSCORED = re.compile(r"[^\W\d]\w*_[^\W\d_]+\d?")  # as programs write: PK_psi, t_h
_ONE_LETTER_UNITS = frozenset("hsdNVHS")  # of a title joined by underscores: run_A is no current
_PER = re.compile(  # what is joined by underscores for want of a slash: density_g_cm3
    r"(?<=[gnflbp]) (?=(?:[cmd]?m|in|ft)[23]$|(?:ml|cc|l|gal)$)", re.IGNORECASE
)
# Units that programs write without their slash: FALL_ML_H, rho_kgm3, SR_1/S; an area is multiplied.
_OVER = re.compile(
    r"(?P<name>[^\s/]*[^\W_])_(?P<over>1|rad|m?g|kg|lb|ml|k?n|mm2|dyn)[_/]?"
    r"(?P<under>s|sec|h|24h|l|ltr|ml|cc|ccm|[cd]?m3|gal|[cm]?m2)",
    re.IGNORECASE,
)
_SMALL = ("Pa", "mPa", "Pas", "mPas", "dPas", "kPa", "MPa")  # which no small letters may show
_IN_CAPITALS = {unit.upper(): unit for unit in reversed(_SMALL)} | {"MPA": "MPa"}
_HOT = re.compile(
    r"(?:.*[\s._])?(?:t|tp|ts|tm|t\.?in|.*temp|tmp|cell)(?:[\s._]\w+)?", re.IGNORECASE
)
_GLUED_DEGREES = re.compile(r"(?P<name>(?:.*[\W_])?(?:[Tt]e?mp|TE?MP)\.?)(?P<unit>[CF])")  # TempC
_AT_DEGREES = re.compile(r"(?P<name>.*[^\W_])[\s_](?P<unit>[CF])")
_ONE_OVER = re.compile(r"(?P<name>.*[^\W\d])[\s_]+1")  # shear_rate_1/s
_ONE_LETTER = re.compile(r"[^\W\d_]\W?\d*")  # a symbol or the number of something: N., P1
_WORD_FROM = 3  # letters; less is a symbol, and a slash behind it parts it from its unit
_INSIDE = re.compile(r"[(\[](?P<inside>[^()\[\]]+)[)\]]")
_GAPS = re.compile(r"[\s_]+")
_WORDLIKE_UNITS = frozenset(
    "min sec in den dia ora ore tag dag st cp cps lb deg rad std hod uur rpm gal week cal cale cali "  # noqa: SIM905 - it reads
    "palec palce om mic mn sett doby dob wo".split()
)


@dataclass(frozen=True)
class Title:
    """A title, parted.

    Parameters
    ----------
    raw
        As it stands, several rows of titles joined by a blank.
    name
        Without unit, sign and logarithm.
    unit
        The unit beside it, or None.
    turned
        True for a minus in front: the column holds the negative of what the name says.
    log
        True for a decimal logarithm of what the name says.
    factor
        By which numbers below it are multiplied.
    """

    raw: str
    name: str
    unit: str | None = None
    turned: bool = False
    log: bool = False
    factor: float = 1.0

    @property
    def code(self) -> str | None:
        """The title as a code whose slashes and dashes count, such as B/C and -/Y, else None."""
        return code_of(self.raw)

    @property
    def spellings(self) -> Iterator[str]:
        """The name, then without what stands in brackets, then that alone."""
        yield self.name
        if found := _INSIDE.findall(self.name):
            yield _INSIDE.sub(" ", self.name)
            yield from found


def unit_for(title: Title, to: str) -> str | None:
    """Return the unit of a title that is known to be of a column in `to`.

    Its own if that can be turned into it; else what stands in brackets, or at its end.

    Examples
    --------
    >>> unit_for(parted("Foam [ml] after 1 min"), "ml"), unit_for(parted("Zre_ohm_cm2"), "ohm*cm**2")
    ('ml', 'ohm cm2')
    >>> unit_for(parted("LIQ_MM"), "mm"), unit_for(parted("run_A"), "cm**2")
    ('MM', None)
    """
    if not to or (title.unit and scale(title.unit, to) is not None):
        return title.unit
    ends = [title.raw[gap.end() :].replace("_", " ") for gap in _GAPS.finditer(title.raw)]
    said = (part.strip(" :;=*") for part in (*_INSIDE.findall(title.raw), title.raw, *ends))
    return next((unit for unit in said if unit and scale(unit, to) is not None), title.unit)


@lru_cache(maxsize=16384)
def parted(raw: str) -> Title:
    """Part a title.

    Examples
    --------
    >>> parted("-Z'' [kOhm]")
    Title(raw="-Z'' [kOhm]", name="Z''", unit='kOhm', turned=True, log=False, factor=1.0)
    >>> parted("log10(|Z| / Ohm)").log, parted("log10(|Z| / Ohm)").unit, parted("Hours").unit
    (True, 'Ohm', None)
    """
    if raw.isalpha():
        glued = _GLUED_DEGREES.fullmatch(raw)
        return Title(raw, glued["name"], f"°{glued['unit']}") if glued else Title(raw, raw)
    text = " ".join(raw.split()).strip(" :;=*")
    turned = log = False
    if match := _SIGN.match(text):
        turned, text = True, text[match.end() :]
    elif match := _SIGN_BEHIND.match(text):
        turned, text = True, match["name"] + text[match.end() :]
    if (match := _LOG.fullmatch(text)) and len(bare(match["rest"])) > 0:
        rest = match["rest"].strip()
        if rest[0] in "([" and rest[-1] in ")]":
            rest = rest[1:-1]
        log, text = True, rest.strip()
    text = _MINUTES.sub(
        "", text
    )  # min:s or h:min tells how the cells are written, and they show it
    if _WHOLE_UNIT.fullmatch(text) and is_unit_title(text):
        whole = text.strip("[]() ")
        return Title(raw, whole, whole)
    name, unit = _cut_unit(text)
    if unit is None and (match := _JOINED.fullmatch(text)) and match["unit"] in ("C", "F"):
        name, unit = match["name"], f"°{match['unit']}"
    if unit is not None and _OF_AREA.fullmatch(unit):
        unit = "%"
    if (match := _OVER.fullmatch(text)) is not None:
        name, unit = match["name"], f"{match['over']}/{match['under']}".lower()
        unit = unit.replace("1/sec", "1/s").replace("/ltr", "/l").replace("n/", "N/")
    if unit is None and _UNDERSCORED.fullmatch(text):
        name, unit = _by_underscores(text)
    if unit is None and (match := _PERCENT_OF.fullmatch(text)):
        name, unit = match["name"], "%"
    if unit is None and (match := _AT_DEGREES.fullmatch(text)) and _HOT.fullmatch(match["name"]):
        name, unit = match["name"], f"°{match['unit']}"
    if unit is None and (match := _GLUED_DEGREES.fullmatch(text)):
        name, unit = match["name"], f"°{match['unit']}"
    if unit is None and (match := _DEGREES.fullmatch(text)):
        name, unit = match[1], f"°{match[2]}"
    return Title(raw, name, unit, turned, log)


def _by_underscores(text: str) -> tuple[str, str | None]:
    """Part a title from a unit that an underscore joins: `Zre_ohm_cm2`, `density_g_cm3`."""
    for count in (2, 1):
        name, *parts = text.rsplit("_", count)
        said = " ".join("%" if part.casefold() == "pct" else part for part in parts)
        said = _IN_CAPITALS.get(said, said)
        word = said.casefold() in _WORDLIKE_UNITS - _TIMES
        if len(said) == 1 and said not in _ONE_LETTER_UNITS and said != "%":
            continue
        if count > 1 and parts[0] == "A" and scale(parts[1], "cm**2") is not None:
            continue  # the area of a cell, and no current over one
        if len(parts) == count and name and not word and plain_unit(said) not in (None, ""):
            return name, _PER.sub("/", said)
    return text, None


def _cut_unit(text: str) -> tuple[str, str | None]:
    """Part a title from the longest unit at its end: joined by a word, beside nothing but a blank, or as usual."""
    if (match := _OVER_80.search(text)) and not text[match.end() :].strip():
        name, unit = _cut_unit(text[: match.start()].rstrip())
        if unit is not None and (_IN_A_DAY.search(unit) or plain_unit(unit) in _VOLUMES):
            return name, unit
    if (match := _VOLUME_IN.fullmatch(text)) is not None and plain_unit(match["unit"]):
        return match["name"], match["unit"]
    match = _BRACKETED.fullmatch(text)
    if match and plain_unit(whole := _OVER_80.sub("", match["unit"]).strip()) in _VOLUMES:
        return match["name"].rstrip(" /,"), whole  # ml je 80 cm²
    if match and _unit_signs(match["unit"]):
        return match["name"].rstrip(" /,"), match["unit"].strip()
    if (match := _JOINED.fullmatch(text)) and plain_unit(match["unit"]) is not None:
        return match["name"], match["unit"]
    match = _OVER_ANOTHER.fullmatch(text)
    if match and not match["unit"].startswith("1/") and plain_unit(match["unit"]) not in (None, ""):
        return match["name"], match["unit"]
    name, unit = cut_unit(text)
    if unit is not None and (text[-1] in ")]" or not _GLUED.search(text)):
        return name, unit
    if (match := _AMID.fullmatch(text)) and plain_unit(match["unit"]) not in (None, ""):
        return f"{match['name']} {match['rest']}", match["unit"].strip()
    for shape in _BESIDE:
        # with nothing but a blank before it: only if it cannot be a word of the title
        match = shape.fullmatch(text)
        if match and plain_unit(match["unit"]) is not None and not _wordlike(match["unit"]):
            return match["name"], match["unit"]
    return name, unit


def _unit_signs(text: str) -> bool:
    """Tell whether what stands in brackets is a unit, or can be nothing but one that is not known."""
    return plain_unit(text) not in (None, "") or (
        "/" in text and not any(char.isdigit() for char in text.split("/", maxsplit=1)[0])
    )


def _wordlike(unit: str) -> bool:
    return unit.rstrip(".").isalpha()


def readings(title: Title) -> Iterator[Title]:
    """Return the other ways to part a title: its last word as its unit, or the slash as an inverse.

    Examples
    --------
    >>> [(other.name, other.unit) for other in readings(parted("abs(Z) kΩ"))]
    [('abs(Z)', 'kΩ')]
    >>> [(other.name, other.unit) for other in readings(parted("gamma dot /s"))]
    [('gamma dot', '/s')]
    >>> list(readings(parted("f / s"))), list(readings(parted("f /s")))  # a quantity and its unit
    ([], [])
    """
    if title.unit is not None:
        if plain_unit(title.unit) in _VOLUMES and (match := _IN_A_DAY.search(title.name)):
            rest = _OVER_80.sub(" ", f"{title.name[: match.start()]} {title.name[match.end() :]}")
            yield replace(title, name=rest.strip(" ,;-/()"), unit="ml/24h")
        if match := _ONE_OVER.fullmatch(title.name):
            yield replace(title, name=match["name"], unit=f"1/{title.unit}")
        per = re.search(rf"[\s(\[]/{re.escape(title.unit)}\W?$", title.raw.strip())
        if per and len(bare(title.name)) >= _WORD_FROM:
            yield replace(title, unit=f"/{title.unit}")
        first, _, last = title.unit.rpartition(" ")
        if first and plain_unit(last) not in (None, ""):
            yield replace(title, name=f"{title.name} {first}", unit=last)
        return
    for shape in _LOOSE:
        match = shape.fullmatch(title.name)
        unit = match["unit"].strip("()[]") if match else ""
        if match and (unit in ("C", "F") or (unit in ("c", "f") and "_" in title.name)):
            unit = f"°{unit.upper()}"
        if match and plain_unit(unit) not in (None, ""):
            yield replace(title, name=match["name"].rstrip(" ,/"), unit=unit)


def is_unit_title(text: str) -> bool:
    """Tell whether a whole title is a unit that is no word: `um`, `MPa`, `N/mm2`.

    Examples
    --------
    >>> is_unit_title("um"), is_unit_title("[MPa]"), is_unit_title("min"), is_unit_title("P1")
    (True, True, False, False)
    """
    inner = text.strip("[]() ")
    if _ONE_LETTER.fullmatch(inner):
        return False
    return len(inner) > 1 and inner not in _WORDLIKE_UNITS and plain_unit(inner) not in (None, "")
