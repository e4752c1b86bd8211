"""What became of each change, kept line by line, and the table that sums it up."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Literal, get_args

Outcome = Literal["noticed", "survived", "timed out"]
OUTCOMES: tuple[Outcome, ...] = get_args(Outcome)


@dataclass(frozen=True)
class Tried:
    """What became of a change: it was noticed, it survived, or the tests did not come to an end.

    `source` and `tests` are digests of what it was tried on; `ran` counts the tests that were
    shown it, `left_out` those that would have taken too long; `by` names the one that noticed.
    """

    module: str
    source: str
    tests: str
    number: int
    line: int
    function: str
    sort: str
    before: str
    after: str
    outcome: Outcome
    ran: int
    left_out: int
    by: str = ""

    @property
    def words(self) -> str:
        """The change and what became of it, in a line."""
        within = f" in {self.function}" if self.function else ""
        what = f"core/{self.module}:{self.line}{within}: {self.sort}: {self.before} -> {self.after}"
        if self.by:
            return f"{what} [{self.by}]"
        left = f", {self.left_out} more take too long" if self.left_out else ""
        return f"{what} [{self.ran} tests{left}]"


class Results:
    """A file with one line for each change that was tried."""

    def __init__(self, path: Path) -> None:
        self._path = path
        lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
        self._found = {_key(one): one for one in (Tried(**json.loads(line)) for line in lines)}

    def add(self, tried: Tried) -> None:
        """Keep what became of a change."""
        with self._path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(asdict(tried)) + "\n")
        self._found[_key(tried)] = tried

    def known(self, module: str, source: str, tests: str, number: int) -> Tried | None:
        """Return what became of a change; None if that may be another thing by now."""
        tried = self._found.get((module, source, number))
        return tried if tried and (tried.outcome == "noticed" or tried.tests == tests) else None


def _key(tried: Tried) -> tuple[str, str, int]:
    return tried.module, tried.source, tried.number


def table(found: Sequence[Tried], asked: int) -> str:
    """Return the table of modules, the sums by sort, and every change that was not noticed."""
    lines = [_row("module", "changes", *OUTCOMES)]
    by_module: dict[str, list[Tried]] = defaultdict(list)
    by_sort: dict[str, list[Tried]] = defaultdict(list)
    for tried in found:
        by_module[f"core/{tried.module}"].append(tried)
        by_sort[tried.sort].append(tried)
    for group in (by_module, by_sort, {"all": list(found)}):
        for name, own in sorted(group.items()):
            count = Counter(tried.outcome for tried in own)
            lines.append(_row(name, len(own), *(count[outcome] for outcome in OUTCOMES)))
        lines.append("")
    if asked > len(found):
        lines += [f"{asked - len(found)} changes were not tried yet: run it again to go on", ""]
    for outcome in ("survived", "timed out"):
        own = [tried for tried in found if tried.outcome == outcome]
        own.sort(key=lambda tried: (tried.module, tried.line, tried.number))
        lines += [f"{outcome}: {len(own)}", *(f"  {tried.words}" for tried in own), ""]
    return "\n".join(lines)


def _row(name: str, *counts: object) -> str:
    return f"{name:<48}" + "".join(f"{count:>11}" for count in counts)
