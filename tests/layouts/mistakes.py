"""Mistakes that people and instruments make, done to ordinary exports.

Each contradicts the file itself, the register or the clock, or leaves two readings open: the file
must be held, or at the least be filed with a remark.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from random import Random

from . import units
from .case import Case
from .cells import Cell, Moment, Number, Text
from .compose import draw, render
from .draft import Draft
from .register import PANELS_OF_A_BATCH, batches
from .style import OPEN, Style
from .words import word

BATCHES = {batch.id: batch for batch in batches()}
PER_PANEL = {"impedance", "pull_off", "gloss", "film_thickness", "exposure_rating"}
REGISTER = {"batches", "panels"}
ONE_DAY_MONTH = {"density", "viscosity", "flow_cup", "pull_off", "gloss", "film_thickness"}


@dataclass
class Spoilt:
    """A draft on the way to its mistake."""

    draft: Draft
    style: Style
    dice: Random
    name: str = ""  # the file's name, if that is the mistake
    cut: bool = False

    @property
    def flavour(self) -> str:
        """The kind of export."""
        return self.draft.flavour

    def has(self, *traits: str) -> bool:
        """Say whether the export has one of these traits."""
        return any(trait in self.draft.traits for trait in traits)

    def parts(self) -> Iterator[dict[str, Cell]]:
        """Go through constants and rows."""
        for group in self.draft.groups:
            yield group.constants
            yield from group.rows

    def rows(self) -> list[dict[str, Cell]]:
        """Return the rows alone, to be changed."""
        return [row for group in self.draft.groups for row in group.rows]

    def stands_in_rows(self, *keys: str) -> bool:
        """Say whether each row has these."""
        return all(key in row for row in self.rows() for key in keys)


Mistake = Callable[[Spoilt], str]  # what was done, "" if it cannot be done to this export


# --- columns


PAIRS: dict[str, tuple[tuple[str, str], ...]] = {
    "impedance": (("real", "imag"), ("modulus", "phase")),
    "density": (("temperature", "density"),),
    "pull_off": (("force", "strength"),),
    "gloss": (("angle", "gloss"), ("spot", "gloss")),
    "film_thickness": (("spot", "thickness"),),
    "viscosity": (("stress", "viscosity"),),
    "exposure_rating": (("damage", "scribe"),),
    "chamber_record": (("temperature", "ph"),),
    "panels": (("coated", "immersed"),),
}


def swapped(spoilt: Spoilt) -> str:
    """Two columns stand under each other's title, and what they say cannot be."""
    possible = [
        pair
        for pair in PAIRS.get(spoilt.flavour, ())
        if all(k in spoilt.draft.fields for k in pair)
    ]
    if spoilt.flavour == "impedance" and not spoilt.has("form parts", "form polar", "form all"):
        return ""
    if spoilt.flavour == "density" and spoilt.draft.fields["density"].unit.startswith("lb"):
        return ""
    if spoilt.flavour != "panels":
        possible = [pair for pair in possible if spoilt.stands_in_rows(*pair)]
    if not possible:
        return ""
    first, second = spoilt.dice.choice(possible)
    for group in spoilt.draft.groups:
        for row in group.rows:
            whole = {**group.constants, **row}
            row[first], row[second] = whole[second], whole[first]
        group.constants.pop(first, None)
        group.constants.pop(second, None)
    return f"swapped: {first} and {second}"


SHIFTED = {
    "impedance": ("real", "imag", "modulus", "phase"),
    "density": ("density", "temperature"),
    "pull_off": ("force", "strength", "failure"),
    "gloss": ("gloss",),
    "film_thickness": ("thickness",),
    "viscosity": ("stress", "viscosity", "rate"),
    "exposure_rating": ("damage", "creep", "rating"),
}
TWICE_SAID = {
    "impedance": ("form all", "form all minus"),
    "pull_off": ("said in both",),
    "viscosity": ("said in both",),
}


def shifted(spoilt: Spoilt) -> str:
    """One column stands a row too low; its first cell is empty and its last value lost."""
    keys = [key for key in SHIFTED.get(spoilt.flavour, ()) if key in spoilt.draft.fields]
    keys = [key for key in keys if spoilt.stands_in_rows(key)]
    rows = spoilt.rows()
    if not keys or len(rows) < 3 or (spoilt.flavour == "viscosity" and spoilt.has("said in both")):
        return ""  # of three columns one may be missing in a row
    if spoilt.flavour in {"impedance", "pull_off"} and spoilt.has(*TWICE_SAID[spoilt.flavour]):
        return ""
    key = spoilt.dice.choice(keys)
    values = [row[key] for row in rows]
    for row, value in zip(rows, [None, *values[:-1]], strict=True):
        row[key] = value
    spoilt.draft.shapes = tuple(s for s in spoilt.draft.shapes if s not in {"records", "wide"})
    return f"shifted: {key} down by a row"


def rotated(spoilt: Spoilt) -> str:
    """One of columns that say the same twice stands a row too low, its last value on top."""
    if not spoilt.has(*TWICE_SAID.get(spoilt.flavour, ())):
        return ""
    key = {"impedance": "modulus", "pull_off": "force", "viscosity": "viscosity"}[spoilt.flavour]
    rows = spoilt.rows()
    values = [row[key] for row in rows]
    if len(set(values)) < 3:
        return ""
    for row, value in zip(rows, [values[-1], *values[:-1]], strict=True):
        row[key] = value
    return f"rotated: {key} by a row"


# --- values

SLIPS = {
    "impedance": ("modulus", "imag"),
    "density": ("density",),
    "pull_off": ("strength", "force"),
    "gloss": ("gloss",),
    "film_thickness": ("thickness",),
    "viscosity": ("viscosity", "stress"),
    "flow_cup": ("temperature",),
    "chamber_record": ("temperature", "ph"),
    "batches": ("dose",),
    "panels": ("thickness",),
}


def slipped(spoilt: Spoilt) -> str:
    """One value is ten or a hundred times too great: beyond its bounds, or beside its neighbours."""
    keys = [key for key in SLIPS.get(spoilt.flavour, ()) if key in spoilt.draft.fields]
    if spoilt.has("form logs", "form admittance") or not keys:
        return ""
    key = keys[0]
    part = _middle(spoilt, key)
    if part is None:
        return ""
    number = part[key]
    assert isinstance(number, Number)
    factor = 100 if spoilt.flavour == "batches" else 10
    if number.value == 0 or (
        spoilt.flavour == "density"
        and number.value > 20
        and "kg/m" not in spoilt.draft.fields[key].unit
    ):
        return ""
    part[key] = _times(number, factor)
    return f"slipped: {key} {number.text} -> {part[key].text}"  # type: ignore[union-attr]


def _middle(spoilt: Spoilt, key: str) -> dict[str, Cell] | None:
    """Return a row from the midst; of few rows none, for their neighbours say too little."""
    holding = [part for part in spoilt.parts() if isinstance(part.get(key), Number)]
    by_bounds = spoilt.flavour in {"density", "flow_cup", "chamber_record", "batches"}
    if by_bounds:
        return holding[-1] if holding else None
    sizes = [len(group.rows) for group in spoilt.draft.groups]
    if spoilt.flavour == "panels":
        return holding[1] if len(holding) >= 4 else None
    if min(sizes) < (9 if spoilt.flavour == "impedance" else 3):
        return None
    rows = spoilt.draft.groups[0].rows
    if spoilt.flavour == "gloss" and spoilt.has("1 spots"):
        return None
    if spoilt.flavour == "impedance":  # where the film blocks, so that this part is the greater
        return rows[len(rows) // 4]
    return rows[len(rows) // 2]


def _times(number: Number, factor: float) -> Number:
    mantissa, letter, exponent = number.text.replace("e", "E").partition("E")
    if letter:
        return Number(f"{mantissa}E{int(exponent) + (2 if factor == 100 else 1):+03d}")
    decimals = len(mantissa.partition(".")[2])
    return Number(f"{float(mantissa) * factor:.{decimals}f}")


def sign_lost(spoilt: Spoilt) -> str:
    """The imaginary part, or the phase, is positive under a title that says nothing of it."""
    if not spoilt.has("form parts", "form polar", "form all", "form polar rad"):
        return ""
    for row in spoilt.rows():
        for key in ("imag", "phase"):
            if isinstance(number := row.get(key), Number):
                row[key] = Number(number.text.lstrip("-"))
    return "sign lost: imaginary part and phase are positive"


def negative(spoilt: Spoilt) -> str:
    """One value is below zero, which it cannot be."""
    keys = {
        "gloss": "gloss",
        "film_thickness": "thickness",
        "pull_off": "strength",
        "density": "density",
        "flow_cup": "efflux",
    }
    key = keys.get(spoilt.flavour, "")
    rows = [row for row in spoilt.rows() if isinstance(row.get(key), Number)]
    if not rows:
        return ""
    row = spoilt.dice.choice(rows)
    number = row[key]
    assert isinstance(number, Number)
    row[key] = Number(f"-{number.text}")
    return f"negative: {key}"


def bad_notation(spoilt: Spoilt) -> str:
    """A rating, a failure or a role is none that there is."""
    wrong = {
        "pull_off": ("failure", ("60 % B, 30 % C", "60 % B", "100 % Q")),
        "exposure_rating": ("rating", ("Ri 7", "3(S9)", "8(S2)")),
        "batches": ("role", ("maybe", "half")),
    }
    key, texts = wrong.get(spoilt.flavour, ("", ("",)))
    if spoilt.flavour == "exposure_rating" and "rust" in spoilt.draft.fields:
        key, texts = "rust", ("Ri 7", "Ri 12")
    rows = [row for row in spoilt.rows() if key in row]
    if not rows:
        return ""
    spoilt.dice.choice(rows)[key] = Text(spoilt.dice.choice(texts))
    return f"bad notation: {key}"


def twice(spoilt: Spoilt) -> str:
    """The same determination stands there twice, with two values."""
    keys = {"pull_off": "determination", "gloss": "spot", "film_thickness": "spot"}
    key = keys.get(spoilt.flavour, "")
    value = {"pull_off": "failure", "gloss": "gloss", "film_thickness": "thickness"}.get(
        spoilt.flavour, ""
    )
    group = spoilt.draft.groups[0]
    rows = [
        row for row in group.rows if key in row and row.get("angle") == group.rows[0].get("angle")
    ]
    if len(rows) < 2 or rows[0].get(value) == rows[1].get(value) or value not in rows[0]:
        return ""
    rows[1][key] = rows[0][key]
    return f"twice: {key} {rows[0][key].text}"  # type: ignore[union-attr]


def other_angle(spoilt: Spoilt) -> str:
    """The gloss was read at an angle that its standard does not have."""
    if spoilt.flavour != "gloss":
        return ""
    parts = [part for part in spoilt.parts() if isinstance(part.get("angle"), Number)]
    old = parts[0]["angle"]
    for part in parts:
        if part["angle"] == old:
            part["angle"] = Number("46")
    return "other angle: 46 degrees"


# --- the register


def batch_twice(spoilt: Spoilt) -> str:
    """A batch, or a panel, stands in one sheet twice with different values."""
    rows = spoilt.rows()
    if spoilt.flavour == "batches" and len(rows) > 2:
        rows[2]["batch"] = rows[1]["batch"]
        return "twice: a batch with two doses"
    if spoilt.flavour == "panels" and "thickness" in spoilt.draft.fields:
        rows = spoilt.draft.groups[0].rows
        if len(rows) > 1 and rows[0]["thickness"] != rows[1]["thickness"]:
            rows[1]["panel"] = rows[0]["panel"]
            return "twice: a panel with two thicknesses"
    return ""


def nameless(spoilt: Spoilt) -> str:
    """A candidate has no name."""
    if spoilt.flavour != "batches" or len(spoilt.rows()) < 2:
        return ""
    spoilt.rows()[1]["candidate"] = None
    return "nameless: a candidate"


def foreign_batch(spoilt: Spoilt) -> str:
    """A panel is said to be of another batch than its id says."""
    if "panel" not in spoilt.draft.fields or "batch" not in spoilt.draft.fields:
        return ""
    other = spoilt.dice.choice(sorted(BATCHES))
    part = next(part for part in spoilt.parts() if "batch" in part)
    if part["batch"] == Text(other):
        return ""
    part["batch"] = Text(other)
    spoilt.draft.fields["panel"].places = ("entry", "column")
    return f"foreign batch: {other}"


# --- ids


def _each_panel(spoilt: Spoilt, change: Callable[[str], str]) -> None:
    for part in spoilt.parts():
        cell = part.get("panel")
        if isinstance(cell, Text):
            part["panel"] = Text(change(cell.text))


def unknown_panel(spoilt: Spoilt) -> str:
    """No such panel is registered."""
    if spoilt.flavour not in PER_PANEL:
        return ""
    number = PANELS_OF_A_BATCH + spoilt.dice.randint(1, 60)
    _each_panel(spoilt, lambda text: f"{text[:-2]}{number + int(text[-2:]) % 13:02d}")
    return "unknown panel"


def slipped_id(spoilt: Spoilt) -> str:
    """An id has a letter for a digit, or a mark too many, and fits no pattern."""
    way = spoilt.dice.choice(("O", "double", "short"))
    key = spoilt.draft.id_key
    part = next((part for part in spoilt.parts() if isinstance(part.get(key), Text)), None)
    if part is None:
        return ""
    cell = part[key]
    assert isinstance(cell, Text)
    part[key] = Text(
        {
            "O": cell.text.replace("0", "O", 1),
            "double": cell.text.replace("-", "--"),
            "short": cell.text[1:],
        }[way]
    )
    if key == "panel":
        spoilt.draft.fields.pop("batch", None)
        for one in spoilt.parts():
            one.pop("batch", None)
    return f"slipped id: {part[key].text}"  # type: ignore[union-attr]


def other_name(spoilt: Spoilt) -> str:
    """The file is named after another panel, or batch, than the one it speaks of."""
    if spoilt.flavour in REGISTER:
        return ""
    key = spoilt.draft.id_key
    said = {cell.text for part in spoilt.parts() if isinstance(cell := part.get(key), Text)}
    every = (
        [panel.id for batch in batches() for panel in batch.panels]
        if key == "panel"
        else sorted(BATCHES)
    )
    spoilt.name = spoilt.dice.choice([one for one in every if one not in said])
    spoilt.draft.fields[key].places = ("entry", "column")
    return f"other name: {spoilt.name}"


# --- units

NOT_ASSUMED = {
    "impedance": ("exposure", "area"),
    "density": ("elapsed",),
    "pull_off": ("force",),
    "viscosity": ("viscosity",),
    "exposure_rating": ("hours",),
    "batches": ("dose",),
}


def unit_left_out(spoilt: Spoilt) -> str:
    """A unit that has no custom is nowhere said, and nothing else determines it."""
    keys = [key for key in NOT_ASSUMED.get(spoilt.flavour, ()) if key in spoilt.draft.fields]
    if spoilt.has("said in both") or not keys:
        return ""
    key = spoilt.dice.choice(keys)
    field = spoilt.draft.fields[key]
    if key in {"exposure", "hours"} and (
        "measured" in spoilt.draft.fields or field.title in {"Hours", "Stunden"}
    ):
        return ""
    values = [cell.value for part in spoilt.parts() if isinstance(cell := part.get(key), Number)]
    if not any(values):
        return ""
    field.unit, field.percent = "", False
    return f"unit left out: {key}"


OTHER_UNIT: dict[str, tuple[tuple[str, str, str], ...]] = {  # key, unit as said, unit in truth
    "density": (("density", "kg/m³", "g"), ("density", "g/cm³", "kg/m")),
    "film_thickness": (("thickness", "mm", "µ"), ("thickness", "µm", "mm")),
    "panels": (("thickness", "mm", "µ"), ("thickness", "µm", "mm")),
}


def wrong_unit(spoilt: Spoilt) -> str:
    """A title states another unit than its values have: they cannot be, or contradict another."""
    key, said = "", ""
    fields = spoilt.draft.fields
    if spoilt.has(*TWICE_SAID.get(spoilt.flavour, ())):
        key = {"impedance": "modulus", "pull_off": "strength", "viscosity": "viscosity"}[
            spoilt.flavour
        ]
        others = {
            "impedance": ("mOhm", "GOhm"),
            "pull_off": ("psi", "MPa"),
            "viscosity": ("mPa·s", "Pa·s"),
        }
        first, second = others[spoilt.flavour]
        bar = any(
            unit in fields[key].unit.lower()
            for unit in ("psi", "lbf", "bar", "kg", "mpa·", "mpas", "mpa ", "mpa*", "mpa.", "cp")
        )
        said = second if bar else first
    elif spoilt.flavour in OTHER_UNIT:
        for name, other, start in OTHER_UNIT[spoilt.flavour]:
            if name in fields and _spelled_like(fields[name].unit, start):
                key, said = name, other
    if not key or fields[key].unit == said:
        return ""
    old, fields[key].unit, fields[key].bare = fields[key].unit, said, False
    return f"wrong unit: {key} in {said} instead of {old}"


def _spelled_like(unit: str, start: str) -> bool:
    if start == "µ":
        return unit in units.MICROMETRES.spellings
    if start == "g":
        return unit.startswith("g/") or unit.startswith("g cm")
    return unit.startswith(start) and unit not in units.MILS.spellings


STATED_ELSEWHERE = {
    "impedance": (("real", "MOhm"), ("modulus", "MOhm"), ("frequency", "MHz")),
    "density": (("density", "mg/ml"),),
    "pull_off": (("strength", "kPa"), ("force", "MN")),
    "film_thickness": (("thickness", "nm"),),
    "viscosity": (("viscosity", "kPa·s"), ("stress", "kPa")),
    "panels": (("thickness", "nm"),),
}


def two_units(spoilt: Spoilt) -> str:
    """The title states one unit, a sentence above another."""
    possible = [
        (key, other)
        for key, other in STATED_ELSEWHERE.get(spoilt.flavour, ())
        if key in spoilt.draft.fields
    ]
    if not possible or spoilt.has("form logs", "form admittance", "omega", "ohm cm2"):
        return ""
    key, other = spoilt.dice.choice(possible)
    field = spoilt.draft.fields[key]
    if field.unit.lower().startswith("m") and other.startswith("M"):
        return ""
    joint = word(spoilt.dice, "text.in", spoilt.draft.language)
    spoilt.draft.sentences.append(f"{field.title} {joint} {other}")
    field.bare = False
    if spoilt.style.unit_place == "sentence":
        spoilt.style.unit_place = "round"
    return f"two units: {key} in {field.unit} and in {other}"


# --- times


def _moved(spoilt: Spoilt, move: Callable[[datetime], datetime]) -> bool:
    moved = False
    for part in spoilt.parts():
        cell = part.get("measured")
        if isinstance(cell, Moment):
            part["measured"] = replace(cell, at=move(cell.at))
            moved = True
    return moved


def before_coating(spoilt: Spoilt) -> str:
    """It was measured before the panel was coated, or the batch was mixed."""
    if spoilt.flavour in REGISTER or not _moved(spoilt, lambda at: at - timedelta(days=364)):
        return ""
    return "before coating: a year too early"


def in_future(spoilt: Spoilt) -> str:
    """It was measured in a year that is still to come."""
    if spoilt.flavour in REGISTER or not _moved(spoilt, lambda at: at.replace(year=2044)):
        return ""
    return "in the future: 2044"


def day_or_month(spoilt: Spoilt) -> str:
    """No date in the file says whether the day or the month comes first."""
    if spoilt.flavour not in ONE_DAY_MONTH or spoilt.style.medium == "book":
        return ""
    day, month = spoilt.dice.choice(((9, 10), (10, 9), (11, 12), (12, 10), (10, 11)))
    if not _moved(spoilt, lambda at: at.replace(month=month, day=day)):
        return ""
    spoilt.style.dates = OPEN
    return "day or month: no day above 12"


def other_exposure(spoilt: Spoilt) -> str:
    """The stated exposure is a tenth of what the dates of file and register say."""
    key = {"impedance": "exposure", "exposure_rating": "hours"}.get(spoilt.flavour, "")
    if not key or "measured" not in spoilt.draft.fields:
        return ""
    done = False
    for group in spoilt.draft.groups:
        number = group.constants.get(key)
        days = spoilt.draft.fields[key].unit in {
            word for words in units.DAY_WORDS.values() for word in words
        }
        if isinstance(number, Number) and number.value * (24 if days else 1) >= 240:
            group.constants[key] = Number(f"{number.value / 10:.1f}")
            done = True
    return "other exposure: a tenth of what the dates say" if done else ""


def cut_off(spoilt: Spoilt) -> str:
    """The file ends in the midst of a row."""
    if spoilt.style.medium == "text" and (len(spoilt.rows()) < 3 or spoilt.has("bare")):
        return ""
    spoilt.cut = True
    spoilt.draft.shapes = ("flat",)
    return "cut off"


MISTAKES: tuple[Mistake, ...] = (
    swapped,
    shifted,
    rotated,
    slipped,
    sign_lost,
    negative,
    bad_notation,
    twice,
    other_angle,
    batch_twice,
    nameless,
    foreign_batch,
    unknown_panel,
    slipped_id,
    other_name,
    unit_left_out,
    wrong_unit,
    two_units,
    before_coating,
    in_future,
    day_or_month,
    other_exposure,
    cut_off,
)


def mistaken(seed: int, flavour: str) -> Case:
    """Return the export of a seed with one mistake in it."""
    dice = Random(f"mistake {seed} {flavour}")
    while True:
        draft, style = draw(dice, flavour)
        draft.statistics_of = ()
        for mistake in dice.sample(MISTAKES, len(MISTAKES)):
            spoilt = Spoilt(draft, style, dice)
            if said := mistake(spoilt):
                return _rendered(seed, spoilt, said)


def _rendered(seed: int, spoilt: Spoilt, said: str) -> Case:
    if spoilt.style.medium == "book":
        spoilt.style.unit_place = spoilt.style.unit_place.replace("cell", "round")
    case = render(seed, spoilt.draft, spoilt.style, spoilt.dice, said)
    if spoilt.name:
        return replace(case, name=f"{spoilt.name}{case.name[case.name.rindex('.') :]}", folder="")
    return replace(case, content=_cut(case.content, spoilt)) if spoilt.cut else case


def _cut(content: bytes, spoilt: Spoilt) -> bytes:
    """End a text after the first cell of one of its last rows, a workbook anywhere."""
    if spoilt.style.medium == "book":
        return content[: len(content) * 2 // 3]
    encoding = next(name for name in ("utf-16", "utf-8", "cp1252") if _decodes(content, name))
    text = content.decode(encoding)
    separator = "  " if spoilt.style.separator == "aligned" else spoilt.style.separator
    lines = text.splitlines(keepends=True)
    rows = [n for n, line in enumerate(lines) if line.strip("\r\n ").count(separator) >= 1]
    chosen = rows[-1] if len(rows) < 6 else spoilt.dice.choice(rows[-3:])
    line = lines[chosen]
    indent = len(line) - len(line.lstrip(" "))
    end = line.index(separator, indent)  # of two cells the mark between them would make a row
    end += len(separator) * (line.count(separator) > 1)
    return "".join([*lines[:chosen], line[:end].rstrip(" ")]).encode(encoding)


def _decodes(content: bytes, encoding: str) -> bool:
    if encoding == "utf-16" and content[:2] not in {b"\xff\xfe", b"\xfe\xff"}:
        return False
    try:
        content.decode(encoding)
    except UnicodeDecodeError:
        return False
    return True
