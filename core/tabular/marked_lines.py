"""Lines of a text that a program has marked: `$DATE;24.04.2026`, `%AREA  12.57 cm2`, `*GRP;07;K7-1`.

They tell of what follows and are no rows, however many delimiters they have. One of them may hold the
titles, behind a word that says so: `*COL;No;d/um`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from tiecoat.dialect.delimited import numberlike
from tiecoat.tabular.cell_looks import is_unit
from tiecoat.tabular.plain_words import bare

_MARKED = re.compile(r"(?P<mark>[$%*#@!&])(?P<told>[^\W\d_][^\n]*)")
_DELIMITED = re.compile(r"[;\t|]")
_BLANKS = re.compile(r"\s{2,}")
_LEAST = 2  # marked lines
_TITLES = frozenset(
    "col cols column columns hdr head header headers field fields title titles names "  # noqa: SIM905 - it reads
    "spalten kopf felder colonnes champs columnas campos colonne campi kolumny pola kolommen velden sloupce".split()
)


def without_marks(lines: Sequence[str]) -> list[str]:
    """Return the lines of a text with marked ones as free lines; as they are where none is marked.

    Examples
    --------
    >>> without_marks(["*CAL;0/249;um", "*COL;No;d/um", "*GRP;07;K7-1", "1;149", "2;159"])
    ['CAL: 0/249 um', 'No;d/um', 'GRP  07  K7-1', '1;149', '2;159']
    >>> without_marks(["#ID;K7-1", "#BATH;22.9;degC", "s;mm", "0;41.0"])
    ['ID: K7-1', 'BATH: 22.9 degC', 's;mm', '0;41.0']
    """
    marked = {
        n: match for n, line in enumerate(lines) if (match := _MARKED.fullmatch(line.strip()))
    }
    marks = Counter(match["mark"] for match in marked.values())
    own = {n: match["told"] for n, match in marked.items() if marks[match["mark"]] >= _LEAST}
    if not own:
        return [*lines]
    titles = _titles(lines, own)
    return [
        line if n not in own else titles[1] if titles and n == titles[0] else _free(own[n])
        for n, line in enumerate(lines)
    ]


def _titles(lines: Sequence[str], own: dict[int, str]) -> tuple[int, str] | None:
    """Return the marked line that holds the titles of the rows, and these."""
    row = next((n for n, line in enumerate(lines) if n not in own and line.strip()), None)
    if row is None or not _is_row(lines[row]):
        return None
    width = len(_DELIMITED.split(lines[row]))
    for n in (n for n in sorted(own, reverse=True) if n < row):
        tag, *cells = _DELIMITED.split(own[n])
        if bare(tag) in _TITLES and len(cells) == width:
            return n, own[n][len(tag) + 1 :]
        last = not any(line.strip() for line in lines[n + 1 : row])
        if last and len(cells) + 1 == width:
            return n, own[n]
    return None


def _is_row(line: str) -> bool:
    return any(map(numberlike, filter(None, map(str.strip, _DELIMITED.split(line)))))


def _free(told: str) -> str:
    """Return a marked line as a free one: a name, its value and its unit, or what it says."""
    cells = [
        cell.strip() for cell in (_DELIMITED if _DELIMITED.search(told) else _BLANKS).split(told)
    ]
    cells = [cell for cell in cells if cell]
    if len(cells) == 2 and not re.search("[:=]", told):
        return f"{cells[0]}: {cells[1]}"
    if len(cells) == 3 and numberlike(cells[1]) and is_unit(cells[2]):
        return f"{cells[0]}: {cells[1]} {cells[2]}"
    return "  ".join(cells)
