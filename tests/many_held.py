"""Thousands of held files, made from one that was really held."""

from __future__ import annotations

import hashlib
import json
import shutil

from labs import LabAtWork


def hold_many(at_work: LabAtWork, name: str, count: int) -> list[str]:
    """Put copies of the held file of this name among the held, and return their ids.

    Each has the name with its number before it, and is held a second after the one before.
    """
    record = at_work.held()[name]
    place = record.pop("place")
    del record["told"]
    ids = []
    for number in range(count):
        sha256 = hashlib.sha256(f"{name} {number}".encode()).hexdigest()
        ids.append(sha256[:12])
        folder = at_work.root / "held" / ids[-1]
        folder.mkdir()
        day, second = divmod(number, 86_400)
        at = f"2026-01-{1 + day:02}T{second // 3600:02}:{second // 60 % 60:02}:{second % 60:02}"
        own = {"id": ids[-1], "sha256": sha256, "name": f"{number:05} {name}", "held_at": at}
        text = json.dumps({**record, **own, "held_at": f"{at}+00:00"}, ensure_ascii=False)
        (folder / "reason.json").write_text(text, encoding="utf-8")
        (folder / own["name"]).hardlink_to(place / name)
    shutil.rmtree(place)
    return ids
