"""What a person is asked of a layout."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tiecoat.reasons import Fault, Reason

UNITS = {  # what the trade measures a dimension in, the likeliest first
    "um": ("um", "mil", "mm"),
    "MPa": ("MPa", "N/mm2", "psi", "bar", "kgf/cm2"),
    "N": ("N", "kN", "lbf", "kgf"),
    "mm": ("mm", "in", "cm"),
    "cm**2": ("cm2", "mm2", "in2"),
    "ohm": ("ohm", "kohm", "Mohm"),
    "Hz": ("Hz", "kHz"),
    "Pa*s": ("Pa s", "mPa s", "cP"),
    "Pa": ("Pa", "mPa"),
    "g/cm**3": ("g/cm3", "kg/m3", "lb/gal"),
    "degC": ("°C", "°F"),
    "s": ("s", "min", "h"),
    "h": ("h", "d", "min", "s"),
    "percent": ("%",),
    "deg": ("deg", "rad"),
}


APART = "||"  # stands between the forms of several lines, and between words that rows begin with


@dataclass(frozen=True)
class Question:
    """Something that the file does not say.

    Parameters
    ----------
    key
        By which it is answered: `area_cm2`, `column:Im`, `unit:Im`, `sign:Im`, `dates`, `decimal`,
        `kind`.
    text
        The question in plain words.
    options
        Answers that are likely, the likeliest first; a value of its own is allowed where `free`.
    """

    key: str
    text: str
    options: tuple[str, ...] = ()
    free: bool = False


_CONTRADICTIONS = (
    Reason.INCONSISTENT,
    Reason.OUT_OF_BOUNDS,
    Reason.OTHER_BATCH,
    Reason.OTHER_PANEL,
    Reason.IN_FUTURE,
    Reason.BEFORE_MADE,
    Reason.AGAINST_REGISTER,
)
_TO_LEARN = "tiecoat learn"  # names what an answer may settle, in what a fault expects


def contradicts(fault: Fault) -> bool:
    """Tell whether a fault says that values disagree or are impossible: no answer makes them right."""
    return fault.reason in _CONTRADICTIONS and _TO_LEARN not in (fault.expected or "")


def of_none(fault: Fault) -> bool:
    """Tell whether a file is held because nobody knows it: any answer brings it on."""
    return fault.reason is Reason.NO_READER


def in_one_answer(questions: Sequence[Question]) -> Iterator[str]:
    """Yield the answer to all words of a column that are asked for, where these are several.

    Examples
    --------
    >>> list(in_one_answer([Question("word:state:wt", "?"), Question("word:state:dy", "?")]))
    ['word:state:wt=... || dy=...']
    """
    of_columns: dict[str, list[str]] = {}
    for question in questions:
        sort, _, named = question.key.partition(":")
        column, _, word = named.partition(":")
        if sort == "word":
            of_columns.setdefault(column, []).append(f"{word}=...")
    for column, words in of_columns.items():
        if len(words) > 1:
            yield f"word:{column}:{f' {APART} '.join(words)}"


def asks_for(question: Question, fault: Fault, title: str | None) -> bool:
    """Tell whether the answer to a question mends a fault: it is of its word, column or unit.

    Parameters
    ----------
    title
        Of the column or entry in which the fault stands, if it is one.
    """
    if fault.reason in (Reason.NO_BATCH, Reason.NO_PANEL):
        return question.key in ("batch", "panel")
    if fault.reason is Reason.UNREAD_ROWS and question.key.startswith("rows:"):
        words = question.key.removeprefix("rows:").split(f" {APART} ")
        return any((fault.found or "").startswith(f"'{word}") for word in words)
    if fault.column is None:
        return False
    of_word = fault.reason in (Reason.OUT_OF_BOUNDS, Reason.BAD_NOTATION)
    if of_word and question.key.startswith(f"word:{fault.column}:"):
        return question.key.removeprefix(f"word:{fault.column}:") in (fault.found or "")
    named = {f"{sort}:{title}" for sort in ("column", "unit", "sign")}
    return question.key in named and not contradicts(fault)


def mended_by(fault: Fault, title: str | None) -> str | None:
    """Return the answers that mend what holds a file; None where only the file can be corrected.

    Parameters
    ----------
    title
        Of the column or entry in which the fault stands, if it is one.
    """
    named = title or "TITLE"
    match fault.reason:
        case Reason.UNREAD_ROWS:
            return (
                "rows:WORD=pass over, WORD being how such a row begins; or lines=FORM of such rows;"
                " or sheet:NAME=pass over"
            )
        case Reason.UNTAKEN_COLUMN:
            return f"column:{named}=ROLE, or column:{named}=pass over"
        case Reason.UNKNOWN_UNIT:
            return f"unit:{named}=UNIT, or column:{named}=ROLE if it is something else"
        case Reason.MISSING_COLUMN:
            return "ROLE=VALUE for every row, or column:TITLE=ROLE for the column that holds it"
        case Reason.AMBIGUOUS_NUMBER:
            return "decimal=comma or decimal=point"
        case Reason.BAD_NOTATION:
            return f"word:{named}:WORD=OWN WORD, or column:{named}=ROLE if it is something else"
        case Reason.NOT_A_NUMBER | Reason.NOT_A_TIME | Reason.MISSING_VALUE:
            return (
                f"rows:WORD=pass over if the row is no result; column:{named}=ROLE or pass over;"
                f" column:{named}=TEXT {{ROLE}} TEXT for what stands in its cells"
            )
        case Reason.GIVEN_TWICE:
            return (
                "column:TITLE=ROLE for what tells them apart, such as the number of the spot or the"
                " sheet (sheet={ROLE}); the same ROLE for each of several columns of readings"
            )
        case Reason.NO_READER:
            return "kind=KIND, then columns=... or lines=..."
        case Reason.INCONSISTENT if not contradicts(fault):
            return f"column:{named}=ROLE"
        case _:
            return None
