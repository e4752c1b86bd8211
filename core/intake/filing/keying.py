"""From what a file says, and what it is called, to the batch and the panel it belongs to."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import PurePosixPath
from typing import Protocol

from tiecoat.contract.words import PANEL
from tiecoat.errors import FileHeld
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.workers.answers import Keys
from tiecoat.lab.ids import canonical, canonical_panel, typed_otherwise, typed_otherwise_in
from tiecoat.lab.settings import IdPatterns
from tiecoat.reasons import Fault, Reason
from tiecoat.tabular.plain_words import listed
from tiecoat.wording import shortened

SHOWN = 80  # characters of an id that is none
OF_SHARED = "each batch that it is of: tiecoat held assign HELD --batch A --batch B"

_WITH_MORE = re.compile(r"(?P<id>[^()\[\]]+?)\s*[(\[](?P<said>[^()\[\]]+)[)\]]\s*")  # RB-014 (talc)
_PANEL_NUMBER = re.compile(  # panel 3, Platte Nr. 3, panneau n° 3
    rf"(?<![^\W_])(?:{'|'.join(sorted(map(re.escape, listed(PANEL)), key=len, reverse=True))})"
    r"[\s._-]*(?:(?:no|nr|n|č)\.?|n[°º]|#)?[\s._-]*(?P<number>\d{1,3}|[A-Z])(?![^\W_])",
    re.IGNORECASE,
)
_Keep = Callable[[str], str | None]  # the id as it is kept
_FLAGS = re.compile(r"(?s)(\(\?[a-zA-Z]+\))?(.*)")  # of a pattern, such as (?s) at its begin


class BatchNames(Protocol):
    """What the register calls its batches."""

    def batches(self, text: str) -> set[str]:
        """Return the batches whose candidate and dose a text names."""

    def describes(self, batch: str, text: str) -> bool:
        """Tell whether a text says nothing of a batch but what the register says of it."""


class NoNames:
    """A register that calls no batch anything."""

    def batches(self, text: str) -> set[str]:
        """Return none."""
        return set()

    def describes(self, batch: str, text: str) -> bool:
        """Say that it does not."""
        return False


_NO_NAMES = NoNames()


@dataclass(frozen=True)
class Keyer:
    """Finds batch and panel: assigned, else from the content, else the name, else the register.

    Whoever says the batch of a panel must agree with its id and with the register. Where no id
    stands, candidate and dose of one registered batch tell it.

    Parameters
    ----------
    ids
        The patterns of the lab; the named group `batch` of the panel pattern gives the batch.
    batch_of_panel
        Register lookup: canonical panel -> canonical batch or None.
    names
        What the register calls its batches.
    """

    ids: IdPatterns
    batch_of_panel: Callable[[str], str | None]
    names: BatchNames = _NO_NAMES

    def resolve(
        self, keys: Keys, name: str, folder: str = "", assigned: Assigned = Assigned()
    ) -> tuple[str, str | None]:
        """Return the canonical batch, and the panel where the kind has one.

        Parameters
        ----------
        name, folder
            File name, and the folders between inbox and file with "/" between them.

        Raises
        ------
        FileHeld
            With the one fault that stands in the way.
        """
        if len(assigned.batches) > 1 and not keys.shared:
            expected = "one batch: only what is of several at once, as a chamber's record, has more"
            raise _held(Reason.NO_BATCH, keys, assigned.batch, expected)
        if keys.per == "batch":
            return self._batch(keys, name, folder, assigned), None
        panel = self._panel(keys, name, folder, assigned)
        return self._batch_of(panel, keys, name, folder, assigned), panel

    def _batch(self, keys: Keys, name: str, folder: str, assigned: Assigned) -> str:
        given = assigned.batch if len(assigned.batches) == 1 else None
        if text := given or keys.batch:
            said = self._checked(text, self.ids.batch, "batch", keys)
            other = self._batch_in(keys.panel) if keys.panel else None
            if not given and other not in (None, said):
                words = f"{said} in the file, {other} in the id {keys.panel}"
                raise _held(Reason.OTHER_BATCH, keys, words, "one batch for a panel", "batch")
            return said if given else self._agreed(said, keys.called, keys)
        text = assigned.panel or keys.panel
        panel = (
            self._checked(text, self.ids.panel, "panel", keys)
            if text
            else _only(self.ids.panel, name, folder, keep=canonical_panel)
        )
        if panel is not None:
            return self._batch_of(panel, keys, name, folder, assigned)
        batch = self._whose(keys, name, folder)
        if batch is None:
            told = ("no batch", OF_SHARED) if keys.shared else (None, None)
            raise _held(Reason.NO_BATCH, keys, *told)
        return self._agreed(batch, keys.called, keys)

    def _whose(self, keys: Keys, name: str, folder: str) -> str | None:
        """Return the batch of which no id stands in the file: by an id in its name, or its dose."""
        batch = _only(self.ids.batch, name, folder)
        if batch is not None or keys.replaces:
            return batch
        texts = (keys.called or "", name, *reversed(PurePosixPath(folder).parts))
        named = next((found for text in texts if (found := self.names.batches(text))), set())
        return named.pop() if len(named) == 1 else None

    def _agreed(self, batch: str, called: str | None, keys: Keys) -> str:
        """Return a batch if candidate and dose beside it are not those of other ones.

        Raises
        ------
        FileHeld
            If they are.
        """
        others = self.names.batches(called) if called and not keys.replaces else set()
        if others and batch not in others:
            of = ", ".join(sorted(others)[:3])
            words = f"{batch}, and {called}, which is {of} in the register"
            raise _held(Reason.OTHER_BATCH, keys, words, "one batch", "batch")
        return batch

    def contradictions(
        self, ids: Iterable[tuple[str, str | None]], name: str, folder: str = ""
    ) -> tuple[Reason, str, str] | None:
        """Return where the file or a folder names a panel or batch that is not among the file's.

        A name with several ids says nothing of one of them.

        Parameters
        ----------
        ids
            Batch and panel of each measurement of the file.

        Returns
        -------
        tuple or None
            The reason to hold it, what was found and what was expected.
        """
        pairs = set(ids)
        panels = {panel for _, panel in pairs if panel is not None}
        batches = {batch for batch, _ in pairs}
        for place in (name, *reversed(PurePosixPath(folder).parts)):
            named = _all(self.ids.panel, place, canonical_panel)
            of_panels = {self._batch_in(one) or self.batch_of_panel(one) for one in named}
            of_place = {*_all(self.ids.batch, place), *(one for one in of_panels if one)}
            for reason, own, said in (
                (Reason.OTHER_PANEL, panels, named),
                (Reason.OTHER_BATCH, batches, of_place),
            ):
                if not own or len(said) != 1 or said <= own:
                    continue
                (name_says,) = said
                if any(self._is_id(name_says, one) for one in own):
                    found = ", ".join(sorted(own)[:3])
                    return reason, f"{found} in the file", f"{name_says}, as {place!r} says"
        return None

    def _is_id(self, word: str, like: str) -> bool:
        """Say whether a word of a name is surely an id: a pattern may let any word pass."""
        return _shape(word) == _shape(like) or self.batch_of_panel(word) is not None

    def _panel(self, keys: Keys, name: str, folder: str, assigned: Assigned) -> str:
        if text := assigned.panel or keys.panel:
            return self._checked(text, self.ids.panel, "panel", keys, (name, folder))
        found = _only(self.ids.panel, name, folder, keep=canonical_panel)
        if found is None and not keys.replaces:
            numbers = {match["number"] for match in _PANEL_NUMBER.finditer(name)}
            number = numbers.pop() if len(numbers) == 1 else None
            found = self._of_batch(number, keys, (name, folder)) if number else None
        if found is None:
            raise _held(Reason.NO_PANEL, keys, None, None)
        return found

    def _batch_of(self, panel: str, keys: Keys, name: str, folder: str, assigned: Assigned) -> str:
        said = {}
        if text := assigned.batch or keys.batch:
            said["in the file"] = self._checked(text, self.ids.batch, "batch", keys)
        coded = self._batch_in(panel)
        asked = not said and not coded
        named = _only(self.ids.batch, name, folder, besides=panel) if asked else None
        registered = None if keys.replaces else self.batch_of_panel(panel)
        if registered:
            said["in the register"] = registered
        if coded:
            said[f"in the id {panel}"] = coded
        if named and (not registered or self._is_id(named, registered)):
            said["in the file name"] = named
        if not said:
            raise _held(
                Reason.NO_BATCH, keys, f"panel {panel}", "a batch, or the panel in the register"
            )
        if len(set(said.values())) > 1:
            words = ", ".join(f"{batch} {where}" for where, batch in said.items())
            raise _held(Reason.OTHER_BATCH, keys, words, "one batch for a panel", "panel")
        batch = next(iter(said.values()))
        return batch if assigned.batch else self._agreed(batch, keys.called, keys)

    def _batch_in(self, panel: str) -> str | None:
        match = _compiled(self.ids.panel).fullmatch(canonical_panel(panel) or panel)
        groups = match.groupdict() if match else {}  # of several patterns: batch_1, batch_2, ...
        said = (batch for name, batch in groups.items() if name.partition("_")[0] == "batch")
        return next((batch for batch in said if batch), None)

    def _checked(
        self, text: str, pattern: str, what: str, keys: Keys, place: tuple[str, str] = ("", "")
    ) -> str:
        """Return the id that a text is, or means; `place` is the file's name and folder."""
        found = repr(shortened(text, SHOWN))
        keep = canonical_panel if what == "panel" else canonical
        identity = keep(text)
        if identity is None or not _compiled(pattern).fullmatch(identity):
            meant = self._meant(text, pattern, what) or self._described(text, pattern, what, keys)
            if meant is None and what == "panel":
                meant = self._of_batch(text, keys, place)
            identity = meant or identity
        if identity is None:
            if odd := next((char for char in text if not "!" <= char <= "~"), None):
                found += f" with the character U+{ord(odd):04X}"  # it may look like another
            also = " (of a panel also #)" if what == "panel" else ""
            expected = f"an id of letters, digits, dot, hyphen and underscore{also}, at most 64"
            raise _held(Reason.BAD_ID, keys, found, expected, what)
        if not _compiled(pattern).fullmatch(identity):
            expected = f"an id that fits {pattern} (ids.{what} in tiecoat.toml)"
            raise _held(Reason.ID_NOT_IN_PATTERN, keys, found, expected, what)
        return identity

    def _meant(self, text: str, pattern: str, what: str) -> str | None:
        """Return the one id whose signs were typed as others; a registered panel before others."""
        keep = canonical_panel if what == "panel" else canonical
        meant = {one for one in typed_otherwise(text, _compiled(pattern)) if keep(one) == one}
        if len(meant) > 1 and what == "panel":
            meant = {one for one in meant if self.batch_of_panel(one)}
        return meant.pop() if len(meant) == 1 else None

    def _described(self, text: str, pattern: str, what: str, keys: Keys) -> str | None:
        """Return the id in a text that says more of its batch: RB-014 (talc 10 %), or talc 10 %.

        Only what the register says too, of this batch and no other.

        Raises
        ------
        FileHeld
            If that is another batch.
        """
        if keys.replaces:
            return None
        match = _WITH_MORE.fullmatch(text)
        if match is None:
            named = self.names.batches(text) if what == "batch" else set()
            return named.pop() if len(named) == 1 else None
        keep = canonical_panel if what == "panel" else canonical
        whole = keep(match["id"]) or ""
        fits = _compiled(pattern).fullmatch(whole)
        identity = whole if fits else self._meant(match["id"], pattern, what)
        if identity is None:
            return None
        batch = identity
        if what == "panel":
            batch = self._batch_in(identity) or self.batch_of_panel(identity) or ""
        self._agreed(batch, match["said"], keys)
        known = self.names.describes(batch, match["said"]) or self.names.batches(match["said"])
        return identity if known else None

    def _of_batch(self, text: str, keys: Keys, place: tuple[str, str]) -> str | None:
        """Return the registered panel whose id is made of its batch and of a text beside it."""
        batch = canonical(keys.batch or "")
        if keys.batch is None and not keys.replaces:
            batch = self._whose(keys, *place)
        elif batch is None or not _compiled(self.ids.batch).fullmatch(batch):
            batch = self._described(keys.batch or "", self.ids.batch, "batch", keys) or batch
        if batch is None or keys.replaces:
            return None
        pattern = _compiled(self.ids.panel)
        both = (f"{batch} {text}", f"{text} {batch}")
        meant = {one for each in both for one in typed_otherwise(each, pattern)}
        known = {one for one in meant if self.batch_of_panel(one) == batch}
        return known.pop() if len(known) == 1 else None


def _held(
    reason: Reason, keys: Keys, found: str | None, expected: str | None, column: str | None = None
) -> FileHeld:
    return FileHeld(reason, (Fault(reason, keys.row, column, found, expected, keys.sheet),))


def _only(
    pattern: str, name: str, folder: str, besides: str = "", keep: _Keep = canonical
) -> str | None:
    """Return the one id of this pattern in the file name, else in the nearest folder's name.

    What is part of the id `besides` is not looked at.
    """
    for text in (name, *reversed(PurePosixPath(folder).parts)):
        found = _all(pattern, text.upper().replace(besides, " ") if besides else text, keep)
        if len(found) == 1:
            return found.pop()
        if found:
            return None
    return None


def _all(pattern: str, text: str, keep: _Keep = canonical) -> set[str]:
    """Return the ids of this pattern in a name; of none there, those typed with other signs."""
    flags, rest = _FLAGS.fullmatch(pattern).groups()  # type: ignore[union-attr] # fits any text
    finder = _compiled(rf"{flags or ''}(?<![A-Z0-9])(?:{rest})(?![A-Z0-9])")
    found = {match[0] for match in finder.finditer(text.upper())}
    found = found or {*typed_otherwise_in(text, _compiled(pattern))}
    return {identity for identity in found if keep(identity) == identity}


def _shape(identity: str) -> str:
    """Return how an id looks: RB-014-3 and XY-7-12 both as A-0-0."""
    return re.sub(r"[A-Z]+", "A", re.sub(r"[0-9]+", "0", identity))


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)
