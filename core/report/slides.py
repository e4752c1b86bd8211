"""The study as slides: a title in words, one figure or plate a slide, its origin in the notes.

Texts and tables are texts and tables, so that whoever presents them can change them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TypeAlias

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.picture.shrinking import resized
from tiecoat.report.brought_pages import MadePage
from tiecoat.report.conclusions import question
from tiecoat.report.figures import OF_PROPERTY, bode_hours
from tiecoat.report.first_page import Answer, AnswerTo
from tiecoat.report.labels import (
    OUTCOME_WORDS,
    batch_words,
    lab_words,
    label_words,
    number,
    recipe_words,
)
from tiecoat.report.link_figure import links_title
from tiecoat.report.looks import FigureFiles
from tiecoat.report.origin_words import archive_words, original_words, study_words
from tiecoat.report.origins import Origin
from tiecoat.report.over_time import over_time
from tiecoat.report.page import columns_across, frame_rows, ranking_rows
from tiecoat.report.plate_figure import (
    PlateLayout,
    key_words,
    layout_of,
    parts_of,
    picture_words,
    plate_words,
    scale_words,
)
from tiecoat.report.plates import Plate, SeenPicture
from tiecoat.report.slide_deck import (
    BODY,
    BOTTOM,
    HIGH,
    LEAST_POINTS,
    LEFT,
    TOP,
    WIDE,
    Deck,
    pixels_of,
    row_height,
    table_parts,
    text_height,
)
from tiecoat.report.verdict_page import PropertyPage, VerdictCell, overview
from tiecoat.report.words import day, joined, say, translated
from tiecoat.wording import capital

ACROSS = 6  # properties in a table on one slide
MOST_COLUMNS, MOST_ROWS = 8, 28  # of a table of a plugin that is shown
NAMED = 3  # batches in the title of a slide, beyond which they are counted
DIFFER = (VerdictWord.BETTER, VerdictWord.WORSE, VerdictWord.SIGNS_OF_HARM)
NAMED_THAT_DIFFER = 8  # the same of those that are better or worse
SIZES = (14.0, 12.0, 11.0, LEAST_POINTS)  # of answers: the largest in which few slides hold them
ANSWERS = 2  # slides of answers, above which their letters become smaller
QUESTION = 2.3  # inches of what they answer
LONGEST = 180  # letters of a title
ROOM = (WIDE, HIGH - 0.55)  # of a figure above what counts as harm
GAP = 0.18  # inches between pictures
LEAST = 3.2  # inches that the words below a picture have, where there is room
HEADS, KEY = 0.5, 0.4  # inches of what stands above pictures, and at the foot of the slide

SPOKEN = frozenset(  # answers that open the slides; the others follow at their end
    {AnswerTo.RECOMMENDED, AnswerTo.WHICH, AnswerTo.BENEFIT, AnswerTo.HARM, AnswerTo.AGAINST}
)
ANSWER_WIDTHS = (QUESTION, WIDE - QUESTION)
AnswerPart: TypeAlias = list[tuple[Answer, list[str]]]  # sentences by what they answer


def write_slides(
    data: StudyData,
    path: Path,
    *,
    pages: Sequence[PropertyPage],
    answers: Sequence[Answer],
    figures: Mapping[str, Sequence[FigureFiles]],
    words: Mapping[str, Sequence[str]],
    brought: Sequence[MadePage],
    plates: Sequence[Plate],
    origins: Sequence[Origin],
    on: date,
    cleaned: Callable[[str], str],
) -> None:
    """Write the slides of a study, in the language that is spoken.

    Parameters
    ----------
    path
        A file there is replaced, once the new one is whole.
    pages, answers
        As on the page.
    figures
        As `slide_figures` gives them, with PNG.
    words
        What they show, as `figure_words` gives it.
    brought
        The pages of plugins.
    on
        The date on them.
    cleaned
        Takes out of a text what is not of this study.
    """
    slides = _Slides(data, origins, on, Deck(cleaned), figures=figures, words=words)
    slides.first()
    slides.answers([one for one in answers if one.of in SPOKEN], say("The answer in short"))
    slides.figures("strength", say("How strong, how weak"), ())
    if data.comparison.verdicts:
        slides.verdicts(data.comparison, words["line_up"][0].rstrip("."))
    slides.figures("line_up", say("All candidates over all properties"), ())
    by_label = {one.label: one for one in data.comparison.properties}
    for page in pages:
        slides.property(by_label[page.name], page, figures[OF_PROPERTY + page.name])
    for reference in data.comparison.references:
        name = f"{reference} ({recipe_words(data.comparison.batches, reference)})"
        title = say("Against {candidate}: verdict, effect and its interval", candidate=name)
        slides.verdicts(data.comparison.against(reference), title)
    slides.figures("links", links_title(data.links), ())
    for plate in plates:
        slides.plate(plate)
    for name, one in {one.name: one for one in over_time(data)}.items():
        what = capital(one.axis or one.course.name)
        slides.figures(name, say("{what} over time", what=what), (one.course.kind,))
    bode = say("Spectra after {hours} h", hours=number(bode_hours(data)))
    slides.figures("bode", bode, ("impedance",))
    for made in brought:
        slides.brought(made)
    slides.ranking()
    further = [one for one in answers if one.of not in SPOKEN]
    slides.answers(further, say("What the answer rests on, and what next"), opens=False)
    slides.cautions()
    slides.deck.save(path, data.comparison.study.name, on)


def property_title(data: StudyData, wanted: Property) -> str:
    """Return what came out on a property, in one line: who by name, or how many where many.

    What is one thing firmly and another on a condition stands in both places.
    """
    mine = [one for one in data.comparison.verdicts if one.property == wanted.label]
    told = []
    for outcome in VerdictWord:
        of = [one for one in mine if outcome in (one.outcome, one.if_alike)]
        firm = [
            one.batch
            for one in of
            if one.outcome is outcome and one.standing is not Firmness.CONDITIONAL
        ]
        only_if = [one.batch for one in of if one.batch not in firm]
        words = translated(OUTCOME_WORDS[outcome][1])
        most = NAMED_THAT_DIFFER if outcome in DIFFER else NAMED
        for batches, verdict in ((firm, words), (only_if, say("{verdict}, if", verdict=words))):
            if batches:
                who = joined(batches) if len(batches) <= most else str(len(batches))
                told.append(f"{verdict} {who}")
    title = f"{label_words(wanted.label)}: {'; '.join(told)}"
    return capital(title)


class _Slides:
    """Adds the slides of a study to a deck."""

    def __init__(
        self,
        data: StudyData,
        origins: Sequence[Origin],
        on: date,
        deck: Deck,
        *,
        figures: Mapping[str, Sequence[FigureFiles]],
        words: Mapping[str, Sequence[str]],
    ) -> None:
        self.data, self.deck = data, deck
        self._drawings, self._words = figures, words
        self._comparison = data.comparison
        self._origins, self._on = origins, on

    def _notes(
        self, words: Sequence[str], kinds: Sequence[str] = (), batches: Sequence[str] = ()
    ) -> list[str]:
        """Return the notes of a slide: what is to be said, then where it comes from."""
        batches = batches or list(map(str, self._comparison.batches.index))
        from_files = original_words(self._origins, kinds, batches)
        told = [*words]
        if from_files:
            told += [say("From the originals, with the measurements of each:"), *from_files]
        return [*told, study_words(self.data, self._on), *filter(None, [archive_words(self.data)])]

    def first(self) -> None:
        """Add the title: what was asked."""
        where = f"{lab_words(self.data.lab.root.name)}, {day(self._on)}"
        self.deck.title(self._comparison.study.name, [question(self.data), where], self._notes([]))

    def answers(self, answers: Sequence[Answer], heading: str, *, opens: bool = True) -> None:
        """Add what is concluded, on as many slides as it takes.

        Parameters
        ----------
        opens
            Whether the first sentence is the title of the first slide, where it is short.
        """
        size, parts = laid_out(answers)
        for place, part in enumerate(parts):
            told = [(one.heading, [*map(capital, sentences)]) for one, sentences in part]
            title = say("{title}, continued", title=heading) if place else heading
            if opens and place == 0 and len(told[0][1][0]) <= LONGEST:
                title = told[0][1].pop(0)
            rows = [[heading, "\n".join(sentences)] for heading, sentences in told if sentences]
            slide = self.deck.slide(title, self._notes([]))
            self.deck.table(slide, rows, widths=ANSWER_WIDTHS, size=size, has_heads=False)

    def verdicts(self, comparison: Comparison, title: str) -> None:
        """Add all verdicts against the control, or against another candidate, as tables."""
        rows = overview(comparison)
        labels = [label_words(one.label) for one in comparison.properties]
        across = columns_across(len(labels), ACROSS)
        first = 2.4
        for start in range(0, len(labels), across):
            heads = [say("candidate"), *labels[start : start + across]]
            widths = [first, *[(WIDE - first) / across] * (len(heads) - 1)]
            body = [
                [f"{batch}\n{recipe}", *map(_cell, cells[start : start + across])]
                for batch, recipe, cells in rows
            ]
            self._table(title, [heads, *body], widths)

    def _table(
        self,
        title: str,
        rows: Sequence[Sequence[str]],
        widths: Sequence[float],
        *,
        size: float = LEAST_POINTS,
        notes: Sequence[str] = (),
    ) -> None:
        """Add a table, the first row its heads, on as many slides as it takes."""
        for part in table_parts(rows, widths, size):
            slide = self.deck.slide(title, self._notes(notes))
            self.deck.table(slide, part, widths=widths, size=size)

    def property(
        self, wanted: Property, page: PropertyPage, figures: Sequence[FigureFiles]
    ) -> None:
        """Add one property: its figure, and what counts as harm."""
        said = [page.caption, page.figure_words, *(f"{one}." for one in page.methods)]
        for one in figures:
            notes = self._notes(said, [wanted.kind])
            slide = self.deck.slide(property_title(self.data, wanted), notes)
            self.deck.figure(slide, one.png, page.figure_words, room=ROOM[1])
            self.deck.text(
                slide, [capital(page.lead)], (LEFT, BOTTOM - 0.5, WIDE, 0.5), size=12, soft=True
            )

    def figures(self, name: str, title: str, kinds: Sequence[str]) -> None:
        """Add each figure of a name."""
        words, drawings = self._words[name], self._drawings[name]
        for place, one in enumerate(drawings):
            told = words[place] if len(words) == len(drawings) else " ".join(words)
            slide = self.deck.slide(title, self._notes([told], kinds))
            self.deck.figure(slide, one.png, told, room=HIGH)

    def brought(self, page: MadePage) -> None:
        """Add a page of a plugin: its texts together, its figures, its tables where they fit."""
        if texts := [part for part in page.parts if isinstance(part, str)]:
            self._text(page.title, texts)
        for one in page.figures:
            self.figures(one.key, one.title, (one.figure.kind,))
        for part in page.tables.values():
            heads = [translated(str(name)) for name in part.table.columns]
            if 0 < len(heads) <= MOST_COLUMNS and len(part.table) <= MOST_ROWS:
                widths = [WIDE / len(heads)] * len(heads)
                rows = [heads, *frame_rows(part.table)]
                self._table(part.caption, rows, widths, size=12, notes=[page.title])

    def _text(self, title: str, paragraphs: Sequence[str]) -> None:
        """Add a text in the largest letters that let it fit on a slide, or on several."""
        size = next(
            (one for one in (16.0, *SIZES) if text_height(paragraphs, WIDE, one) <= HIGH),
            LEAST_POINTS,
        )
        left = list(paragraphs)
        while left:
            count = len(left)
            while count > 1 and text_height(left[:count], WIDE, size) > HIGH:
                count -= 1
            self.deck.text(self.deck.slide(title, self._notes([])), left[:count], BODY, size=size)
            left = left[count:]

    def plate(self, plate: Plate) -> None:
        """Add a plate: pictures at one scale, with a bar, each with its numbers as text."""
        parts = list(parts_of(plate, self._comparison))
        columns = max(map(len, parts))
        stacked = _room(plate, columns, 1)
        beside = _room(plate, columns, 2)
        is_beside = not stacked.sizes[0][0] >= beside.sizes[0][0]
        for part in parts:
            self._plate_part(plate, part, beside if is_beside else stacked, is_beside)

    def _plate_part(
        self, plate: Plate, part: Sequence[SeenPicture], layout: PlateLayout, is_beside: bool
    ) -> None:
        """Add the pictures that stand beside each other: plain, and drawn on below or beside."""
        sizes = dict(zip(map(id, plate.seen), layout.sizes, strict=True))
        words = plate_words(plate)
        ids = [
            f"{one.shot.batch}: {one.shot.filed.name}: {one.shot.filed.measurement}" for one in part
        ]
        scale = scale_words(layout)
        slide = self.deck.slide(words, self._notes([words, key_words(plate.subject), scale, *ids]))
        tallest = max(sizes[id(one)][1] for one in part)
        step = 2 if is_beside else 1
        room = step * layout.column + (step - 1) * GAP
        rows = 1 if is_beside else 2
        below = TOP + HEADS + rows * (tallest + 0.08)
        for place, one in enumerate(part):
            wide, high = sizes[id(one)]
            left = LEFT + layout.lefts[step * place]
            name = batch_words(self._comparison.batches, one.shot.batch, self._comparison.control)
            self.deck.text(slide, [name], (left, TOP, room, HEADS), size=11, bold=True)
            second = (
                (left + wide + GAP, TOP + HEADS)
                if is_beside
                else (left, TOP + HEADS + tallest + 0.08)
            )
            if one.plain is not None:
                shown = resized(one.plain, one.marked, *pixels_of(wide, high), pen_px=2)
                for pixels, at in zip(shown, ((left, TOP + HEADS), second), strict=True):
                    if pixels is not None:
                        self.deck.pixels(slide, pixels, (*at, wide, high), name)
            if one.plain is not None and not math.isnan(layout.inch_per_um):
                long = layout.bar_um * layout.inch_per_um
                corner = left + wide - long - 0.08, TOP + HEADS + high - 0.12
                self.deck.bar(slide, (*corner, long, 0.05))
            told = picture_words(one, plate.subject)
            box = (left, below, room, text_height(told, room, LEAST_POINTS))
            self.deck.text(slide, told, box, size=LEAST_POINTS)
        told = [f"{key_words(plate.subject)} {scale}"]
        self.deck.text(slide, told, (LEFT, BOTTOM - KEY, WIDE, KEY), size=LEAST_POINTS, soft=True)

    def ranking(self) -> None:
        """Add the ranking as a table, where there is one."""
        rows = ranking_rows(self.data)
        if not rows:
            return
        heads = [say("rank"), say("batch"), say("candidate"), say("desirability")]
        heads.append(say("95 % of draws"))
        names = ("rank", "batch", "recipe", "desirability", "interval")
        body = [[str(row[name]) for name in names] for row in rows]
        ranking = self.data.ranking
        said = [translated(ranking.method)] if ranking else []
        widths = [0.9, 1.6, 5.4, 2.0, 2.43]
        self._table(say("Overall ranking"), [heads, *body], widths, size=13, notes=said)

    def cautions(self) -> None:
        """Add what must be read with care."""
        told = [translated(one) for one in self._comparison.cautions]
        told += [translated(one) for one in [self._comparison.adjusted] if one]
        told.append(
            say(
                "These slides support judgement. They replace neither the standards nor the person"
                " who answers for a release."
            )
        )
        self._text(say("Read with care"), told)


def _room(plate: Plate, columns: int, beside: int) -> PlateLayout:
    """Return where the pictures stand: plain and drawn on below each other, or beside (2).

    They are as large as the words below them let them be; how these are broken hangs on how large
    the pictures are, so that it is reckoned with the narrowest columns first.
    """
    has_marks = any(one.marked is not None for one in plate.seen)
    rows = 2 if has_marks and beside == 1 else 1
    most = (WIDE - (beside * columns - 1) * GAP) / (beside * columns)
    column = min(most, LEAST / beside)
    room = beside * column + (beside - 1) * GAP
    told = (picture_words(one, plate.subject) for one in plate.seen)
    words = max(text_height(one, room, LEAST_POINTS) for one in told)
    highest = (HIGH - HEADS - words - KEY) / rows - 0.08
    return layout_of(
        plate.seen,
        beside * columns,
        width=WIDE,
        edge=0.0,
        gap=GAP,
        highest=highest,
        least=LEAST / beside,
    )


def laid_out(answers: Sequence[Answer]) -> tuple[float, list[AnswerPart]]:
    """Return answers in parts that fit on a slide, in letters of which few slides hold them."""
    for size in SIZES:
        parts = list(_parted(answers, size))
        if len(parts) <= ANSWERS:
            break
    return size, parts


def _parted(answers: Sequence[Answer], size: float) -> Iterator[AnswerPart]:
    """Return answers in parts that fit on a slide in letters of a size; a long one goes on."""
    part: AnswerPart = []
    for one in answers:
        for sentence in one.sentences:
            if part and _height(_with_sentence(part, one, sentence), size) > HIGH:
                yield part
                part = []
            part = _with_sentence(part, one, sentence)
    if part:
        yield part


def _with_sentence(part: AnswerPart, of: Answer, sentence: str) -> AnswerPart:
    """Return a part with one more sentence."""
    if part and part[-1][0] is of:
        return [*part[:-1], (of, [*part[-1][1], sentence])]
    return [*part, (of, [sentence])]


def _height(part: AnswerPart, size: float) -> float:
    rows = ((one.heading, "\n".join(sentences)) for one, sentences in part)
    return sum(row_height(row, ANSWER_WIDTHS, size) for row in rows)


def _cell(cell: VerdictCell | None) -> str:
    if cell is None:
        return ""
    return "\n".join(
        filter(None, [f"{cell.sign} {cell.words}".strip(), cell.effect, cell.interval])
    )
