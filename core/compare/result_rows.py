"""Which rows of a result table a property has, and at which exposure times."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from difflib import get_close_matches

import numpy as np
import pandas as pd

from tiecoat.compare.properties import Property
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.censored_normal import Floats

TOLD_NAMES = 8
LONG_WORD = 4  # letters; a shorter one says little
WORD_ENDS = re.compile(r"[\W_]+")
NEAR, NEAR_H = 0.02, 0.5  # a time within 2 % or half an hour is that time; common practice


def result_rows(table: pd.DataFrame | None, wanted: Property) -> pd.DataFrame:
    """Return the rows of a property at all exposure times.

    Where it states no condition and every result has one, they are the rows of all conditions.

    Raises
    ------
    NotDeterminable
        If there are none; the message names what is near.
    """
    if table is None or not len(table):
        raise NotDeterminable(f"there are no results of {wanted.kind}")
    rows = table[table["quantity"] == wanted.quantity]
    if not len(rows):
        raise NotDeterminable(
            f"{wanted.kind} gives no {wanted.quantity!r}; "
            + near_words(wanted.quantity, sorted(table["quantity"].unique()))
        )
    return of_condition(rows, wanted)


def of_condition(rows: pd.DataFrame, wanted: Property) -> pd.DataFrame:
    """Return the rows of the condition that a property states; see `result_rows`.

    Raises
    ------
    NotDeterminable
        If there are none.
    """
    known = sorted(rows["condition"].unique())
    if wanted.condition == "" and "" not in known:
        return rows
    here = rows[rows["condition"] == wanted.condition]
    if not len(here):
        raise NotDeterminable(_no_condition(wanted, known))
    return here


def panel_rows_of(rows: pd.DataFrame) -> pd.DataFrame:
    """Return the rows of panels where there are any; else those that are pooled over panels."""
    of_panels = rows["panel"] != ""
    return rows[of_panels] if of_panels.any() else rows


def _no_condition(wanted: Property, known: Sequence[str]) -> str:
    if known == [""]:
        return f"{wanted.quantity} has no condition: leave condition out"
    start = f"there is no {wanted.quantity} with the condition {wanted.condition!r}; "
    return start + near_words(wanted.condition, known)


def near_words(word: str, known: Sequence[str], told: Callable[[str], str] = repr) -> str:
    """Return such as "near it: 'modulus'", else what there is, up to eight of it.

    Near are names of few other letters, then those that share a word.

    Examples
    --------
    >>> near_words("scribe_creep", ["rust_grade", "scribe_delamination"])
    "near it: 'scribe_delamination'"
    """
    close = get_close_matches(word, known, 3)
    near = list(dict.fromkeys([*close, *_sharing_a_word(word, known)]))
    words = ", ".join(told(one) for one in (near or known)[:TOLD_NAMES])
    if near:
        return f"near it: {words}"
    more = len(known) - TOLD_NAMES
    return f"there are {words} and {more} more" if more > 0 else f"there are {words}"


def _sharing_a_word(name: str, known: Sequence[str]) -> list[str]:
    mine = _long_words(name)
    return [one for one in known if mine & _long_words(one)]


def _long_words(name: str) -> set[str]:
    return {one for one in WORD_ENDS.split(name.lower()) if len(one) >= LONG_WORD and one.isalpha()}


def exposures_of(rows: pd.DataFrame, batch: str) -> list[float]:
    """Return the exposure times of a batch at which it has a value, rising."""
    mine = rows[(rows["batch"] == batch) & rows["value"].notna() & rows["exposure_h"].notna()]
    return sorted(mine["exposure_h"].unique().tolist())


def is_near(exposures_h: Floats | pd.Series[float], hours: float) -> Floats:
    """Return which times count as the one given."""
    return np.asarray(off_by(exposures_h, hours) <= 1)


def off_by(exposures_h: Floats | pd.Series[float], hours: float) -> Floats:
    """Return how far times lie off the one given, in units of what still counts as that."""
    off = np.abs(np.asarray(exposures_h, dtype=float) - hours)
    return np.asarray(off / max(NEAR_H, NEAR * hours))


def last_shared(rows: pd.DataFrame, control: str, candidates: Sequence[str]) -> float:
    """Return the last time of the control that most candidates share.

    Raises
    ------
    NotDeterminable
        If no candidate shares a time with the control.
    """
    times = exposures_of(rows, control)
    others = {one: np.array(exposures_of(rows, one)) for one in candidates}
    sharing = {t: sum(bool(is_near(one, t).any()) for one in others.values()) for t in times}
    if not any(sharing.values()):
        theirs = sorted({float(t) for one in others.values() for t in one})
        raise NotDeterminable(
            f"no exposure time is shared: the control {control} has {hours_words(times)},"
            f" the candidates have {hours_words(theirs)}"
        )
    return max(times, key=lambda t: (sharing[t], t))


def hours_words(times: Sequence[float]) -> str:
    """Return such as "24, 240 h"."""
    return ", ".join(f"{one:g}" for one in times) + " h" if times else "none"
