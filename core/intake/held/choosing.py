"""Some of many held files: by reason, name and time; of those that are only listed no more is read
than is shown."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tiecoat.errors import QueryInvalid
from tiecoat.intake.held.counting import held_folders
from tiecoat.intake.held.files import Held, read_held
from tiecoat.lab.filters import is_named
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Reason


@dataclass(frozen=True)
class HeldChoice:
    """Which held files are wanted: those that fit all that is given.

    `file` is a name in which * stands for any text; with "/" in it, it says the folder in the inbox
    too. `since` and `until` say when they were held.
    """

    reason: Reason | None = None
    file: str | None = None
    since: datetime | None = None
    until: datetime | None = None

    @property
    def is_any(self) -> bool:
        """Whether nothing is said, so that every file fits."""
        return self == HeldChoice()

    def fits(self, held: Held) -> bool:
        """Say whether a held file is one of those wanted."""
        at = datetime.fromisoformat(held.held_at)
        whole = f"{held.folder}/{held.name}" if "/" in (self.file or "") else held.name
        return (
            self.reason in {None, held.reason}
            and (self.file is None or is_named(whole, self.file))
            and (self.since is None or at >= self.since)
            and (self.until is None or at < self.until)
        )


@dataclass(frozen=True)
class HeldListed:
    """Held files, those first that were held or tried longest ago, and how many there are in all.

    `unreadable` are the ids of those whose record says nothing.
    """

    shown: tuple[Held, ...]
    total: int
    unreadable: tuple[str, ...] = ()


def chosen_held(lab: Lab, choice: HeldChoice, limit: int | None = None) -> HeldListed:
    """Return the held files that are wanted, the first so many of them."""
    folders = held_folders(lab)
    looked_at = folders[:limit] if choice.is_any else folders
    found: list[Held] = []
    unreadable: list[str] = []
    for folder in looked_at:
        held = read_held(folder, [choice.reason] if choice.reason else ())
        if held is None:
            unreadable.append(folder.name)
        elif choice.fits(held):
            found.append(held)
    total = len(folders) if choice.is_any else len(found)
    return HeldListed(tuple(found[:limit]), total, tuple(unreadable) if choice.is_any else ())


def reason_of(code: str) -> Reason:
    """Return the reason that a person names by its code.

    Raises
    ------
    QueryInvalid
        If there is none of this code.
    """
    try:
        return Reason.of(code.strip().lower())
    except KeyError:
        codes = ", ".join(sorted(reason.code for reason in Reason))
        raise QueryInvalid(f"no reason {code!r}; there are: {codes}") from None
