"""The verdicts on the page: a table for each property, and all of them at a glance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import CATALOGUE, Property
from tiecoat.compare.samples import Sample
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.evidence import RowLink, ValueOrigin, value_origins
from tiecoat.report.figures import OF_PROPERTY
from tiecoat.report.labels import (
    OUTCOME_WORDS,
    difference_unit,
    direction_words,
    effect_text,
    interval,
    margin_words,
    middle_words,
    number,
    p_text,
    recipe_words,
    title_of,
    unit_text,
)
from tiecoat.report.origins import Origin, numbers_of

SHORT = 3  # significant digits where there is little room


@dataclass(frozen=True)
class VerdictCell:
    """A verdict in the overview: sign and words, effect, interval."""

    code: str
    sign: str
    words: str
    effect: str
    interval: str


@dataclass(frozen=True)
class VerdictRow:
    """A row of the table of one property; `notes` are numbers of what is written below it."""

    batch: str
    recipe: str
    n: str
    value: str
    effect: str = ""
    interval: str = ""
    p: str = ""
    cell: VerdictCell | None = None
    because: str = ""
    notes: str = ""


@dataclass(frozen=True)
class ValueRow:
    """A value behind a verdict, as the page tells it, with links to the rows it was made of."""

    name: str
    value: str
    rows: Sequence[RowLink]


@dataclass(frozen=True)
class PropertyPage:
    """Everything about one property."""

    anchor: str
    label: str
    title: str
    unit: str
    effect_unit: str
    middle: str
    direction: str
    margin: str
    is_default_margin: bool
    weight: str
    figure: str
    of_tests: bool
    rows: Sequence[VerdictRow]
    notes: Sequence[str]
    methods: Sequence[str]
    files: str
    values: Sequence[tuple[str, Sequence[ValueRow]]]


def outcome_code(outcome: VerdictWord) -> str:
    """Return the class of an outcome on the page.

    Examples
    --------
    >>> outcome_code(VerdictWord.CANNOT_TELL)
    'cannot-tell'
    """
    return outcome.name.lower().replace("_", "-")


def property_pages(
    data: StudyData, figures: Mapping[str, Sequence[str]], origins: Sequence[Origin]
) -> list[PropertyPage]:
    """Return a page for each property; `figures` holds SVG as `draw_all` names it."""
    comparison = data.comparison
    own = {one.name for one in comparison.study.property if _states_margin(one)}
    pages = []
    for place, wanted in enumerate(comparison.properties, 1):
        verdicts = [one for one in comparison.verdicts if one.property == wanted.label]
        if not verdicts:
            continue
        notes = list(dict.fromkeys(note for one in verdicts for note in one.cautions))
        samples = comparison.samples.get(wanted.label, {})
        unit = next((one.unit for one in samples.values() if isinstance(one, Sample)), "")
        is_difference = verdicts[0].effect_is == "difference"
        known = CATALOGUE.get(wanted.name)
        pages.append(
            PropertyPage(
                anchor=f"property-{place}",
                label=wanted.label,
                title=title_of(wanted),
                unit=unit_text(unit),
                effect_unit=difference_unit(unit) if is_difference else "",
                middle=middle_words(wanted),
                direction=direction_words(wanted, unit),
                margin=margin_words(wanted, unit),
                is_default_margin=known is not None and wanted.name not in own,
                weight=f"{wanted.weight:g}",
                figure=figures[OF_PROPERTY + wanted.label][0],
                of_tests=wanted.method == "strengths",
                rows=[
                    _control_row(comparison, wanted),
                    *_rows(data, wanted, verdicts, notes),
                ],
                notes=notes,
                methods=list(dict.fromkeys(one.method for one in verdicts if one.method)),
                files=numbers_of(origins, wanted.kind, set(comparison.batches.index)),
                values=_values(value_origins(data, wanted, origins)),
            )
        )
    return pages


def _values(found: Sequence[ValueOrigin]) -> list[tuple[str, Sequence[ValueRow]]]:
    """Return the values of each batch."""
    by_batch: dict[str, list[ValueRow]] = {}
    for one in found:
        row = ValueRow(one.name, number(one.value), one.rows)
        by_batch.setdefault(one.batch, []).append(row)
    return list(by_batch.items())


def _states_margin(wanted: object) -> bool:
    return any(getattr(wanted, name) is not None for name in ("margin", "margin_percent"))


def _control_row(comparison: Comparison, wanted: Property) -> VerdictRow:
    control = comparison.control
    return VerdictRow(control, "control", *_measured(comparison, wanted, control))


def _measured(comparison: Comparison, wanted: Property, batch: str) -> tuple[str, str]:
    """Return n and middle of a batch, also where it is not compared."""
    sample = comparison.samples.get(wanted.label, {}).get(batch)
    if not isinstance(sample, Sample):
        return "–", "–"
    value = number(sample.middle(wanted.scale, wanted.method))
    return str(sample.n), f"above {value}" if sample.is_floor else value


def _rows(
    data: StudyData, wanted: Property, verdicts: Sequence[Verdict], notes: Sequence[str]
) -> Iterable[VerdictRow]:
    for one in verdicts:
        n, value = _measured(data.comparison, wanted, one.batch)
        told = sorted(notes.index(note) + 1 for note in one.cautions)
        yield VerdictRow(
            batch=one.batch,
            recipe=recipe_words(data.comparison.batches, one.batch),
            n=n,
            value=value,
            effect=effect_text(one, with_unit=False),
            interval=interval(one.low, one.high),
            p=p_text(one.p_holm),
            cell=_cell(one),
            because=one.because,
            notes=", ".join(map(str, told)),
        )


def _cell(one: Verdict) -> VerdictCell:
    sign, words = OUTCOME_WORDS[one.outcome]
    return VerdictCell(
        outcome_code(one.outcome),
        sign,
        words,
        effect_text(one, SHORT),
        interval(one.low, one.high, SHORT),
    )


def overview(data: StudyData) -> list[tuple[str, str, list[VerdictCell | None]]]:
    """Return batch, recipe and a cell a property for each candidate."""
    comparison = data.comparison
    by_key = {(one.batch, one.property): _cell(one) for one in comparison.verdicts}
    return [
        (
            batch,
            recipe_words(comparison.batches, batch),
            [by_key.get((batch, wanted.label)) for wanted in comparison.properties],
        )
        for batch in candidates(comparison)
    ]


def candidates(comparison: Comparison) -> list[str]:
    """Return the batches that are compared with the control."""
    return list(dict.fromkeys(one.batch for one in comparison.verdicts))
