"""The verdicts on the page: a table for each property, and all of them at a glance."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.evidence import Behind, RowLink, ValueOrigin, value_origins
from tiecoat.report.figure_words import property_caption, property_words
from tiecoat.report.figures import OF_PROPERTY
from tiecoat.report.labels import (
    HOLLOW,
    OUTCOME_WORDS,
    at_place,
    difference_unit,
    direction_words,
    effect_text,
    else_sign,
    ends_text,
    label_words,
    margin_words,
    middle_as_known,
    middle_words,
    number,
    p_text,
    place_of,
    recipe_words,
    title_of,
    unit_text,
)
from tiecoat.report.notes import Footnotes
from tiecoat.report.origins import Origin, numbers_of
from tiecoat.report.words import say, translated


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
    """A row of the table of one property; `notes` are numbers of what is written below."""

    batch: str
    recipe: str
    n: str
    value: str
    effect: str = ""
    interval: str = ""
    p: str = ""
    cell: VerdictCell | None = None
    because: str = ""
    notes: Sequence[int] = ()


@dataclass(frozen=True)
class ValueRow:
    """A value behind a verdict, as the page tells it, with links to the rows it was made of."""

    name: str
    value: str
    rows: Sequence[RowLink]


@dataclass(frozen=True)
class PropertyPage:
    """Everything about one property; `name` is its label as the tables beside the page have it."""

    anchor: str
    name: str
    label: str
    title: str
    lead: str
    unit: str
    effect_unit: str
    middle: str
    direction: str
    margin: str
    is_default_margin: bool
    weight: str
    figure: str
    caption: str
    figure_words: str
    rows: Sequence[VerdictRow]
    methods: Sequence[str]
    files: str
    values: Sequence[tuple[str, Sequence[ValueRow]]]

    @property
    def with_values(self) -> set[str]:
        """The batches that have values."""
        return {batch for batch, _ in self.values}


def outcome_code(outcome: VerdictWord) -> str:
    """Return the class of an outcome on the page.

    Examples
    --------
    >>> outcome_code(VerdictWord.CANNOT_TELL)
    'cannot-tell'
    """
    return outcome.name.lower().replace("_", "-")


def property_pages(
    data: StudyData,
    figures: Mapping[str, Sequence[str]],
    origins: Sequence[Origin],
    notes: Footnotes,
    behind: Behind,
) -> list[PropertyPage]:
    """Return a page for each property; `figures` holds SVG as `draw_all` names it."""
    labels = {one.property for one in data.comparison.verdicts}
    return [
        _page(
            data,
            wanted,
            f"property-{place}",
            is_preset=data.comparison.has_preset_margin(wanted),
            figure=figures[OF_PROPERTY + wanted.label][0],
            origins=origins,
            notes=notes,
            behind=behind,
        )
        for place, wanted in enumerate(data.comparison.properties, 1)
        if wanted.label in labels
    ]


def _page(
    data: StudyData,
    wanted: Property,
    anchor: str,
    *,
    is_preset: bool,
    figure: str,
    origins: Sequence[Origin],
    notes: Footnotes,
    behind: Behind,
) -> PropertyPage:
    comparison = data.comparison
    verdicts = [one for one in comparison.verdicts if one.property == wanted.label]
    unit = comparison.unit_of(wanted)
    is_difference = verdicts[0].effect_is == "difference"
    return PropertyPage(
        anchor=anchor,
        name=wanted.label,
        label=label_words(wanted.label),
        title=title_of(wanted),
        lead=_lead(wanted, unit, is_preset),
        unit=unit_text(unit),
        effect_unit=difference_unit(unit) if is_difference else "",
        middle=middle_words(wanted),
        direction=direction_words(wanted, unit),
        margin=margin_words(wanted, unit),
        is_default_margin=is_preset,
        weight=number(wanted.weight),
        figure=figure,
        caption=property_caption(wanted),
        figure_words=property_words(comparison, wanted),
        rows=[
            _control_row(comparison, wanted, verdicts),
            *_rows(comparison, wanted, verdicts, notes),
        ],
        methods=list(dict.fromkeys(translated(one.method) for one in verdicts if one.method)),
        files=numbers_of(origins, wanted.kind, set(comparison.batches.index)),
        values=_values(value_origins(data, wanted, origins, behind), wanted),
    )


def _lead(wanted: Property, unit: str, is_preset: bool) -> str:
    """Return what the property is, which way is better, and what counts as harm."""
    told = unit_text(unit)
    what = title_of(wanted)
    if unit.startswith("per "):
        what = f"{what}, {told}"
    elif told:
        what = say("{title}, in {unit}", title=what, unit=told)
    harm = margin_words(wanted, unit, is_preset=is_preset)
    return say(
        "{what}; {direction}. Harm: {harm}.",
        what=what,
        direction=direction_words(wanted, unit),
        harm=harm,
    )


def _values(found: Sequence[ValueOrigin], wanted: Property) -> list[tuple[str, Sequence[ValueRow]]]:
    """Return the values of each batch, of times what is known of them."""
    by_batch: dict[str, list[ValueRow]] = {}
    for one in found:
        value = number(one.value)
        if wanted.method == "times":
            side = "above" if one.high == math.inf else "below" if one.low == 0 < one.high else ""
            ends = (math.nan, math.nan) if side else (one.low, one.high)
            value = middle_as_known(one.value, side, ends, number)
        by_batch.setdefault(one.batch, []).append(ValueRow(one.name, value, one.rows))
    return list(by_batch.items())


def _control_row(
    comparison: Comparison, wanted: Property, verdicts: Sequence[Verdict]
) -> VerdictRow:
    control = comparison.control
    places = [place for one in verdicts if (place := _place_of_value(one)) is not None]
    place = min(places, default=None)
    measured = _measured(comparison, wanted, control, place)
    return VerdictRow(control, say("control"), *measured)


def _place_of_value(one: Verdict) -> int | None:
    """Return the last digit of a batch's middle that counts, by the interval of its effect."""
    if one.effect_is == "difference":
        return place_of(one.effect, one.low, one.high)
    if one.effect_is == "ratio" and one.effect > 0:
        scale = abs(one.value) / one.effect
        return place_of(one.value, one.low * scale, one.high * scale)
    return None


def _measured(
    comparison: Comparison, wanted: Property, batch: str, place: int | None
) -> tuple[str, str]:
    """Return n and middle of a batch, also where it is not compared."""
    sample = comparison.samples.get(wanted.label, {}).get(batch)
    if not isinstance(sample, Sample):
        return "–", "–"
    middle, side = sample.middle(wanted.scale, wanted.method), sample.side(wanted.method)
    ends = sample.between(wanted.method)
    return str(sample.n), middle_as_known(middle, side, ends, lambda one: at_place(one, place))


def _rows(
    comparison: Comparison, wanted: Property, verdicts: Sequence[Verdict], notes: Footnotes
) -> Iterable[VerdictRow]:
    for one in verdicts:
        n, value = _measured(comparison, wanted, one.batch, _place_of_value(one))
        cell = _cell(one)
        yield VerdictRow(
            batch=one.batch,
            recipe=recipe_words(comparison.batches, one.batch),
            n=n,
            value=value,
            effect=effect_text(one, with_unit=False),
            interval=cell.interval,
            p=p_text(one.p),
            cell=cell,
            because=translated(one.because),
            notes=notes.cite(translated(note) for note in one.cautions),
        )


def _cell(one: Verdict) -> VerdictCell:
    sign, words = OUTCOME_WORDS[one.outcome]
    code, told = outcome_code(one.outcome), translated(words)
    if one.standing is Firmness.CONDITIONAL:
        code, sign, told = f"{code} conditional", HOLLOW[sign], say("{verdict}, if", verdict=told)
    if one.if_alike is not None:
        other = translated(OUTCOME_WORDS[one.if_alike][1])
        sign, told = sign + else_sign(one), f"{told}; {say('{verdict}, if', verdict=other)}"
    effect = "" if one.outcome is VerdictWord.NOT_TESTED else effect_text(one)
    return VerdictCell(code, sign, told, effect, ends_text(one))


def overview(comparison: Comparison) -> list[tuple[str, str, list[VerdictCell | None]]]:
    """Return batch, recipe and a cell a property for each candidate."""
    by_key = {(one.batch, one.property): _cell(one) for one in comparison.verdicts}
    return [
        (
            batch,
            recipe_words(comparison.batches, batch),
            [by_key.get((batch, wanted.label)) for wanted in comparison.properties],
        )
        for batch in comparison.candidates
    ]
