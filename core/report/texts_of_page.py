"""What is done to every text of a page once it is made, and to no markup."""

from __future__ import annotations

import re
from collections.abc import Callable

NO_BREAK = "\N{NO-BREAK SPACE}"
WHOLE = r"<(?P<tag>style|svg|code|title)\b.*?</(?P=tag)>"
NAME = r'<(?:span class="name"|td class="file"|a href="#m-)[^>]*>.*?</(?:span|td|a)>'
MARKUP = re.compile(rf"(?P<whole>{WHOLE})|(?P<markup><[^>]*>)", re.DOTALL)
MARKUP_AND_NAMES = re.compile(rf"(?P<whole>{WHOLE}|{NAME})|(?P<markup><[^>]*>)", re.DOTALL)
SHOWN = re.compile(r'(?<=data-label=")[^"]*')  # the style sheet makes a text of it
UNITS = (
    r"%|‰|[munkM]?Pa\b|[µmkc]?m[²³]?(?![\w-])|h\b|min\b|s\b|d\b|[kMm]?Hz\b|°C?|[kMGm]?Ω|k?N\b|[mµk]?g\b"
    r"|[munpµ]?F\b|units?\b|points\b|Punkte?n?\b|rpm\b|× ?10[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]"
)
JOINTS = re.compile(
    rf"(?<=\d) (?={UNITS})"  # 240 h
    r"|(?<=[×±≤≥<>]) (?=[-−]?\d)"  # × 4.3
    r"|(?<=10[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]) (?=\w)|(?<=[⁰¹²³⁴⁵⁶⁷⁸⁹]) (?=[Ω%µm])"  # 8.7 × 10⁷ Ω
    r"|(?<=Ω) (?=[cm]?m²)"  # Ω cm²
)
# Ids and dates: browsers break them at their hyphens, and another hyphen would not be found again.
HYPHENED = re.compile(r"(?<![\w-])[A-Z0-9]+(?:-[A-Z0-9]+)+(?![\w-])")


def bound(text: str) -> str:
    """Return a text in which no line breaks between a number and its unit or sign.

    Examples
    --------
    >>> bound("modulus after 240 h: × 4.3, 95 % interval").replace(NO_BREAK, "_")
    'modulus after 240_h: ×_4.3, 95_% interval'
    >>> bound("8.7 × 10⁷ Ω cm² on 27 panels").replace(NO_BREAK, "_")
    '8.7_×_10⁷_Ω_cm² on 27 panels'
    """
    return JOINTS.sub(NO_BREAK, text)


def bound_page(page: str) -> str:
    """Return a page with its texts and ids bound, but for names of files, which stay as they are.

    Examples
    --------
    >>> bound_page('<p>5 h: <span class="name">5 h.csv</span></p>').replace(NO_BREAK, "_")
    '<p>5_h: <span class="name">5 h.csv</span></p>'
    >>> bound_page("<p>RB-011</p>")
    '<p><span class="id">RB-011</span></p>'
    """
    return in_texts(page, bound, MARKUP_AND_NAMES, HYPHENED)


def in_texts(
    page: str,
    changed: Callable[[str], str],
    but: re.Pattern[str] = MARKUP,
    unbroken: re.Pattern[str] | None = None,
) -> str:
    """Return a page with its texts changed, what stands in drawings, code and markup left alone.

    Parameters
    ----------
    but
        What is left alone.
    unbroken
        What of the texts stays on one line.

    Examples
    --------
    >>> in_texts('<p class="a b">b<svg>b</svg></p>', lambda text: text.replace("b", "c"))
    '<p class="a b">c<svg>b</svg></p>'
    """

    def shown(text: str) -> str:
        text = changed(text)
        return unbroken.sub(r'<span class="id">\g<0></span>', text) if unbroken else text

    told, end = [], 0
    for found in but.finditer(page):
        told.append(shown(page[end : found.start()]))
        markup = found[0]
        told.append(SHOWN.sub(lambda one: changed(one[0]), markup) if found["markup"] else markup)
        end = found.end()
    return "".join([*told, shown(page[end:])])
