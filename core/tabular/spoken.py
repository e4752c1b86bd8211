"""What free texts tell of a table: headings, its sheet, the name of the file and its folder."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from tiecoat.dialect.numbers import number
from tiecoat.dialect.units import scale
from tiecoat.tabular.facts import number_of
from tiecoat.tabular.general_words import is_general
from tiecoat.tabular.phrases import without_about
from tiecoat.tabular.spans import hours_in
from tiecoat.tabular.title_parts import Title, parted
from tiecoat.tabular.words import EXACT

if TYPE_CHECKING:
    from tiecoat.tabular.attempts import Attempt
    from tiecoat.tabular.lexicon import Lexicon, Role
    from tiecoat.tabular.seen import Line
    from tiecoat.tabular.told_entries import FileTable, ToldEntry

_DEGREE = r"(?:°|º|deg(?:rees?)?\.?|st\.?|gr\.?|grad(?:os|i|en)?|stopni|stup(?:ňů|ně))"
_AMOUNT = re.compile(
    r"(?<![\w.,-])(?<![^°º]/)(?P<number>\d+(?:[.,]\d+)?)\s?"  # of 20°/60° both
    r"(?P<unit>"
    rf"{_DEGREE}\s?[CF]|[^\W\d_]+(?:[²2³3](?!\d))?|[°º\"])(?!\w)"
)
_TOLERANCE = re.compile(
    r"(?<=\d)\s?°?C?\s*(?:±|\+/[-−–]|\+[-−–])\s*\d+(?:[.,]\d+)?(?=\s?[^\W\d]|\s?°)"
)
_SINCE = re.compile(
    r"\d+(?:[.,]\d+)?\s?[^\W\d_]{1,7}\.?\s+(?:after|since|nach|seit|après|depuis|tras|después de|desde|dopo|dalla?"
    r"|po|od|na|sinds)\s+(?:(?:the|dem|le|la|el|het)\s+)?[^\W\d]+",
    re.IGNORECASE,
)
_CHECKED = (
    r"(?:re-?)?(?:calibrated|adjusted|checked|verified)|überprüft|kalibriert|justiert|abgeglichen|kontrolliert"
    r"|(?:re)?étalonnée?|calibrée?|ajustée?|vérifiée?|contrôlée?|calibrad[oa]|ajustad[oa]|verificad[oa]"
    r"|comprobad[oa]|calibrat[oa]|tarat[oa]|verificat[oa]|controllat[oa]|regolat[oa]|sprawdzon[aoey]"
    r"|skalibrowan[aoey]|wywzorcowan[aoey]|gekalibreerd|gecontroleerd|geijkt|gejusteerd|nagekeken"
    r"|(?:z|pře)?kontrolován[aoy]?|(?:z)?kalibrován[aoy]?|ověřen[aoy]?|justován[aoy]?"
)
_WITH = r"with|against|in|mit|gegen|avec|contre|à l['’]|con|contro|z|na|met|tegen|s|se|ve|v"
_BY_WHICH = re.compile(  # by what a vessel or instrument was checked: calibrated with water
    rf"\b(?:{_CHECKED})\b[^,;.()]*?(?:\b(?:{_WITH})(?:\s|(?<=['’]))|:)[^,;.()]*"
    rf"|\b(?:mit|gegen|met)\s[^,;.()]*?\b(?:{_CHECKED})\b",
    re.IGNORECASE,
)
_CHECK = (
    r"check|calibration|verification|adjustment|Kalibrierung|Justierung|Justage|Kontrolle|Überprüfung|Abgleich|étalonnage"
    r"|calibrage|vérification|contrôle|calibración|verificación|comprobación|taratura|calibrazione|verifica|controllo"
    r"|kalibracja|wzorcowanie|sprawdzenie|kontrola|calibração|verificação|controlo|kalibratie|ijking|controle|kalibrace|ověření"
)
_WATER = r"water|Wasser|l['’]eau|eau|agua|água|acqua|wod[aąyę]|vod[aoyu]|H2O"
_CHECK_READ = re.compile(  # a check and what it gave: Check with water 20.00 °C 998.19 kg/m³ passed
    rf"\b(?:(?:{_CHECK})\b[^;()]*?(?:\b|(?<=['’]))(?:{_WATER})|(?:{_WATER})\s?(?:{_CHECK}))\b[^;()]*?\d[^;()]*",
    re.IGNORECASE,
)
_AWAY = re.compile(  # where an instrument is that was not used: gone for calibration
    rf"\b(?:gone|sent|away|due|back|returned|went)\s+(?:for|to|from|at)\s+(?:{_CHECK})\b"
    r"|\bzur\s+(?:Kalibrierung|Überprüfung|Justierung)\b|\ben\s+(?:étalonnage|calibración)\b"
    r"|\bin\s+(?:taratura|calibrazione)\b|\bdo\s+(?:kalibracji|wzorcowania)\b"
    r"|\bter\s+(?:kalibratie|ijking)\b|\bna\s+kalibrac[ie]\b",
    re.IGNORECASE,
)
_PART_WORDS = 4  # of a name of a part of a sweep
_LONG_WORD = re.compile(r"[^\W\d_]{8,}")
_SHARE_OF_WORD = 0.8
_SAMPLES = re.compile(  # the sample, the paint, or its losing of air
    r"\b(?:samples?|proben?|échantillons?|muestras?|campion[ei]|prób(?:ka|ki|ek)|monsters?|vzork[uy]?|vzorek"
    r"|paints?|lack(?:e|s|es)?|farbe|peintures?|pinturas?|vernic[ei]|pittur[ae]|farb[ya]|verf|barv[ay]"
    r"|de-?aerat\w+|entlüft\w*|désaérat\w*|desaireac\w*|disaeraz\w*|odpowietrz\w*|ontlucht\w*|odvzduš\w*)\b",
    re.IGNORECASE,
)
_BATH = re.compile(  # what a film or a vessel is measured in; a share beside it is that of its salt
    r"\b(?:bath|electrolyte|bad|elektrolyt|bain|électrolyte|baño|electrolito|bagno|elettrolita|kąpiel|elektrolit"
    r"|lázeň)\b",
    re.IGNORECASE,
)
_THINNED = re.compile(  # a share of thinner makes an amount beside it none of the room's climate
    r"dilu|verdünn|thinn|solvent|solvant|diluy|disolv|rozcień|rozcienc|zředě|ředidl|verdun",
    re.IGNORECASE,
)
_TURNS = re.compile(  # what is told beside a speed of stirring or a flow of air is how long it went on
    r"\d\s?(?:rpm|tpm|(?:N?m?l|cm³|cm3|dm³|cc)\s?/\s?(?:min|h|s)|r\.?p\.?m\.?|(?:r|U|Umdr\.?|tr|t|obr\.?|ot\.?|giri|g|rev|omw\.?|toeren)\s?/\s?min|min\s?(?:-1|⁻¹)|1/min)(?!\w)",
    re.IGNORECASE,
)
_SHAKEN = re.compile(  # how long a sample was shaken is no time since
    r"\d\s?(?:s|secs?|seconds?|min(?:utes?)?)\.?\s+(?:of\s+|de\s+|di\s+)?(?:hand\s)?(?:shak|agit|secou|agita|scuot|sbatt"
    r"|geschüttel|schüttel|wstrząsa|geschud|schudden|třep)\w*",
    re.IGNORECASE,
)
_CLAUSE = re.compile(r"[,;:()]\s*")
_AND = re.compile(r"\s(?:and|und|et|y|oraz|plus)\s")  # what stands behind it is another thing
_TREATED = re.compile(  # at an amount that is none of measuring
    r"\b(?:stor(?:ed|age)|aged|ageing|oven|heated|gelagert|lagerung|ofen\w*|erhitzt|stock[ée]\w*|stockage|étuve\w*|almacen\w*"
    r"|estufa|horno|conservat\w*|stoccat\w*|forno|przechow\w*|składow\w*|piec\w*|bewaard|opslag|opgeslagen|skladov\w*|pec[ei])\b",
    re.IGNORECASE,
)
_AT_REST = re.compile(  # of a sample that is measured again and again as it stands
    r"\b(?:left\s+(?:to\s+)?(?:stand|rest)\w*|(?:at|to)\s+rest|standing|(?:steh|ruh)en\s+(?:ge)?lassen|in\s+Ruhe|Standzeit"
    r"|(?:laiss\w+|mis\w*)\s+(?:au\s+)?repos\w*|au\s+repos|(?:dej\w+|en)\s+repos\w*|(?:lasci\w+|a)\s+ripos\w*"
    r"|odstaw\w*|pozostaw\w*|laten\s+(?:staan|rusten)|in\s+rust|(?:po)?nech\w+\s+st[áo]\w*|v\s+klidu)\b",
    re.IGNORECASE,
)
_IN_UNIT = re.compile(r"\s(?:in|en|em|w|v|ve)\s(?P<unit>[^\s,;:()]+)")  # heights in cm after
_OTHER_ELECTRODE = re.compile(
    r"\b(?:counter|auxiliary|reference|Gegen\w*|Hilfs\w*|Bezugs\w*|Referenz\w*|contre|auxiliaire|référence|contra\w*|auxiliar"
    r"|referencia|contro\w*|ausiliari\w|riferimento|przeciw\w*|pomocnicz\w|odniesienia|tegen\w*|hulp\w*|referentie\w*"
    r"|proti\w*|pomocn\w*|referenčn\w*)",
    re.IGNORECASE,
)
_SHORT_CODE = re.compile(r"(?<![^\W_])[a-z]{1,2}\d{1,2}(?![^\W_])")  # fc1: flow curve 1, and no cup
PLACES = ("spot",)  # the cell or electrode that was measured with
_BEFORE = 40  # letters before an amount in which the word for it may stand


def told(found: Attempt, name: str) -> Any:
    """Return what free texts tell for a column of the kind, else None."""
    for read in (told_word, told_time, told_amount):
        if (value := read(found, name)) is not None:
            return value
    return None


def told_word(found: Attempt, name: str) -> str | None:
    """Return the word of a closed column that the free lines, the sheet or the name speak of."""
    texts = [_SHORT_CODE.sub(" ", without_check(text)) for text in free_texts(found)]
    for text in (*map(without_since, texts), *texts):
        if (word := found.lexicon.told_in(name, text)) is not None:
            return word
    return None


def called(found: Attempt, name: str) -> str | None:
    """Return the closed word that the sheet or the line above a part of a sweep is: `up`, `down`."""
    if name not in found.lexicon.closed:
        return None
    header = found.table.seen.header_row
    nearest = [line.text for line in nearest_first(found) if line.row < header]
    last = max((told.row for told in found.table.entries), default=0)
    nearest += [  # Section 2: ramp down
        told.value
        for told in found.table.entries
        if told.row == last and isinstance(told.value, str)
    ]
    above = [line.text for line in first_heading(found)]
    texts = [
        part.strip(" -–=*:[]()")
        for text in (*nearest, found.table.seen.sheet or "", *above)
        for part in (text, *_CLAUSE.split(text))
    ]
    for text in texts:
        if text and found.lexicon.closed[name].knows(Title(text, text)):
            return found.lexicon.in_words_of_kind(name, text)
    for text in texts:  # up curve, Kurve aufwärts: a few words, and one of them
        words = text.split()
        if len(words) > _PART_WORDS or not (told := found.lexicon.told_in(name, text)):
            continue
        said = {found.lexicon.in_words_of_kind(name, w) for w in words if _is_one(found, name, w)}
        if said <= {told}:  # of up and down it is neither
            return told
    return None


def _is_one(found: Attempt, name: str, word: str) -> bool:
    return found.lexicon.closed[name].knows(Title(word, word))


def word_above(found: Attempt, name: str) -> str | None:
    """Return the word of a closed column that the free lines above the table speak of.

    10 min after mixing is a time, and says nothing of what was done to the sample.
    """
    lines = (without_check(line.text) for line in reversed(found.table.headings))
    texts = [without_since(line) for line in lines]
    return next((w for w in (found.lexicon.told_in(name, text) for text in texts) if w), None)


def without_since(text: str) -> str:
    """Return a text without times since something was done, such as 10 min after mixing."""
    return _SINCE.sub(" ", text)


def without_check(text: str) -> str:
    """Return a text without that by which a vessel or an instrument was checked: it is no sample.

    Examples
    --------
    >>> without_check("Cup checked with water the same morning, fine."), without_check("water")
    ('Cup  , fine.', 'water')
    >>> without_check("Check with water 20 °C 998.2 kg/m³"), without_check("Check with water")
    (' ', 'Check with water')
    >>> without_check("cup 2, the other has gone for calibration")
    'cup 2, the other has  '
    """
    return _AWAY.sub(" ", _CHECK_READ.sub(" ", _BY_WHICH.sub(" ", text)))


def told_time(found: Attempt, name: str) -> float | None:
    """Return hours that a heading, the sheet or the file's name speaks of, for a column in hours."""
    spans = told_times(found, name)
    return next(iter(spans)) if len(spans) == 1 else None


def told_times(found: Attempt, name: str) -> set[float]:
    """Return all hours that these speak of, of which no two should differ."""
    info = found.lexicon.infos.get(name)
    if info is None or info.unit != "h":
        return set()
    role = found.lexicon.roles[name]

    def speaks(clause: str) -> bool:
        return found.lexicon.speaks_of(role, clause)

    below = [line.text for line in found.table.headings if line.row > found.table.seen.header_row]
    texts = [text for text in free_texts(found) if text not in below]
    for each in (texts, below):  # a note below a table counts where nothing above it tells
        spans = {hours for text in each if (hours := hours_in(text, speaks)) is not None}
        if spans:
            return spans
    return set()


def told_in_hours(found: Attempt, hours: float) -> bool:
    """Tell whether a free text tells a time in hours itself: 480 h, and not day 20."""
    own = re.compile(rf"(?<![\d.,]){hours:g}[\s_-]?(?:h|ore|std|stu|godz|uur|u\b)", re.IGNORECASE)
    return any(own.search(text) for text in free_texts(found))


def told_amount(found: Attempt, name: str) -> float | None:
    """Return the one amount that the nearest text with any speaks of: `dolly 20 mm`, `gloss, 60°`.

    A word for the column must stand before it, unless a few values are all that the column may
    have, and it is one of these.
    """
    role = found.lexicon.roles.get(name)
    if role is None or role.type != "float" or not role.unit or role.unit == "h":
        return None
    for texts in _tiers(found):
        values = {round(v, 9) for text in texts for v in amounts_spoken_of(found, role, text)}
        if values:
            return values.pop() if len(values) == 1 else None
    return None


def _tiers(found: Attempt) -> Iterator[list[str]]:
    """Yield texts, the nearest first; of one tier none counts before another."""
    yield [line.text for line in found.table.headings] + [
        f"{told.title.raw} {told.value}"
        for told in found.table.entries
        if isinstance(told.value, str)
    ]
    yield [title.raw for title in found.titles]
    yield [found.table.seen.sheet or ""]
    own = {id(entry) for entry in found.file.entries_for(found.table)}
    of_others = {
        entry.row for each in found.file.tables for entry in each.entries if id(entry) not in own
    }
    yield [
        line.text
        for sight in found.file.sights
        if sight.grid.sheet == found.table.seen.sheet
        for line in (*(sight.tables[0].above if sight.tables else ()), *sight.below)
        if line.row not in of_others
    ]
    yield [file_name(found), folder_name(found)]


def amounts_spoken_of(found: Attempt, role: Role, text: str) -> Iterator[float]:
    """Yield the amounts of a role that a text speaks of, in its unit."""
    text = without_about(text)
    allowed = found.lexicon.allowed(role.name)
    low, high = found.lexicon.bounds(role.name)
    amounts = [*_amounts(found, role, text)]
    heads = _CLAUSE.split(text)[:1] if len(amounts) == 1 else []  # Cell: glass tube (14.5 cm²)
    for match, value in amounts:
        before = _AND.split(text[max(0, match.start() - _BEFORE) : match.start()])[-1]
        before = before.rpartition("; ")[2]
        after = text[match.end() : match.end() + _BEFORE].partition("; ")[0]
        spoken = _speaks_of(found, role, before) or _speaks_of(found, role, after)
        of_it = (
            spoken
            or _of_the_sample(found, role, text)
            or _of_the_place(
                found, role, _CLAUSE.split(before)[-1], _CLAUSE.split(after)[0], *heads
            )
        )
        if value in allowed or (not allowed and low <= value <= high and of_it):
            yield value


def _speaks_of(found: Attempt, role: Role, text: str) -> bool:
    """Tell whether a text speaks of a role, and not of what is beside it: `room temperature`."""
    if not found.lexicon.speaks_of(role, text):
        return False
    return all(one.sort != "beside" for one in found.lexicon.longest_spoken_of(text))


def amounts_in(found: Attempt, role: Role, text: str) -> Iterator[tuple[float, str]]:
    """Yield the amounts of a text in a unit like that of a role, in its unit and as written."""
    low, high = found.lexicon.bounds(role.name)
    for match, value in _amounts(found, role, without_about(text)):
        if low <= value <= high:
            yield value, match[0]


def _amounts(found: Attempt, role: Role, text: str) -> Iterator[tuple[re.Match[str], float]]:
    for match in _AMOUNT.finditer(_TOLERANCE.sub("", text)):
        way = scale(_degrees(match["unit"]), role.unit)
        told = _number(found, match["number"]) if way is not None else None
        if way is not None and told is not None:
            yield match, way.apply([told])[0]


def _number(found: Attempt, text: str) -> float | None:
    """Return a number in a sentence; one with two readings by the decimal mark of its table."""
    own, mark = number_of(text), found.mark or found.file.mark
    return own if own is not None or mark is None else number(text, mark)


def _of_the_place(found: Attempt, role: Role, *clause: str) -> bool:
    """Tell whether an area is that of the cell or electrode that its clause names: `cell of 14.5 cm²`."""
    if not role.unit or scale(role.unit, "cm**2") is None:
        return False
    places = [found.lexicon.roles[name] for name in PLACES if name in found.lexicon.roles]
    own = [text for text in clause if not _OTHER_ELECTRODE.search(text)]
    return any(found.lexicon.speaks_of(place, text) for place in places for text in own)


def _of_the_sample(found: Attempt, role: Role, text: str) -> bool:
    """Tell whether a text speaks of the sample or the test, and its amount can be of no other role.

    A share beside it makes it the climate of the room: `23 °C, 50 % r.h.`; a word for storing makes
    it that of a time before.
    """
    lexicon, habits = found.lexicon, found.file.export.habits
    others = [
        other
        for other in lexicon.roles.values()
        if other.sort in ("column", "source")
        and other.name != role.name
        and other.unit
        and scale(other.unit, role.unit) is not None
    ]
    if role.unit == "s" and (_TURNS.search(text) or _SHAKEN.search(text)):
        return False
    of_it = _THINNED.search(text) or _BATH.search(text)
    if others or _TREATED.search(text) or ("%" in text and not of_it):
        return False
    ids = [re.compile(one, re.IGNORECASE) for one in (habits.panel_ids, habits.batch_ids)]
    words = [word.strip("()[]:,;") for word in text.split()]
    return (
        any(one.fullmatch(word) for one in ids for word in words)
        or of_it is not None
        or _SAMPLES.search(text) is not None
        or (_AT_REST.search(text) is not None and _is_followed(found))
        or any(lexicon.told_in(name, text) is not None for name in lexicon.closed)
        or any(lexicon.speaks_of(lexicon.roles[name], text) for name in _results(lexicon))
    )


def _is_followed(found: Attempt) -> bool:
    """Tell whether a column holds the times since mixing at which a sample at rest was measured."""
    given = found.given.get("elapsed_s")
    return given is not None and given.place is not None


def _results(lexicon: Lexicon) -> list[str]:
    """Return what determinations of a kind are about: density at 23 °C."""
    shown = lexicon.kind.shown_by or {relation.gives for relation in lexicon.kind.relations}
    return [n for n in shown if n in lexicon.infos and lexicon.infos[n].type == "float"]


def _degrees(unit: str) -> str:
    """Return a unit of temperature as headers write it: 23 C, 23 º C, 23 deg. C."""
    return f"°{unit[-1]}" if re.fullmatch(rf"(?:{_DEGREE}\s?)?[CF]", unit) else unit


def free_texts(found: Attempt) -> list[str]:
    """Return the lines above a table that gave nothing, its sheet, the file's name and its folder."""
    headings = [line.text for line in nearest_first(found)]
    used = {id(given.told) for given in found.given.values() if given.role.type != "str"}
    whole_lines = {line.row: line.text for line in found.table.headings}
    rest = [
        told
        for told in found.table.entries
        if id(told) not in used and str(told.value) not in whole_lines.get(told.row, "")
    ]
    headings += list(map(_as_line, rest))
    sheet = [found.table.seen.sheet] if found.table.seen.sheet else []
    titles = [title.raw for title in found.titles]
    whole = [line.text for line in first_heading(found)]
    own = {id(told) for told in found.table.entries}
    at_top = {line.row: line.text for line in _first_table(found).headings}
    whole += [  # of those at the top of the text what counts for a later table too
        at_top.get(told.row or 0, _as_line(told))
        for told in found.file.entries_for(found.table)
        if told.table is not None and id(told) not in own | used
    ]
    return [*headings, *titles, *sheet, *whole, file_name(found), folder_name(found)]


def _as_line(told: ToldEntry) -> str:
    return f"{told.title.raw} {told.value} {told.unit or ''}".strip()


def nearest_first(found: Attempt) -> list[Line]:
    """Return the headings of a table, the nearest first; what stands below it, behind those above."""
    header = found.table.seen.header_row
    above = [line for line in found.table.headings if line.row < header]
    return [*reversed(above), *(line for line in found.table.headings if line.row >= header)]


def file_name(found: Attempt) -> str:
    """Return the name of the file as a text; what an underscore parts is no one number."""
    name = re.sub(r"\.\w{2,4}$", "", found.file.export.name)
    return re.sub(r"(?<=\d)_(?=\d)", "; ", name).replace("_", " ")


def _first_table(found: Attempt) -> FileTable:
    """Return the first table of the grid that a table stands in."""
    grid = found.table.seen.grid
    return next((one for one in found.file.tables if one.seen.grid is grid), found.table)


def folder_name(found: Attempt) -> str:
    """Return the folders that an export lay in, each a clause of its own."""
    return found.file.export.folder.replace("_", " ").replace("/", " | ")


def first_heading(found: Attempt) -> list[Line]:
    """Return the first line above a first table, alone before an empty row: it is of later tables too."""
    grid, first = found.table.seen.grid, _first_table(found)
    if first is found.table:
        return []
    filled = [
        n
        for n, cells in zip(grid.numbers, grid.rows, strict=True)
        if any(cell != "" for cell in cells)
    ]
    line = first.headings[0] if first.headings else None
    if line is None or filled[0] != line.row:
        return []
    if line.row + 1 not in filled:
        return [line]
    stop = next((row for row in range(line.row, first.seen.header_row) if row not in filled), None)
    if stop is not None and not _heads_ids(found, line):  # a paragraph of its own above the first
        own = [one for one in first.headings if one.row < stop]
        told = [entry.row for entry in first.entries if (entry.row or stop) < stop]
        return [line] if told or any(_heads_ids(found, one) for one in own) else own
    # what stands above the first beyond what stands above each is of all
    more = len(first.headings) - len(found.table.headings)
    return first.headings[:more] if found.table.headings and more > 0 else []


def _heads_ids(found: Attempt, line: Line) -> bool:
    """Tell whether a line names a panel or a batch, so that it is of these alone."""
    habits = found.file.export.habits
    ids = [re.compile(one, re.IGNORECASE) for one in (habits.panel_ids, habits.batch_ids)]
    return any(one.search(line.text) for one in ids)


def speaks(found: Attempt, role: Role) -> bool:
    """Tell whether a heading, an entry, a title or the file's name speaks of a role."""
    texts = [*free_texts(found), *(str(told.value) for told in found.table.entries)]
    texts += [told.title.raw for told in found.table.entries]
    texts += [title.raw for title in found.titles]
    texts = [text for text in texts if not is_general(text)]
    return any(
        r.name == role.name and not _only_counts(r)
        for text in texts
        for r, _ in found.lexicon.fits(Title(text, text)) + found.lexicon.fits(parted(text))
    ) or any(found.lexicon.speaks_of(role, text) or _inflected(found, role, text) for text in texts)


def _only_counts(role: Role) -> bool:
    """Tell whether a role is that of readings side by side, whatever they are of: `Reading 2`."""
    return role.spread is not None and role.spread.value is None and not role.spread.words


def _inflected(found: Attempt, role: Role, text: str) -> bool:
    """Tell whether a long word of a text is one for a role, in another number or case."""
    return any(
        other.name == role.name and fit.letters >= _SHARE_OF_WORD * len(word)
        for word in _LONG_WORD.findall(text)
        for other, fit in found.lexicon.fits(Title(word, word))
    )


def main_value(found: Attempt, unit: str | None = None) -> str | None:
    """Return the one column that a matrix of panels holds the values of, if there is one.

    Where the headings speak of several it is the one that a unit in them fits.

    Parameters
    ----------
    unit
        That the values have, where their cells show one.
    """
    kind, infos = found.lexicon.kind, found.lexicon.infos
    needed = [
        name
        for name, info in infos.items()
        if info.type == "float"
        and name not in kind.identity
        and (name not in found.given or found.given[name].level < EXACT)
        and name != kind.counted
    ]
    required = [name for name in needed if not infos[name].nullable]
    shown = [name for name in needed if name in kind.shown_by]
    candidates = shown or required
    if unit is not None:
        candidates = [name for name in candidates if scale(unit, infos[name].unit) is not None]
    if len(candidates) == 1:
        return candidates[0]
    above = [line.text for line in found.table.headings]
    above += dict.fromkeys(c.parts[0] for c in found.table.seen.columns if len(c.parts) > 1)
    texts = " ".join(above)
    named = [
        name
        for name in candidates
        if any(r.name == name for r, f in found.lexicon.fits(Title(texts, texts)))
        or found.lexicon.speaks_of(found.lexicon.roles[name], texts)
    ]
    if len(named) > 1:  # Foam (mm): a height and a volume are called so, and the unit tells which
        parts = [part for text in above for part in (text, *_CLAUSE.split(text))]
        units = [said for part in parts if (said := parted(part).unit)]
        units += [match["unit"] for text in above for match in _IN_UNIT.finditer(text)]
        named = [n for n in named if any(scale(one, infos[n].unit) is not None for one in units)]
    return named[0] if len(named) == 1 else None
