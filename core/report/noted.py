"""What a verdict is read with: batches that scatter widely, too few determinations, outliers."""

from __future__ import annotations

from collections.abc import Iterator

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.samples import Sample
from tiecoat.evaluate.adhesion.pull_off import PanelNote
from tiecoat.report.labels import interval, label_words, number
from tiecoat.report.words import joined, say, translated


def noted_words(comparison: Comparison) -> list[str]:
    """Tell of what scatters much more widely than the control, and the notes on values."""
    told = [
        say(
            "{batch} scatters {ratio} times as widely as the control on {property} (95 % interval"
            " {interval}): look at the single values, and at how evenly it was mixed and applied.",
            batch=one.batch,
            ratio=number(one.scatter.value, 2),
            property=label_words(one.property),
            interval=interval(one.scatter.low, one.scatter.high, 2),
        )
        for one in comparison.verdicts
        if one.scatter is not None and one.scatter.is_much_wider
    ]
    return [*told, *_sample_notes(comparison)]


def _sample_notes(comparison: Comparison) -> Iterator[str]:
    """Tell each note once, with the properties that rest on such values, and of which batches."""
    names = {one.label: one.name for one in comparison.properties}
    whose: dict[PanelNote, dict[str, list[str]]] = {}  # property and batches of each note
    for label, of_batches in comparison.samples.items():
        for batch, one in of_batches.items():
            for note in one.notes if isinstance(one, Sample) else ():
                whose.setdefault(note, {}).setdefault(names[label], []).append(batch)
    outliers: dict[str, list[str]] = {}
    for note, by_name in whose.items():
        on = joined([translated(one) for one in by_name])
        if note.outlier:
            outliers.setdefault(on, []).append(translated(note.outlier))
            continue
        batches = list(dict.fromkeys(batch for of in by_name.values() for batch in of))
        is_all = len(batches) == len(comparison.batches)
        yield say(
            "{properties}: {note} ({batches}).",
            properties=on,
            note=translated(note.words),
            batches=say("all batches") if is_all else ", ".join(batches),
        )
    for on, which in outliers.items():
        yield say(
            "{properties}: outliers by Grubbs that are kept: {names}.",
            properties=on,
            names=joined(which),
        )
