"""What can go wrong, drawn by whose fault it is.

TiecoatError
├── FileFault           the export: it waits among the held, with a reason
│   └── FileHeld            carries the reason and every fault found
├── PluginFault         a reader, a kind, a command or a table profile
│   ├── PluginNotLoaded     it could not be imported or registered
│   ├── PluginBroke         what it brings could not be carried through
│   └── ProfileInvalid      a table profile breaks the rules, by key and line
├── SettingsFault       tiecoat.toml
│   ├── NotALab             the folder holds no tiecoat.toml
│   ├── InboxOutOfReach     an inbox that is set cannot be looked into
│   └── SettingInvalid      a key has a value that is not allowed
├── ArchiveFault        the disk or the tables on it
│   ├── LabInUse            another process is writing, or serves this lab
│   └── ArchiveDamaged      a table does not open, or is not what it should be
│       ├── KindUnfinished      an upgrade that was cut short has left its tables on their way
│       └── OriginalChanged     an original has not the content that its folder is named after
├── LakeFault           tables that several labs publish into
│   ├── LakeOutOfReach      they cannot be opened, read or written
│   └── LakeDisagrees       what stands there does not go with this lab; nothing was changed
├── LabReplaced         the lab went away under a running process: only a new start helps
├── WrittenByNewer      a lab, or a part of it, of a format that only a newer tiecoat knows
└── RequestFault        what the user asked for
    ├── UnknownName         no such kind, batch, panel, measurement or held file
    ├── QueryInvalid        the query text or a filter cannot be understood
    └── NotPossibleHere     this system does not do it, or not for this user
"""

from __future__ import annotations

import errno
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tiecoat.reasons import Fault, Reason


def is_of_disk(error: BaseException) -> bool:
    """Say whether the system refused, as against a library that found a file's bytes wanting.

    Libraries raise OSError without a number, or have a nonsensical place in a file looked up.
    """
    return isinstance(error, OSError) and error.errno not in {None, errno.EINVAL}


def refuse_newer(what: object, found: object, known: int, advice: str = "") -> None:
    """Raise `WrittenByNewer` unless a format, which is a whole number, is known here."""
    if not isinstance(found, int) or found > known:
        raise WrittenByNewer(what, found, known, advice)


class TiecoatError(Exception):
    """Base of every error that tiecoat raises on purpose."""


class FileFault(TiecoatError):
    """The export is at fault."""


class FileHeld(FileFault, ValueError):
    """The export cannot be filed as it is.

    Parameters
    ----------
    reason
        The stable code under which the file is held.
    faults
        Every single fault found, in the order of the file.
    """

    def __init__(self, reason: Reason, faults: tuple[Fault, ...] = (), total: int = 0) -> None:
        super().__init__(reason, faults, total)
        self.reason = reason
        self.faults = faults
        self.total = max(total, len(faults))  # faults found, of which at most the first are kept

    def __str__(self) -> str:
        return "\n".join([self.reason.text, *(fault.sentence for fault in self.faults)])


class PluginFault(TiecoatError):
    """A reader, a kind, a command or a table profile is at fault."""


class PluginNotLoaded(PluginFault, ImportError):
    """A plugin could not be imported or registered."""


class PluginBroke(PluginFault, RuntimeError):
    """What a plugin brings could not be carried through; the message names it and the place."""


class ProfileInvalid(PluginFault, ValueError):
    """A table profile breaks the rules; the message lists key, line, found and allowed."""


class SettingsFault(TiecoatError):
    """The settings are at fault."""


class NotALab(SettingsFault, FileNotFoundError):
    """The folder is not a lab: it holds no tiecoat.toml."""


class InboxOutOfReach(SettingsFault, OSError):
    """An inbox, or a folder in it, cannot be looked into; all others were."""


class SettingInvalid(SettingsFault, ValueError):
    """A setting has a value that is not allowed; the message lists key, line, found and allowed."""


class ArchiveFault(TiecoatError):
    """The archive or the disk under it is at fault."""


class LabInUse(ArchiveFault, RuntimeError):
    """Another process holds the lab; the message names it."""


class ArchiveDamaged(ArchiveFault, OSError):
    """A table of the archive does not open or is not what it should be."""


class KindUnfinished(ArchiveDamaged):
    """The tables of a kind are whole, and not in their place: an upgrade was cut short."""


class OriginalChanged(ArchiveDamaged):
    """An original cannot be read, or has other content than it had; nothing is filed from it."""


class LakeFault(TiecoatError):
    """The tables that several labs publish into, or the way to them, are at fault."""


class LakeOutOfReach(LakeFault, OSError):
    """A lake cannot be opened, read or written; the message says what its storage says."""


class LakeDisagrees(LakeFault, RuntimeError):
    """What stands in a lake does not go with this lab: its name, its past, or a kind's columns."""


class LabReplaced(TiecoatError, RuntimeError):
    """The lab that was opened is not the one that is there now; only a new start puts it right."""


class WrittenByNewer(TiecoatError, RuntimeError):
    """A lab, or a part of it, is of a format that only a newer tiecoat knows; nothing is changed.

    Parameters
    ----------
    what
        What is of that format, as a person finds it.
    found, known
        Its format, and the newest that is known here.
    advice
        What else helps than the newer program.
    """

    def __init__(self, what: object, found: object, known: int, advice: str = "") -> None:
        super().__init__(what, found, known, advice)

    def __str__(self) -> str:
        what, found, known, advice = self.args
        return (
            f"{what} was written by a newer tiecoat: it is of format {found}, and this one knows"
            f" formats up to {known}.\n"
            "Nothing was changed. Use the newer one, here too"
            + (f"; or, {advice}" if advice else "")
            + "."
        )


class RequestFault(TiecoatError):
    """The request cannot be served as it was put."""


class UnknownName(RequestFault, LookupError):
    """Nothing of that name: a kind, batch, panel, measurement or held file."""


class QueryInvalid(RequestFault, ValueError):
    """The query or a filter cannot be understood."""


class NotPossibleHere(RequestFault, RuntimeError):
    """The system that this runs on does not do it, or not for this user; the message says what."""
