"""From what a file says, and what it is called, to the batch and the panel it belongs to."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import PurePosixPath

from tiecoat.errors import FileHeld
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.workers.answers import Keys
from tiecoat.lab.ids import canonical, canonical_panel, typed_otherwise
from tiecoat.lab.settings import IdPatterns
from tiecoat.reasons import Fault, Reason
from tiecoat.wording import shortened

SHOWN = 80  # characters of an id that is none

_Keep = Callable[[str], str | None]  # the id as it is kept
_FLAGS = re.compile(r"(?s)(\(\?[a-zA-Z]+\))?(.*)")  # of a pattern, such as (?s) at its begin


@dataclass(frozen=True)
class Keyer:
    """Finds batch and panel: assigned, else from the content, else the name, else the register.

    Whoever says the batch of a panel must agree with its id and with the register.

    Parameters
    ----------
    ids
        The patterns of the lab; the named group `batch` of the panel pattern gives the batch.
    batch_of_panel
        Register lookup: canonical panel -> canonical batch or None.
    """

    ids: IdPatterns
    batch_of_panel: Callable[[str], str | None]

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
        if keys.per == "batch":
            return self._batch(keys, name, folder, assigned), None
        panel = self._panel(keys, name, folder, assigned)
        return self._batch_of(panel, keys, name, folder, assigned), panel

    def _batch(self, keys: Keys, name: str, folder: str, assigned: Assigned) -> str:
        if text := assigned.batch or keys.batch:
            said = self._checked(text, self.ids.batch, "batch", keys)
            other = self._batch_in(keys.panel) if keys.panel else None
            if not assigned.batch and other not in (None, said):
                words = f"{said} in the file, {other} in the id {keys.panel}"
                raise _held(Reason.OTHER_BATCH, keys, words, "one batch for a panel", "batch")
            return said
        text = assigned.panel or keys.panel
        panel = (
            self._checked(text, self.ids.panel, "panel", keys)
            if text
            else _only(self.ids.panel, name, folder, keep=canonical_panel)
        )
        if panel is not None:
            return self._batch_of(panel, keys, name, folder, assigned)
        batch = _only(self.ids.batch, name, folder)
        if batch is None:
            raise _held(Reason.NO_BATCH, keys, None, None)
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
            return self._checked(text, self.ids.panel, "panel", keys)
        found = _only(self.ids.panel, name, folder, keep=canonical_panel)
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
        return next(iter(said.values()))

    def _batch_in(self, panel: str) -> str | None:
        match = _compiled(self.ids.panel).fullmatch(canonical_panel(panel) or panel)
        groups = match.groupdict() if match else {}  # of several patterns: batch_1, batch_2, ...
        said = (batch for name, batch in groups.items() if name.partition("_")[0] == "batch")
        return next((batch for batch in said if batch), None)

    def _checked(self, text: str, pattern: str, what: str, keys: Keys) -> str:
        found = repr(shortened(text, SHOWN))
        keep = canonical_panel if what == "panel" else canonical
        identity = keep(text)
        if identity is None or not _compiled(pattern).fullmatch(identity):
            meant = self._meant(text, pattern, what)
            if meant is None and what == "panel":
                meant = self._of_batch(text, keys)
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

    def _of_batch(self, text: str, keys: Keys) -> str | None:
        """Return the registered panel whose id is made of its batch and of a text beside it."""
        batch = canonical(keys.batch or "")
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
    """Return the ids of this pattern in a name."""
    flags, rest = _FLAGS.fullmatch(pattern).groups()  # type: ignore[union-attr] # fits any text
    finder = _compiled(rf"{flags or ''}(?<![A-Z0-9])(?:{rest})(?![A-Z0-9])")
    found = {match[0] for match in finder.finditer(text.upper())}
    return {identity for identity in found if keep(identity) == identity}


def _shape(identity: str) -> str:
    """Return how an id looks: RB-014-3 and XY-7-12 both as A-0-0."""
    return re.sub(r"[A-Z]+", "A", re.sub(r"[0-9]+", "0", identity))


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)
