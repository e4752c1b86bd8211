"""Failure patterns of pull-off tests as people write them, in the notation of ISO 4624.

`60 % cohesive in coat 1, 40 % adhesive coat 1/coat 2` is `60 % B, 40 % B/C`. Besides words in the
languages of the trade, the letters as many write them are read: both sides of a boundary in any
order, the last coat by its own letter (`B/Y`), shares without a sign that add up to 100, and the
rest. `cohesive` alone is in a coat that is not told, and `adhesive` beside it between two layers
that are not; alone that may be a failure in the glue. What leaves open where it was is returned as
it is, and so is whatever holds a word that is not known: it is told by those who read the notation.

Terms of ISO 4624 and of the trade, from memory.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from tiecoat.contract.notations.failure_notation import (
    COATS,
    COHESIVE,
    INTERFACE,
    OFF_100,
    shares_of,
)

_SUBSTRATE, _LAST, _GLUE, _DOLLY, _SOME_COAT = "A", "-", "Y", "Z", "?"
_COAT = (
    r"(?:coat(?:ing)?s?|layers?|schicht(?:en)?|lage|anstrich(?:s|es)?|beschichtung|couches?|"
    r"revetement|capas?|manos?|recubrimiento|strat[oi]|rivestimento|warstw(?:a|y|ie|e|a)|"
    r"powlok(?:a|i|e)|powloce|laag|lagen|verflaag|vrstv(?:a|y|e|u)|nater(?:u|em)?|povlak(?:u|em)?)"
)
_FILM = r"(?:film[su]?|paint|lack|farb[aye]|farbe|peinture|pintura|vernice|pittura|verf)"
_ORDINALS = (
    r"(?:first|erste[rnsm]?|premiere|primera|prim[ao]|pierwsz(?:a|ej)|eerste|prvni(?:m|ho)?)",
    r"(?:second|zweite[rnsm]?|deuxieme|segunda|second[ao]|drug(?:a|iej)|tweede|druh(?:a|e|y|em|eho))",
    r"(?:third|dritte[rnsm]?|troisieme|tercera|terz[ao]|trzeci(?:a|ej)|derde|treti(?:m|ho)?)",
)
_ENDING = r"(?:st|nd|rd|th|re|ere|eme|er|e|de|ste|a|o)?"
_LAST_WORDS = (
    r"(?:top\s?coat|finish(?:ing)?(?: coat)?|last coat"
    r"|deck(?:schicht|beschichtung|lack|anstrich)"
    rf"|letzte[rnsm]? {_COAT}|finition|derniere couche|ultima (?:capa|mano)|ultimo strato"
    rf"|finitura|(?:ostatni\w+|nawierzchniow\w+) {_COAT}|top\s?laag|deklaag|laatste laag"
    rf"|(?:vrchni|posledni)\w* {_COAT})"
)
_PRIMER_WORDS = (
    r"(?:prime(?:r|ra)(?: coat)?|grundierung|grundbeschichtung|primaire|imprimacion|"
    r"grond(?:verf|laag)|zaklad(?:ni|u)\w* nater\w*|zaklad(?:ni|u)\w* vrstv\w*|\0primer)"
)
_SUBSTRATE_WORDS = (
    r"(?:substrat(?:e|s|es|u|o|i|om|em)?|steel|metal|untergrund(?:es|s)?|stahl|blech|grundwerkstoff|"
    r"support|subjectile|acier|sustrato|soporte|acero|supporto|acciaio|podloz(?:e|a|u|em)|stal(?:i|a)?|"
    r"ondergrond|substraat|staal|podklad(?:u|em)?|ocel(?:i)?)"
)
_GLUE_WORDS = (
    r"(?:(?:glue(?: line)?|kleb(?:stoff|er)(?:s|es|schicht)?|colle|pegamento|colla|"
    r"klej(?:u|em)?|lijm(?:laag)?|lepidl(?:o|a|e|u|em))(?:bruch|versagen|breuk)?)"
)
_DOLLY_WORDS = (
    r"(?:doll(?:y|ies)|stud|(?:pruef|pruf)?stempel(?:s|a|em)?|plot|pion|sufridera|pistoncino|"
    r"tassello|grzybek|krazek|terc(?:e|ik|iku|ikem|em)?)"
)
_LAYERS = (  # in the order in which they are tried at a place
    (rf"{_COAT}\s*(?:no|nr|n|c|num)?[.°º#]*\s*(?P<after>[1-9])(?![\d%,.]\d|\d|\s*%)", "number"),
    (rf"(?P<before>[1-9])\s*\.?\s*{_ENDING}\.?\s*{_COAT}", "number"),
    *((rf"{ordinal}\s+{_COAT}", str(n)) for n, ordinal in enumerate(_ORDINALS, 1)),
    (_LAST_WORDS, _LAST),
    (_PRIMER_WORDS, "1"),
    (_SUBSTRATE_WORDS, _SUBSTRATE),
    (_GLUE_WORDS, _GLUE),
    (_DOLLY_WORDS, _DOLLY),
    (rf"(?:{_COAT}|{_FILM})", _SOME_COAT),
)
_LAYER = re.compile(
    "|".join(
        rf"(?P<l{n}>(?<![^\W\d_]){pattern}(?![^\W\d_]))" for n, (pattern, _) in enumerate(_LAYERS)
    )
)
_BREAK = r"(?:s?(?:bruch|versagen|failure|trennung))?"
_COHESIVE = re.compile(
    rf"\b(?:coh|koh|coes|kohes)\w*?{_BREAK}\b\.?|\bcf\b|\bwithin\b|\binside\b|\binnerhalb\b"
)
_ADHESIVE = re.compile(
    rf"\b(?:adh|ades(?:iv|ion))\w*?{_BREAK}\b\.?|\baf\b|\b(?:between|zwischen|entre|tra|fra|miedzy|pomiedzy|"
    r"tussen|mezi|interface|interfacial|grenzflaeche|grenzflache|interfaz|interfaccia|from|vom)\b"
)
_PROPERTY = re.compile(
    r"adh(?:erenc[ei]a?|aesion|asion|esie|eze|ezja)s?|adhesion|aderenza"
)  # measured
_NO_PLACE = re.compile(r"[N-X]")  # a letter that no coat has: a flag of the gauge
_ADHESIVE_NAMED = re.compile(  # the glue, and not a failure at a boundary
    r"(?:\b(?:in|within|the|of|dans|l'|en el|del|nell'|nell|dell'|dello|in de)\s*|/\s*)"
    r"(?P<glue>adhesi(?:ve|f|vo)|adesivo)\b|\b(?P<first>adhesi(?:ve|f|vo)|adesivo)\s*/(?=\s*(?:doll|stud|plot|pion|sufr|pist|tass))"
)
_FAILED = re.compile(
    r"\b(?:fail(?:s|ed|ures?)?|fractur\w*|broken?|breaks?|bruch\w*|\w+bruch|ruptur\w*|rotura\w*|rottur\w*|roto"
    r"|zerwan\w*|zniszcz\w*|breuk\w*|lomu?|porusen\w*|versag\w*|gebrochen|abgerissen)\b"
)
_SHARE_AT = re.compile(r"\d\s*%\s*(?:[A-Z](?:/[A-Z])?|-/Y)(?!\w)")
_MIXED = re.compile(r"\b(?:c|k)oh?es\w*\s*/\s*ad|\b(?:adh|ades)\w*\s*/\s*(?:c|k)oh?es")
_WITHIN = re.compile(r"\b(?:in|im|dans|en|nel|nello|nella|w|v|ve)\b")
_SMALL = re.compile(
    r"\b(?:in|im|the|of|to|at|and|und|et|y|e|i|a|oraz|dans|la|le|les|du|de|des|der|die|das|dem|den|en|el|del|nel|nello|"
    r"nella|nell|dello|della|il|lo|w|we|do|od|na|v|ve|het|van|tot|aan|a|l|"
    r"failure|break|fracture|bruch|versagen|trennung|rupture|rotura|fallo|rottura|cedimento|"
    r"distacco|zerwanie|zniszczenie|przelom|breuk|bezwijken|lom|poruseni|odtrh|area|ca|approx|"
    r"about|circa|env|environ|cca|ok|ungefahr|etwa)\b"
)
_REST = re.compile(r"\b(?:rest|reste|resto|reszta|zbytek|remainder|restante)\b")
_SHARE = re.compile(
    r"[~≈]?\s*(?<![\w.,/])(?P<share>\d{1,3}(?:[.,]\d+)?)\s*(?P<percent>%)?(?![\w/])"
)
_PERCENT = re.compile(r"[~≈]?\s*(?<![\w.,])(?P<share>\d{1,3}(?:[.,]\d+)?)\s*%")
_LETTERS = re.compile(
    r"(?<![\w/])(?P<one>[A-Z]|-)(?:\s*[/|]\s*(?P<other>[A-Z])|-(?P<to>[A-Z]))?(?![\w/])"
)
_NO_GLUE = re.compile(
    r"\badh(?:as|ez)|\badh?esi(?:ef|eve|va|on|one)\b|\badhesion\w*|\baf\b"
)  # of adhesion
_IN_TURN = re.compile(r"(?<=%)\s*[/,]?\s*")
_BARE = re.compile(r"(?<![\w/.,])\d{1,3}(?:[.,]\d+)?(?![\w.,]*\w|/\d|\s*%)")
_ABBREVIATED = re.compile(r"\bK\b")  # of Kohäsion beside A of Adhäsion, or a coat
_BEFORE_SHARES = re.compile(r"(?<=[^\W\d])\.?\s*[/,]?\s+(?=\d)")
_GLUED = re.compile(r"(?P<share>\d)(?P<place>[A-Z](?:/[A-Z])?)(?![\w/])")
_ITEMS = re.compile(
    r"\s*(?:;|\+|\n|,(?!\d))\s*|\s+(?:and|und|et|y|e|oraz|i|en|a|plus)\s+(?=[~≈]?\s*\d)"
    r"|(?<=%)\s+(?:and|und|et|y|e|oraz|i|en|a|plus)\s+"
    r"|\s+/\s+(?=[~≈]?\s*\d{1,3}(?:[.,]\d+)?\s*%)|(?<=%)\s*/\s*(?=[^\d]*\d)|(?<=\d[A-Z])\s*/\s*(?=\d)|(?<=[A-Z])\s+/\s+(?=\d)"
)
_SHARES_FIRST = re.compile(r"(?<=[A-Z])\s+(?=\d{1,3}(?:[.,]\d+)?\s*%)")
_SHARES_LAST = re.compile(r"(?<=%)\s+(?=(?:[A-Z]|-)(?:\s*/\s*[A-Z])?\s)")
# In languages with two genders, what fails is told by its ending: rotura cohesiva, 10 % adhesivo.
_FEMININE = re.compile(r"\b(?:cohesiva|coesiva|cohésive)\b", re.IGNORECASE)
_GLUE_ALONE = re.compile(r"\b(?:adhesivo|adesivo|adhésif)\b(?=\s*(?:[,;/+(]|$))", re.IGNORECASE)
_DASHES = re.compile("[‐‑‒–—−]")
_SHORTEST_PATTERN, _LONGEST_PATTERN = 3, 200  # letters
_TITLES = frozenset("/()[]:=.,#%'-")


@dataclass(frozen=True)
class _Part:
    """A part of a pattern: where it failed, and its share if one is told; `rest` what is left."""

    place: str
    percent: float | None
    rest: bool = False


def in_notation(text: str) -> str:
    """Return a pattern in the notation of ISO 4624, or as it is where it is not plain what it says.

    Examples
    --------
    >>> in_notation("60 % cohesive in coat 1, 40 % adhesive coat 1/coat 2")
    '60 % B, 40 % B/C'
    >>> in_notation("Adhäsionsbruch Untergrund/1. Schicht"), in_notation("B/Y"), in_notation("glue")
    ('100 % A/B', '100 % -/Y', '100 % Y')
    >>> in_notation("cohesive"), in_notation("coh 80 adh 20"), in_notation("adhesive")
    ('cohesive', '80 % cohesive, 20 % interface', 'adhesive')
    >>> in_notation("60 % kohezyjne")
    '60 % kohezyjne'
    """
    try:
        shares_of(text)
    except ValueError:
        plain = _with_signs(_DASHES.sub("-", text).strip())
        if _FEMININE.search(plain):
            plain = _GLUE_ALONE.sub("glue", plain)
        if plain[:1].isdigit():
            plain = _SHARES_FIRST.sub("; ", plain)
        elif plain.endswith("%"):
            plain = _SHARES_LAST.sub("; ", plain)
        in_turn = _BEFORE_SHARES if plain[:1].isdigit() else _IN_TURN
        for items in (_ITEMS.split(plain), [plain.replace(",", " ")], in_turn.split(plain)):
            parts = [_part_of(item) for item in items if item]
            told = [part for part in parts if part is not None]
            whole = bool(told) and len(told) == len(parts) and not _may_be_glue(told, plain)
            if whole and (joined := _joined(told)) is not None:
                return joined
    return text


def _may_be_glue(parts: Sequence[_Part], text: str) -> bool:
    """Tell whether `adhesive` may name the glue: nothing cohesive beside it says it is none."""
    places = {part.place for part in parts}
    paired = any(place == COHESIVE or place in COATS for place in places)
    said = _folded(text)
    told = _NO_GLUE.search(said) or _LAYER.search(said)  # of adhesion, or between coats
    return INTERFACE in places and not paired and told is None


def _with_signs(text: str) -> str:
    """Return a text with signs where its numbers are shares: without any they add up to 100.

    Examples
    --------
    >>> _with_signs("B 80 B/C 20"), _with_signs("coat 1 60 glue 40")
    ('B 80 % B/C 20 %', 'coat 1 60 glue 40')
    """
    numbers = [float(number.replace(",", ".")) for number in _BARE.findall(text)]
    whole = len(numbers) > 1 and abs(sum(numbers) - 100) <= OFF_100
    whole = whole and not _ABBREVIATED.search(text)
    return _BARE.sub(r"\g<0> %", text) if whole and "%" not in text else text


@lru_cache(maxsize=4096)
def place_of(text: str) -> str | None:
    """Return the one place that words or letters name, such as a title above shares; else None.

    Examples
    --------
    >>> place_of("Kohäsiv Schicht 1"), place_of("adhesive, steel / primer"), place_of("Note")
    ('B', 'A/B', None)
    """
    part = _part_of(_DASHES.sub("-", text).replace(",", " "))
    return part.place if part is not None and part.percent is None and not part.rest else None


def is_place(place: str, title: str) -> bool:
    """Tell whether a title names one place and no other.

    Examples
    --------
    >>> is_place("A/B", "Adhäsion Stahl/Grundierung [%]"), is_place("B", "adhesive A/B")
    (True, False)
    """
    return place_of(title) == place


def is_pattern(text: str) -> bool:
    """Tell whether a text is a failure pattern and hardly anything else: it has shares or words.

    Examples
    --------
    >>> is_pattern("60 % B, 40 % B/C"), is_pattern("cohesive in coat 1"), is_pattern("A/B")
    (True, True, True)
    >>> is_pattern("B"), is_pattern("glue"), is_pattern("left"), is_pattern("100 %")
    (False, False, False, False)
    """
    if len(text.strip()) < _SHORTEST_PATTERN or len(text) > _LONGEST_PATTERN:
        return False
    said = in_notation(text)
    if said == text.strip() and "%" not in text and "/" not in text:
        return False
    try:
        shares_of(said)
    except ValueError:
        return False
    return "%" in text or "/" in text or len(text.split()) > 1


def left_open(text: str) -> str | None:
    """Return what a pattern in words of the trade leaves open; None if its words are others.

    Examples
    --------
    >>> left_open("cohesive in topcoat")
    "in which coat: B in the first, C in the second ...; 'cohesive in topcoat' does not say it"
    >>> left_open("100 % adhesive")
    "between which: A/B, B/C ... or -/Y; 'adhesive' does not say it"
    >>> left_open("lijm 10%"), left_open("left")
    ('shares that add up to 100 %; these add up to 10 %', None)
    """
    told: list[float | None] = []
    for item in _ITEMS.split(_DASHES.sub("-", text).strip()):
        part = _part_of(item)
        if part is None or (part.place == INTERFACE and _may_be_glue([part], item)):
            return _left_open_by(item)
        told.append(part.percent)
    shares = [percent for percent in told if percent is not None]
    if len(shares) == len(told) and abs(sum(shares) - 100) > OFF_100:
        return f"shares that add up to 100 %; these add up to {sum(shares):g} %"
    return None


def _left_open_by(item: str) -> str | None:
    """Return what a part of a pattern leaves open; None if its words are others."""
    said = _folded(_SHARE.sub(" ", item))
    cohesive, adhesive = bool(_COHESIVE.search(said)), bool(_ADHESIVE.search(said))
    if not (cohesive or adhesive) or _words_left(_LAYER.sub(" ", said)):
        return None
    bare = " ".join(_SHARE.sub(" ", item).split())
    if _MIXED.search(said) or (cohesive and adhesive):
        return f"the share of each place before it; '{bare}' names two"
    if cohesive:
        return f"in which coat: B in the first, C in the second ...; '{bare}' does not say it"
    return f"between which: A/B, B/C ... or -/Y; '{bare}' does not say it"


def speaks_of_failure(text: str) -> bool:
    """Tell whether a text says something of how or where a film failed, be it plain or not.

    Examples
    --------
    >>> [speaks_of_failure(t) for t in ("all failures 100 % B", "glue", "broke cohesively")]
    [True, True, True]
    >>> [speaks_of_failure(t) for t in ("adherencia", "N", "adherencia 100 %")]  # a folder, a flag
    [False, False, True]
    >>> [speaks_of_failure(t) for t in ("ADHESION TESTER", "2-pack epoxy glue, 24 h", "1188")]
    [False, False, False]
    """
    if text.strip().replace(".", "").replace(",", "").isdigit():
        return False
    if _NO_PLACE.fullmatch(text.strip()):
        return False
    said = _folded(text)
    if _PROPERTY.fullmatch(said.strip()):
        return False
    if _COHESIVE.search(said) or _FAILED.search(said) or _SHARE_AT.search(text):
        return True
    return place_of(text) is not None or left_open(text) is not None


def _words_left(said: str) -> bool:
    """Tell whether a text holds more than words of how and where a film fails."""
    left = _SMALL.sub(" ", _ADHESIVE.sub(" ", _COHESIVE.sub(" ", said)))
    return any(char not in _TITLES and not char.isspace() for char in left)


def _joined(parts: list[_Part]) -> str | None:
    """Return parts as a text of the notation; None where their shares do not make a whole."""
    told = [part.percent for part in parts if part.percent is not None]
    if any(part.rest for part in parts):
        if len(told) != len(parts) - 1 or not 0 < sum(told) < 100:
            return None
        left = 100 - sum(told)
    elif len(parts) == 1 and not told:
        left = 100.0
    elif len(told) != len(parts):
        return None
    else:
        left = 0.0
    shares: dict[str, float] = {}
    for part in parts:
        percent = left if part.percent is None else part.percent
        shares[part.place] = shares.get(part.place, 0.0) + percent
    if abs(sum(shares.values()) - 100) > OFF_100:
        return None
    coats = sorted(p for place, share in shares.items() if share for p in place if p in COATS)
    named = [part.place for part in parts if part.place.endswith("/Y") and part.place[0] in COATS]
    if any(coats and place[0] < coats[-1] for place in named):
        return None  # a coat beyond that which is said to be the last
    ends = {"-/Y" if place in named else place: share for place, share in shares.items()}
    return ", ".join(f"{share:g} % {place}" for place, share in ends.items() if share > 0)


def _part_of(item: str) -> _Part | None:
    """Return what one part of a pattern says; None where it leaves that open."""
    item = _GLUED.sub(r"\g<share> \g<place>", item.strip())
    shares = list(_PERCENT.finditer(item)) or (
        list(_SHARE.finditer(item)) if not _LAYER.search(_folded(item)) else []
    )
    if len(shares) > 1:
        return None
    percent = float(shares[0]["share"].replace(",", ".")) if shares else None
    if shares:
        item = f"{item[: shares[0].start()]} {item[shares[0].end() :]}".strip()
    letters = list(_LETTERS.finditer(item))
    place = None
    if len(letters) == 1:
        place = _of_letters(letters[0]["one"], letters[0]["other"] or letters[0]["to"])
        item = item[: letters[0].start()] + " " + item[letters[0].end() :]
    said = _folded(item)
    rest = bool(_REST.search(said)) and percent is None
    said = _REST.sub(" ", said) if rest else said
    place = _of_words(said, place)
    return _Part(place, percent, rest) if place is not None and not _MIXED.search(said) else None


def _of_letters(one: str, other: str | None) -> str | None:
    if other is None:
        return one if one not in "-Z" else None
    low, high = sorted((one, other), key=lambda side: -1 if side == "-" else ord(side))
    if low == "-":
        return "-/Y" if high == "Y" else None
    touch = ord(high) - ord(low) == 1 and low != "X"
    return f"{low}/{high}" if touch or (high == "Y" and low in COATS) else None


def _of_words(said: str, lettered: str | None) -> str | None:
    """Return the place that words name, together with the letters beside them if there are any."""
    layers, said = _layers(said)
    cohesive, adhesive = bool(_COHESIVE.search(said)), bool(_ADHESIVE.search(said))
    if _words_left(said) or (cohesive and adhesive):
        return None
    place = None
    if len(layers) == 2 and not cohesive:
        place = _boundary(*layers)
    elif len(layers) == 1:
        place = _beside(layers[0], said, adhesive, cohesive)
    elif not layers and lettered is None:
        place = COHESIVE if cohesive else INTERFACE if adhesive else None
    if lettered is None:
        return place
    boundary = "/" in lettered
    odd = (boundary and cohesive) or (adhesive and not boundary)
    return lettered if _agree(layers, place, lettered) and not odd else None


def _agree(layers: list[str], place: str | None, lettered: str) -> bool:
    """Tell whether layers in words may be the place of the letters: cohesive in coat (B)."""
    if not layers or place == lettered or (layers == [_GLUE] and "Y" in lettered):
        return True
    sides = lettered.split("/")
    coats = [side for side in sides if side in COATS]
    named = [side for layer in layers for side in sides if layer == side]
    others = [layer for layer in layers if layer not in sides]
    return (
        len(layers) <= len(sides)
        and all(layer in (_LAST, _SOME_COAT) for layer in others)
        and len(others) <= len([side for side in coats if side not in named])
    )


def _beside(layer: str, said: str, adhesive: bool, cohesive: bool) -> str | None:
    """Return the place that words name by one layer: in it, or at its only boundary."""
    if adhesive:
        return {_SUBSTRATE: "A/B", _DOLLY: "Y/Z", _SOME_COAT: INTERFACE}.get(layer)
    if layer == _SOME_COAT and cohesive:
        return COHESIVE
    if layer in (_LAST, _SOME_COAT, _DOLLY):
        return None
    return layer if cohesive or layer == _GLUE or _WITHIN.search(said) else None


def _layers(said: str) -> tuple[list[str], str]:
    """Return the layers that a text names as they stand in it, and what is left of it."""
    if (glue := _ADHESIVE_NAMED.search(said)) is not None:
        group = "glue" if glue["glue"] else "first"
        said = said[: glue.start(group)] + "glue" + said[glue.end(group) :]
    found = list(_found(said))
    left = _LAYER.sub(" ", said)
    return list(dict.fromkeys(found)), left


def _found(said: str) -> Iterator[str]:
    for match in _LAYER.finditer(said):
        own = next(n for n in range(len(_LAYERS)) if match[f"l{n}"] is not None)
        layer = _LAYERS[own][1]
        if layer == "number":
            layer = match["after"] or match["before"]
        yield COATS[int(layer) - 1] if layer.isdigit() else layer


def _boundary(one: str, other: str) -> str | None:
    """Return the place between two layers that touch, in whichever order they are named."""
    sides = {one, other}
    if len(sides) == 1 or _SUBSTRATE in sides:
        return "A/B" if sides & {"B", _SOME_COAT} else None
    if _DOLLY in sides:
        return "Y/Z" if _GLUE in sides else None
    if _GLUE in sides:
        (coat,) = sides - {_GLUE}
        return f"{coat}/Y" if coat in COATS else "-/Y"
    low, high = sorted(sides)
    return f"{low}/{high}" if ord(high) - ord(low) == 1 and low in COATS else None


def _folded(text: str) -> str:
    """Return a text in small letters without accents; a primer of Polish is no Czech substrate."""
    primer = re.sub(r"podkład(?:u|zie|em)?", "\0primer", text.casefold())
    plain = unicodedata.normalize("NFKD", primer.replace("ł", "l").replace("ß", "ss"))
    return "".join(char for char in plain if not unicodedata.combining(char))
