"""What a person writes to choose some of many: a name with signs that stand for others, a day."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta, tzinfo

from tiecoat.errors import QueryInvalid


def is_named(name: str, pattern: str) -> bool:
    """Say whether a name fits: * stands for any text, ? for one character; case does not matter.

    Examples
    --------
    >>> is_named("Day 12.csv", "day*.csv"), is_named("[1].csv", "[?].csv"), is_named("a.csv", "a")
    (True, True, False)
    """
    signs = {"*": ".*", "?": "."}
    regex = "".join(signs.get(sign) or re.escape(sign) for sign in pattern)
    return re.fullmatch(regex, name, re.IGNORECASE | re.DOTALL) is not None


def moment_of(when: str | date, zone: tzinfo, *, day_after: bool = False) -> datetime:
    """Return the moment of a date or time, in a zone unless it names its own.

    Parameters
    ----------
    when
        As an object, or as a text such as "2026-10-01" or "2026-10-01 14:30".
    day_after
        Whether a day alone is its end, and not its beginning.

    Raises
    ------
    QueryInvalid
        If the text is no date.
    """
    moment = _understood(when) if isinstance(when, str) else when
    if not isinstance(moment, datetime):
        moment = datetime.combine(moment + timedelta(days=day_after), datetime.min.time())
    return moment if moment.tzinfo else moment.replace(tzinfo=zone)


def _understood(text: str) -> date:
    for understand in (date.fromisoformat, datetime.fromisoformat):
        try:
            return understand(text.strip())
        except ValueError:
            continue
    raise QueryInvalid(f"{text!r} is no date; write it as 2026-10-01 or 2026-10-01 14:30")
