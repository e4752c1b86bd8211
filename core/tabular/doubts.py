"""What is doubtful in rows that a layout gives: each a question that a person can answer."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from tiecoat.plugin import FileHeld, Kind, Measurement
from tiecoat.reasons import Reason
from tiecoat.tabular.answers import AS_IT_STANDS, TURNED
from tiecoat.tabular.attempts import TAUGHT, Attempt, spread_of
from tiecoat.tabular.counting import counts_of_each, other_counts
from tiecoat.tabular.entries_open import entries_open
from tiecoat.tabular.forms import PASS_OVER
from tiecoat.tabular.id_looks import IdLooks
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.questions import Question

if TYPE_CHECKING:
    import pandas as pd


def of_ids(
    ids: IdLooks, attempts: Sequence[Attempt], rows: Sequence[Measurement]
) -> Iterator[Question]:
    """Ask for each text that stands where others are ids: a summary has none."""
    per = attempts[0].lexicon.kind.per
    is_id = ids.is_panel if per == "panel" else ids.is_batch
    told = [text for measurement in rows if (text := getattr(measurement, per))]
    if not any(map(is_id, told)):
        return
    for text in dict.fromkeys(text for text in told if not is_id(text)):
        yield Question(
            f"rows:{text}", f"'{text}' is no {per}: are these rows results?", (PASS_OVER,)
        )


def of_counts(attempts: Sequence[Attempt]) -> Iterator[Question]:
    """Ask which column is the number of the determination where two may be, and nobody has said it."""
    for found in attempts:
        counted = found.given.get(found.lexicon.kind.counted or "")
        if counted is None or counted.place is None or counted.level >= TAUGHT:
            continue
        for place in other_counts(found, counted.place):
            titles = [found.titles[at].raw for at in (place, counted.place)]
            if counts_of_each(found, counted.place):
                titles.reverse()
            text = f"which column is {counted.role.name}? It begins anew on each panel or batch"
            yield Question(f"take:{counted.role.name}", text, tuple(titles))


def of_running_numbers(attempts: Sequence[Attempt], rows: Sequence[Measurement]) -> Iterator[str]:
    """Yield a sentence where the number of a determination runs on over all, or comes again on one."""
    kind = attempts[0].lexicon.kind
    counted = kind.counted
    titles = [
        found.titles[given.place].raw
        for found in attempts
        for name, given in found.given.items()
        if name == counted and given.place is not None
    ]
    if counted is None or not titles:
        return
    of_owner: dict[str, list[float]] = {}
    told: set[tuple[object, ...]] = set()
    for measurement in rows:
        owner = str(getattr(measurement, kind.per))
        keys = [measurement.columns[name] for name in kind.identity if name in measurement.columns]
        for at, value in enumerate(measurement.columns.get(counted, ())):
            of_owner.setdefault(owner, []).append(value)
            own = (owner, measurement.measured_at, *(str(values[at]) for values in keys))
            if own in told and not kind.unique:
                yield f"{counted} {value:g} comes again on {owner}"
                return
            told.add(own)
    spans = [(owner, min(values), max(values)) for owner, values in of_owner.items()]
    if len(spans) > 1 and all(after[1] > before[2] for before, after in itertools.pairwise(spans)):
        first, second = (f"{low:g} to {high:g} on {owner}" for owner, low, high in spans[:2])
        yield f"{counted} runs on: {first}, {second}; column:{titles[0]}=number leaves it out"


def of_entries(attempts: Sequence[Attempt]) -> Iterator[Question]:
    """Ask for each entry that nothing is taken from, in whose unit a column is that nothing gives.

    A profile would pass over it in every later file, and nobody would see it.
    """
    for found in attempts:
        for told, names in entries_open(found).items():
            text = f"the entry '{told.title.raw}: {told.value} {told.unit or ''}".rstrip()
            question = f"{text}': what is it?"
            yield Question(f"column:{told.title.raw}", question, (*names, PASS_OVER))


def of_words(attempts: Sequence[Attempt], rows: Sequence[Measurement]) -> Iterator[Question]:
    """Ask for each text of a column of closed words that is none of them."""
    lexicon = attempts[0].lexicon
    for name in lexicon.closed:
        if not lexicon.is_closed(name):
            continue
        own = tuple(map(str, lexicon.closed[name].payloads))
        texts = (text for measurement in rows for text in measurement.columns.get(name, ()))
        for text in dict.fromkeys(text for text in texts if text is not None and text not in own):
            question = f"'{text}' is no word for {name}; what does it mean?"
            yield Question(f"word:{name}:{text}", question, own)


def of_notations(attempts: Sequence[Attempt], rows: Sequence[Measurement]) -> Iterator[Question]:
    """Ask for each text that is not in the notation of its column, such as that of a failure.

    And for a column beside a wide layout whose values belong to none of what its titles tell.
    """
    lexicon = attempts[0].lexicon
    kind = lexicon.kind
    if kind.derive is None:
        return
    try:
        kind.derive(_frame(lexicon, rows))
    except FileHeld as held:
        faults = [fault for fault in held.faults if fault.reason is Reason.BAD_NOTATION]
        if not faults:
            yield from _of_misplaced(attempts, held)
    else:
        return
    values = {
        name: [value for measurement in rows for value in measurement.columns[name]]
        for name in {fault.column for fault in faults if fault.column}
    }
    for fault in faults:
        if fault.column is None or fault.row is None:
            continue
        text = values[fault.column][fault.row]
        yield Question(
            f"word:{fault.column}:{text}",
            f"'{text}' is no {fault.column} in the notation ({fault.expected}); what does it mean?",
            free=True,
        )


def _of_misplaced(attempts: Sequence[Attempt], held: FileHeld) -> Iterator[Question]:
    for found in attempts:
        told = [spread_of(given) for given in found.spreads if given.place is not None]
        for fault in held.faults:
            given = found.given.get(fault.column or "")
            if given is None or given.place is None or given.level >= TAUGHT:
                continue
            words = [
                (spread.key, word)
                for spread in told[:1]
                if spread.key in found.lexicon.closed
                for word in found.lexicon.closed[spread.key].payloads
                if word not in {other.value for other in told}
            ]
            title = found.titles[given.place].raw
            options = tuple(f"{fault.column} at {key} {word}" for key, word in words)
            if options:
                text = f"the column '{title}': {fault.sentence}; what is it?"
                yield Question(f"column:{title}", text, (*options, PASS_OVER))


def _frame(lexicon: Lexicon, rows: Sequence[Measurement]) -> pd.DataFrame:
    import pandas as pd

    def whole(name: str) -> list[Any]:
        return [value for measurement in rows for value in measurement.columns[name]]

    columns = {}
    for name, info in lexicon.infos.items():
        if info.type == "time":
            columns[name] = pd.Series(pd.to_datetime(whole(name), utc=True))
        else:
            columns[name] = pd.Series(whole(name), dtype="str" if info.type == "str" else "float64")
    return pd.DataFrame(columns)


def of_signs(attempts: Sequence[Attempt], rows: Sequence[Measurement]) -> Iterator[Question]:
    """Ask for the sign where only the sign contradicts what the kind knows."""
    kind = attempts[0].lexicon.kind
    if kind.check is None:
        return
    for measurement in rows:
        columns = {name: np.asarray(values) for name, values in measurement.columns.items()}
        told = [fault for fault in kind.check(columns) if "sign" in (fault.expected or "")]
        for fault in told:
            for each in attempts:
                for given in each.given.values():
                    if given.place is None or not given.role.signed or given.role.type != "float":
                        continue
                    if given.role.name == fault.column or _feeds(
                        kind, given.role.name, fault.column
                    ):
                        title = each.titles[given.place].raw
                        yield Question(
                            f"sign:{title}", f"'{title}': {fault.found}", (TURNED, AS_IT_STANDS)
                        )
        if told:
            return


def _feeds(kind: Kind, source: str, column: str | None) -> bool:
    return any(relation.gives == column and source in relation.needs for relation in kind.relations)
