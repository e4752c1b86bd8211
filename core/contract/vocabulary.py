"""How the trade writes a kind: what exports show in place of its columns; what holds between."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal


@dataclass(frozen=True)
class Source:
    """What exports show in place of a column of the kind; read for a relation, never archived.

    Such as modulus and phase for the two parts of an impedance.

    Parameters
    ----------
    name
        By which relations call it; no column of the kind has this name.
    unit
        In which relations get it, as pint writes it.
    meaning
        What the value is, for the chemist.
    words, customary
        As for `column`.
    type
        "float", "complex" for a complex number in one cell, "str" for what is no number, or "time",
        which relations get in seconds since 1970.
    """

    name: str
    unit: str
    meaning: str
    words: str = field(default="", repr=False)
    customary: bool = False
    type: Literal["float", "complex", "str", "time"] = "float"


@dataclass(frozen=True)
class Relation:
    """What holds between columns and sources: completes a column that is missing, or guards it.

    `Relation("frequency_hz", ("omega_rad_s",), lambda omega: omega / (2 * np.pi))`

    Parameters
    ----------
    gives
        The column that is computed.
    needs
        The columns or sources from which it is; "moment" is the time of measuring.
    by
        A pure function: gets an array for each of `needs`, shape (n,), in their units (texts as
        objects), and returns the column in its unit, shape (n,); NaN where it cannot be told.
    within
        By what share of it an export that shows `gives` too may differ.
    of
        The column or source of which `within` is a share, where it is not `gives` itself: of the
        modulus for a real part, which may be next to nothing.
    """

    gives: str
    needs: tuple[str, ...]
    by: Callable[..., Any] = field(compare=False, repr=False)
    within: float = 0.05
    of: str | None = None


@dataclass(frozen=True)
class Custom:
    """What a column is taken for where no word of an export says it, as everybody would.

    `Custom("state", "dry", "as the file does not say wet")`
    `Custom("temperature_c", None, "so that the density is not reduced to 23 degC")`

    Parameters
    ----------
    column
        Of closed words, see `values` of `column`; of numbers that may be missing, or of texts.
    value
        One of the words; None: the numbers stay missing, where the export has none of them.
    why
        For the remark that each such measurement is filed with.
    unless
        Tells whether a text of the file, or a cell of it, says something of the column.
    """

    column: str
    value: str | None
    why: str
    unless: Callable[[str], bool] | None = None

    @property
    def said(self) -> str:
        """The words of its remark."""
        return f"{self.column} {self.value or 'not stated'}, {self.why}"


@dataclass(frozen=True)
class Caution:
    """What an export may name that makes values mean something else: filed with a remark.

    `Caution("DIN 53210", "the file names DIN 53210: its Ri are other areas", ("property", "rust"))`

    Parameters
    ----------
    named
        Regular expression that is sought in every text of the file, case aside.
    why
        The words of the remark.
    of
        A column of closed words and the word of the rows that it is about; None: of all.
    """

    named: str
    why: str
    of: tuple[str, str] | None = None


@dataclass(frozen=True)
class Notation:
    """How cells of a column look, whatever stands above them.

    `Notation("rating", is_degree_of_rusting, ("property", "rust"))`

    Parameters
    ----------
    column
        Of texts, or of numbers that may have letters behind them.
    looks
        Whether a text is one, and can hardly be anything else.
    at
        A column of closed words, and the one of them that the look tells.
    number
        Returns the number that such a text tells, for a column of numbers; what else it says is
        left out, with a remark.
    """

    column: str
    looks: Callable[[str], bool] = field(repr=False)
    at: tuple[str, str] | None = None
    number: Callable[[str], float] | None = field(default=None, repr=False)


@dataclass(frozen=True)
class Spread:
    """Titles of a wide layout: values of one column side by side, told apart by the title.

    `Spread("20°, gloss 20, Glanz 20", "gloss_gu", "angle_deg", 20.0)`
    `Spread("spot #, Punkt #", "thickness_um", "spot")`

    Parameters
    ----------
    words
        Titles, written as for `column`. "#" stands for a whole number.
    column
        The column whose values stand below.
    key
        The identity column that the title tells.
    value
        What `key` is below this title; None: the number where "#" stands.
    told
        For titles with a slash that are too many to be listed: whether one is meant.
    """

    words: str
    column: str
    key: str
    value: float | str | None = None
    told: Callable[[str], bool] | None = None
