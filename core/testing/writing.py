"""Writing what is missing beside example exports, for a person to look through."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tiecoat.testing.examples import FINGERPRINTS, drafted
from tiecoat.testing.versions import (
    fingerprints_in,
    of_kind,
    results_by_evaluation,
    rows_by_reader,
)

if TYPE_CHECKING:
    from tiecoat.testing.workbench import Workbench


def write(bench: Workbench) -> None:
    """Write rows of exports that have none expected, and fingerprints of what is new.

    What was kept of a version stays: if rows have changed since, the version must.
    """
    folder = bench.asked.exports
    if folder is None:
        return
    for example in bench.sound:
        for name in sorted({row.kind for row in bench.rows(example)} - example.expected.keys()):
            rows = [row for row in bench.rows(example) if row.kind == name]
            text = drafted(rows, bench.plugins.kinds[name])
            example.expected_in(name).write_text(text, encoding="utf-8", newline="\n")
    kept = fingerprints_in(folder)
    for name, (version, digests) in rows_by_reader(bench).items():
        then = kept["readers"].get(name, {})
        before = then.get("rows", {}) if then.get("version") == version else {}
        there = {one.name for one in bench.good}
        old = {example: digest for example, digest in before.items() if example in there}
        kept["readers"][name] = {"version": version, "rows": digests | old}
    for kind in bench.kinds:
        kept["kinds"].setdefault(kind.name, {}).setdefault(str(kind.version), of_kind(bench, kind))
    for name, found in results_by_evaluation(bench).items():
        then = kept["evaluations"].get(name, {})
        if any(then.get(one) != found[one] for one in ("version", "rows")):
            kept["evaluations"][name] = found
    text = json.dumps(kept, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    (folder / FINGERPRINTS).write_text(text, encoding="utf-8", newline="\n")
