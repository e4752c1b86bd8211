"""The files that wait beside a reason: `held/<id>/<file name>`, reason.json and reason.txt."""

from __future__ import annotations

import json
import re
import shutil
import textwrap
import time
from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tiecoat.contract.measurement import CLAIMS_FROM
from tiecoat.disk import fsio
from tiecoat.errors import UnknownName
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.inboxes.notes import latest_notes, notes_beside
from tiecoat.intake.inboxes.preserve import checked
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Fault, Reason
from tiecoat.wording import shortened

ID_LENGTH = 12
ID = re.compile(f"[0-9a-f]{{{ID_LENGTH}}}")
FAULTS_SHOWN = 20
PAUSES_S = (0.02, 0.02)  # while a record may be being replaced
WIDTH = 88  # characters in a line
WORDS, RECORD = "reason.txt", "reason.json"
_CLAIM_TITLE = {
    Reason.SEVERAL_READERS: "The readers that claim it",
    Reason.NO_READER: "The likeliest reader",
}
TEACHABLE = frozenset(
    {
        Reason.NO_READER,
        Reason.MISSING_COLUMN,
        Reason.UNTAKEN_COLUMN,
        Reason.UNKNOWN_UNIT,
        Reason.AMBIGUOUS_NUMBER,
        Reason.UNREAD_ROWS,
        Reason.KIND_GONE,
    }
)
NEVER_OTHERWISE = frozenset({Reason.EMPTY_FILE, Reason.NOT_A_FILE})  # however often it is tried
WAIT_FOR_REGISTER = frozenset({Reason.NO_BATCH, Reason.NOT_REGISTERED})
WAIT_FOR_KIND = frozenset({Reason.KIND_CHANGED, Reason.KIND_GONE})
WAIT = WAIT_FOR_REGISTER | WAIT_FOR_KIND  # and are tried again by themselves
ASSIGN = {  # what is mended by an id, and how it is given
    Reason.NO_BATCH: "--batch BATCH (of a chamber's record several, each with --batch)",
    Reason.NO_PANEL: "--panel PANEL",
    Reason.OTHER_BATCH: "--panel PANEL (or --batch BATCH)",
    Reason.OTHER_PANEL: "--panel PANEL",
    Reason.BAD_ID: "--batch BATCH (or --panel PANEL)",
    Reason.ID_NOT_IN_PATTERN: "--batch BATCH (or --panel PANEL)",
}
ABOUT_READERS = frozenset({Reason.NO_READER, Reason.SEVERAL_READERS})


@dataclass(frozen=True)
class Held:
    """One held file and why it is held.

    `id` is the start of its SHA-256. `total` counts all faults found; `faults` holds the first.
    `again` counts how often it was filed and retracted before.
    """

    id: str
    name: str
    folder: str
    sha256: str
    reason: Reason
    held_at: str
    faults: tuple[Fault, ...] = ()
    total: int = 0
    detail: str | None = None
    reader: str | None = None
    claims: tuple[tuple[str, float, str], ...] = ()
    first_lines: tuple[str, ...] = ()
    assigned: Assigned = field(default_factory=Assigned)
    again: int = 0

    def as_record(self) -> dict[str, Any]:
        """Return plain values for reason.json."""
        record = asdict(self)
        faults = [fault.as_record() for fault in self.faults]
        words = {"reason": self.reason.code, "text": self.reason.text, "advice": self.reason.advice}
        assigned = self.assigned.as_record()
        return {**record, **words, "faults": faults, "assigned": assigned}

    @classmethod
    def from_record(cls, record: dict[str, Any]) -> Held:
        """Return what `as_record` wrote."""
        known = {key: value for key, value in record.items() if key not in {"text", "advice"}}
        known["reason"] = Reason.of(record["reason"])
        known["faults"] = tuple(Fault.from_record(fault) for fault in record["faults"])
        known["claims"] = tuple((name, sure, why) for name, sure, why in record["claims"])
        known["first_lines"] = tuple(record["first_lines"])
        known["assigned"] = Assigned(**record["assigned"])
        return cls(**known)


def hold(
    *,
    name: str,
    folder: str,
    sha256: str,
    reason: Reason,
    detail: str | None = None,
    claims: Sequence[tuple[str, float, str]] = (),
    **more: Any,
) -> Held:
    """Return a new held file with its id and the time; its texts are `shortened`."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    return Held(
        sha256[:ID_LENGTH],
        name,
        folder,
        sha256,
        reason,
        now,
        detail=None if detail is None else shortened(detail),
        claims=tuple((reader, sure, shortened(why)) for reader, sure, why in claims),
        **more,
    )


def write_held(lab: Lab, held: Held, original: Path) -> None:
    """Put the file and its reason among the held, whole or not at all.

    Raises
    ------
    OriginalChanged
        If the original is not what it was.
    OSError
        If the disk refuses.
    """
    target = lab.held / held.id
    before = read_held(target)
    if before:  # the copy in it keeps its name, also if the same bytes come under another
        held = replace(held, name=before.name, folder=before.folder, held_at=before.held_at)
    record = json.dumps(held.as_record(), ensure_ascii=False, indent=2).encode()
    if before:
        fsio.publish(target / WORDS, explain(held).encode(), lab.stage)
        fsio.publish(target / RECORD, record, lab.stage)
        return
    if fsio.is_there(target):  # somebody took the reason out of it
        fsio.remove_folder(target, lab.stage)
    half_made = fsio.stage_folder(lab.stage)
    copy = half_made / _copy_name(lab, held)
    try:
        fsio.copy_original(original, copy)
        checked(copy, held.sha256)
        if notes := latest_notes(lab, held.sha256):  # to be mended there
            shutil.copyfile(notes, notes_beside(copy))
        (half_made / WORDS).write_text(explain(held), encoding="utf-8")
        (half_made / RECORD).write_bytes(record)
        fsio.publish_folder(half_made, target)
    except Exception:
        fsio.discard_folder(half_made)
        raise


def held_notes(lab: Lab, held: Held) -> Path:
    """Return where the notes of a held file are, or would be."""
    return notes_beside(lab.held / held.id / _copy_name(lab, held))


def _copy_name(lab: Lab, held: Held) -> str:
    """Return the name of the copy, which may not be that of the reason beside it."""
    name = f"file {held.name}" if held.name.casefold() in {WORDS, RECORD} else held.name
    return fsio.fitting(lab.held / held.id, name)


def drop_held(lab: Lab, held_id: str) -> None:
    """Take a file out of the held; its original stays."""
    fsio.remove_folder(lab.held / held_id, lab.stage)


def list_held(lab: Lab, reasons: Collection[Reason] = ()) -> list[Held]:
    """Return all held files, or those that are held for some reasons, the oldest first."""
    found = [read_held(folder, reasons) for folder in fsio.paths_in(lab.held)]
    return sorted((held for held in found if held), key=lambda held: (held.held_at, held.id))


def find_held(lab: Lab, text: str) -> Held:
    """Return the held file whose id or file name begins so.

    Raises
    ------
    UnknownName
        If there is none, or more than one.
    """
    if ID.fullmatch(text) and (by_id := read_held(lab.held / text)):
        return by_id
    everything = list_held(lab)
    found = [held for held in everything if text in {held.id, held.name}] or [
        held
        for held in everything
        if text and (held.id.startswith(text.casefold()) or held.name.startswith(text))
    ]
    if len(found) == 1:
        return found[0]
    if found:
        raise UnknownName(
            f"{text!r} fits {len(found)} held files: "
            + ", ".join(f"{held.id} ({held.name})" for held in found)
        )
    raise UnknownName(f"no held file {text!r}; list them with: tiecoat held")


def read_held(folder: Path, reasons: Collection[Reason] = ()) -> Held | None:
    """Return the record in a folder, or None where that has just gone, or was tampered with.

    A file whose record is lost is held anew when it is dropped again. OSError if it cannot be read.

    Parameters
    ----------
    reasons
        None too where it is held for none of these; of thousands only the others are understood.
    """
    codes = [f'"{reason.code}"' for reason in reasons]
    for pause_s in (*PAUSES_S, None):
        try:
            text = (folder / RECORD).read_text(encoding="utf-8")
            if codes and not any(code in text for code in codes):
                return None
            held = Held.from_record(json.loads(text))
            return held if not codes or held.reason in reasons else None
        except (FileNotFoundError, NotADirectoryError):
            return None
        except (ValueError, LookupError, TypeError, RecursionError):
            return None
        except PermissionError:
            if pause_s is None:
                raise
            time.sleep(pause_s)  # Windows: it is being replaced
    return None


def explain(held: Held) -> str:
    """Return the reason in plain language: what, where, what to do next."""
    parts = [
        f"{held.name}\nis held: {held.reason.text}.",
        *([_bullets("What was found", found)] if (found := _fault_lines(held)) else []),
        *([textwrap.fill(f"In detail: {held.detail}", WIDTH)] if held.detail else []),
        *([_bullets(_claim_title(held), _claims(held))] if _ask_readers(held) else []),
        _bullets("What to do next", [held.reason.advice]),
        "Commands:\n" + "\n".join(_commands(held)),
        *([_quoted(held.first_lines)] if _is_text(held) else []),
        f"Held since {held.held_at} as {held.id}. The original is safe under its SHA-256:",
    ]
    return "\n\n".join(parts) + f"\n{held.sha256}\n"


def _fault_lines(held: Held) -> list[str]:
    shown = held.faults[:FAULTS_SHOWN]
    lines = [fault.sentence for fault in shown if fault.sentence != held.reason.text]
    more = held.total - len(shown)
    return [*lines, f"and {more:,} more"] if more > 0 else lines


def _ask_readers(held: Held) -> bool:
    return bool(held.claims) and held.reason in ABOUT_READERS


def _claim_title(held: Held) -> str:
    several = held.reason is Reason.NO_READER and len(_claims(held)) > 1
    return _CLAIM_TITLE[held.reason] + ("s" if several else "")


def _claims(held: Held) -> list[str]:
    """Return who claims the file, or where nobody does who is likeliest to and what each lacks."""
    said = [(name, sure, why) for name, sure, why in held.claims if why != "no"]
    if held.reason is Reason.SEVERAL_READERS:
        said = [claim for claim in said if claim[1] >= CLAIMS_FROM]
    else:
        said = [claim for claim in said if claim[1] == said[0][1] > 0] or said[:1]  # as likely
    return [f"{name}: {why}" for name, _, why in said]


def _is_text(held: Held) -> bool:
    return bool(held.first_lines) and held.reason is not Reason.NOT_TEXT


def _commands(held: Held) -> list[str]:
    commands = []
    if ids := ASSIGN.get(held.reason):
        purpose = "to file under this id what has none, or a wrong one"
        commands.append((f"tiecoat held assign {held.id} {ids}", purpose))
    if held.reason is Reason.CONFLICT:  # trying again would only find it again
        supersede = f'tiecoat supersede {held.id} --why "..."'
        commands.append((supersede, "to file these values; the earlier ones stay on record"))
    elif held.reason not in NEVER_OTHERWISE:
        again = f"tiecoat held retry {held.id}"
        commands.append((again, "to try again, after a change of settings, readers or register"))
    if held.reason in TEACHABLE:
        learn = f"tiecoat learn {held.id}"
        commands.insert(0, (learn, "to say what the file leaves open, once for all of its layout"))
    discard = f'tiecoat held discard {held.id} --why "..."'
    commands.append((discard, "to give it up; the original stays"))
    return [f"  {command}\n      {purpose}" for command, purpose in commands]


def _bullets(title: str, lines: Sequence[str]) -> str:
    wrapped = [
        textwrap.fill(
            line, WIDTH, initial_indent="  - ", subsequent_indent="    ", break_on_hyphens=False
        )
        for line in lines
    ]
    return "\n".join([f"{title}:", *wrapped])


def _quoted(lines: Sequence[str]) -> str:
    return "\n".join(["The file begins:", *(f"  | {line[:100]}" for line in lines)])
