"""The files that wait beside a reason: `held/<id>/<file name>`, reason.json and reason.txt."""

from __future__ import annotations

import json
import shutil
import textwrap
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tiecoat import fsio
from tiecoat.errors import UnknownName
from tiecoat.intake.keying import Assigned
from tiecoat.lab import Lab
from tiecoat.reasons import Fault, Reason

ID_LENGTH = 12
FAULTS_SHOWN = 20


@dataclass(frozen=True)
class Held:
    """One held file and why it is held.

    `id` is the start of its SHA-256. `total` counts all faults found; `faults` holds the first.
    `advice` is what to do next beyond the advice of the reason itself, such as a command.
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

    def as_record(self) -> dict[str, Any]:
        """Return plain values for reason.json."""
        record = asdict(self)
        faults = [fault.as_record() for fault in self.faults]
        words = {"reason": self.reason.code, "text": self.reason.text, "advice": self.reason.advice}
        return {**record, **words, "faults": faults}

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
    **more: Any,
) -> Held:
    """Return a new held file with its id and the time."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    return Held(sha256[:ID_LENGTH], name, folder, sha256, reason, now, **more)


def write_held(lab: Lab, held: Held, original: Path) -> None:
    """Put the file and its reason among the held, whole or not at all."""
    target = lab.held / held.id
    record = json.dumps(held.as_record(), ensure_ascii=False, indent=2).encode()
    if target.exists():
        fsio.publish(target / "reason.txt", explain(held).encode(), lab.stage)
        fsio.publish(target / "reason.json", record, lab.stage)
        return
    half_made = fsio.stage_folder(lab.stage)
    shutil.copyfile(original, half_made / held.name)
    (half_made / "reason.txt").write_text(explain(held), encoding="utf-8")
    (half_made / "reason.json").write_bytes(record)
    fsio.publish_folder(half_made, target)


def drop_held(lab: Lab, held_id: str) -> None:
    """Take a file out of the held; its original stays."""
    fsio.remove_folder(lab.held / held_id, lab.stage)


def list_held(lab: Lab) -> list[Held]:
    """Return all held files, the oldest first."""
    found = [_read(path) for path in lab.held.glob("*/reason.json")]
    return sorted((held for held in found if held), key=lambda held: (held.held_at, held.id))


def find_held(lab: Lab, text: str) -> Held:
    """Return the held file whose id or file name begins so.

    Raises
    ------
    UnknownName
        If there is none, or more than one.
    """
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


def _read(path: Path) -> Held | None:
    """Return the record, or None where the folder has just been taken out."""
    for _ in range(3):
        try:
            return Held.from_record(json.loads(path.read_text(encoding="utf-8")))
        except FileNotFoundError:
            return None
        except PermissionError:
            time.sleep(0.02)  # Windows: it is being replaced
    return None


def explain(held: Held) -> str:
    """Return the reason in plain language: what, where, what to do next."""
    parts = [
        f"{held.name}\nis held: {held.reason.text}.",
        *([_bullets("What was found", _fault_lines(held))] if held.faults else []),
        *([f"In detail: {held.detail}"] if held.detail else []),
        *([_bullets("What the readers say", _claims(held.claims))] if held.claims else []),
        _bullets("What to do next", [held.reason.advice, *_commands(held)]),
        *([_quoted(held.first_lines)] if held.first_lines else []),
        f"Held since {held.held_at} as {held.id}. The original is safe under its SHA-256:",
    ]
    return "\n\n".join(parts) + f"\n{held.sha256}\n"


def _fault_lines(held: Held) -> list[str]:
    lines = [fault.sentence for fault in held.faults[:FAULTS_SHOWN]]
    more = held.total - len(lines)
    return [*lines, f"and {more} more"] if more > 0 else lines


def _claims(claims: Sequence[tuple[str, float, str]]) -> list[str]:
    return [f"{name} ({sure:.0%} sure): {why}" for name, sure, why in claims]


def _commands(held: Held) -> list[str]:
    commands = {
        Reason.NO_BATCH: f"tiecoat held assign {held.id} --batch ID",
        Reason.NO_PANEL: f"tiecoat held assign {held.id} --panel ID",
        Reason.OTHER_BATCH: f"tiecoat held assign {held.id} --panel ID",
        Reason.BAD_ID: f"tiecoat held assign {held.id} --batch ID   or   --panel ID",
        Reason.ID_NOT_IN_PATTERN: f"tiecoat held assign {held.id} --batch ID   or   --panel ID",
        Reason.CONFLICT: f'tiecoat supersede {held.id} --why "..."',
    }
    first = [commands[held.reason]] if held.reason in commands else []
    return [*first, f"tiecoat held retry {held.id}", f'tiecoat held discard {held.id} --why "..."']


def _bullets(title: str, lines: Sequence[str]) -> str:
    wrapped = [
        textwrap.fill(line, 88, initial_indent="  - ", subsequent_indent="    ") for line in lines
    ]
    return "\n".join([f"{title}:", *wrapped])


def _quoted(lines: Sequence[str]) -> str:
    return "\n".join(["The file begins:", *(f"  | {line[:100]}" for line in lines)])
