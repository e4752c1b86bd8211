"""What is not of this study: work for others must not come onto a page that is handed out.

Whose a text or a file is shows in the batches that it names. What names batches of other studies
too may carry the name of another customer: it is counted, not named.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import replace

import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.lab.ids import canonical
from tiecoat.report.named_batches import ids_in, ids_in_original
from tiecoat.report.words import say

HINT = re.compile(r"; (?:near it:|there are|the register has) [^:;]*")
PANEL = re.compile(r"(?:[-_./#][A-Za-z0-9]+)*")  # what follows the batch in the id of its panel


def without_others(sentence: str, batches: Collection[str], pattern: str) -> str:
    """Return a sentence without hints that name batches outside of the study.

    Examples
    --------
    >>> told = "the control RB-01 is not in the register; near it: RB-010: nothing is compared"
    >>> without_others(told, ["RB-011"], "RB-[0-9]{3}")
    'the control RB-01 is not in the register: nothing is compared'
    >>> without_others(told, ["RB-010"], "RB-[0-9]{3}") == told
    True
    """

    def kept(hint: re.Match[str]) -> str:
        return "" if ids_in(hint[0], pattern) - set(batches) else hint[0]

    return HINT.sub(kept, sentence)


class Unnamed:
    """Puts "another batch" in the place of every batch of other studies, and of its panels.

    Parameters
    ----------
    others
        The batches of the archive that are not of the study.
    pattern
        How ids of batches look in this lab.
    """

    def __init__(self, others: Collection[str], pattern: str) -> None:
        self._others, self._id = frozenset(others), re.compile(pattern, re.IGNORECASE)

    def text(self, text: str) -> str:
        """Return a text without them.

        Examples
        --------
        >>> Unnamed({"RB-050"}, "RB-[0-9]{3}").text("rb-050-1 reads as RB-011-1 does")
        'another batch reads as RB-011-1 does'
        """
        told, end = "", 0
        for found in self._id.finditer(text):
            if found.start() >= end and canonical(found[0]) in self._others:
                told += text[end : found.start()] + say("another batch")
                rest = PANEL.match(text, found.end())
                end = rest.end() if rest else found.end()
        return told + text[end:]

    def table(self, table: pd.DataFrame) -> pd.DataFrame:
        """Return a table without them in any of its texts."""
        texts = table.select_dtypes(include=["object", "str"])
        mapped = {
            str(name): column.map(lambda one: self.text(one) if isinstance(one, str) else one)
            for name, column in texts.items()
        }
        return table.assign(**mapped) if mapped else table


def unnamed_originals(data: StudyData) -> StudyData:
    """Return what a report tells of, with the originals that are not of this study alone unnamed.

    They are those with measurements of other batches, those that name such batches in their content
    or in their name, and those that are gone or were changed, so that nobody can look into them.
    Their sheets are not named either.
    """
    pattern, own = data.lab.settings.ids.batch, set(data.comparison.batches.index)
    listed = pd.concat([data.measurements, data.withdrawn, data.comparison.batches])
    names = listed.drop_duplicates("source_sha256").set_index("source_sha256")["source_name"]
    shared, unknown = set(data.shared), set()
    for sha256, name in names.items():
        inside = ids_in_original(data.lab, str(sha256), pattern)
        if inside is None:
            unknown.add(str(sha256))
        elif (inside | ids_in(str(name), pattern)) - own:
            shared.add(str(sha256))
    hidden = shared | unknown
    batches = _unnamed(data.comparison.batches, hidden)
    return replace(
        data,
        shared=frozenset(shared),
        comparison=replace(data.comparison, batches=batches),
        measurements=_unnamed(data.measurements, hidden),
        withdrawn=_unnamed(data.withdrawn, hidden),
    )


def _unnamed(table: pd.DataFrame, shared: Collection[str]) -> pd.DataFrame:
    if not {"source_sha256", "source_name"} <= set(table.columns):
        return table
    is_shared = table["source_sha256"].isin(shared)
    hidden = {"source_name": say("original of several studies"), "source_sheet": ""}
    changed = {
        name: table[name].astype(object).mask(is_shared, words)
        for name, words in hidden.items()
        if name in table
    }
    return table.assign(**changed)
