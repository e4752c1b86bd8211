"""Writes the example: invented exports of invented instruments, in every dialect they speak.

    python tests/generate_example.py FOLDER

makes FOLDER/exports (what a laboratory would drop into its inbox) and FOLDER/broken (what it would
have to mend, one fault a file). The same bytes come out every time. The numbers come from
example_truth.py and the modules that example_exports.py puts together.
"""

from __future__ import annotations

import random
import re
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from example_exports import exports, pictures
from example_formats import INVENTED, lines
from example_truth import SEED


@dataclass(frozen=True)
class Broken:
    """An export with one fault.

    Parameters
    ----------
    name
        File name.
    reason
        Name of the `tiecoat.reasons.Reason` it must be held for.
    content
        Its bytes.
    source
        The good export it was made from, or None.
    """

    name: str
    reason: str
    content: bytes
    source: str | None = None


def _once(old: str, new: str) -> Callable[[str], str]:
    """Return an edit that turns exactly one place."""

    def edit(text: str) -> str:
        if text.count(old) != 1:
            raise ValueError(f"{old!r} stands {text.count(old)} times in the export, expected once")
        return text.replace(old, new)

    return edit


def _first(pattern: str, new: str) -> Callable[[str], str]:
    """Return an edit that turns the first match of a pattern."""

    def edit(text: str) -> str:
        edited, count = re.subn(pattern, new, text, count=1, flags=re.MULTILINE)
        if not count:
            raise ValueError(f"{pattern!r} is nowhere in the export")
        return edited

    return edit


def _cut_in_last_row(text: str) -> str:
    """End in the middle of the second of three fields."""
    return text[: text.rindex(",") - 2]


def _without_density(text: str) -> str:
    """Leave out the sixth of eight columns below the preamble."""
    rows = [row.split(";") for row in text.split("\r\n")]
    return "\r\n".join(";".join(r[:5] + r[6:] if len(r) == 8 else r) for r in rows)


def _swapped_digits(text: str) -> str:
    """Swap the two decimals after the first in the force of the third pull."""
    return _first(r"^(3;\d\d:\d\d;\d,\d)(\d)(\d)", r"\1\3\2")(text)


# name, reason, source, encoding, edit
_EDITS: tuple[tuple[str, str, str, str, Callable[[str], str]], ...] = (
    (
        "RB-010-2 day 3 abgebrochen.csv",
        "CUT_OFF",
        "impedance/RB-010-2 day 3.csv",
        "utf-8",
        _cut_in_last_row,
    ),
    (
        "Dichte ohne Dichte.csv",
        "MISSING_COLUMN",
        "density/Dichte 14.09. früh.csv",
        "cp1252",
        _without_density,
    ),
    (
        "Dichte 16.09. in Kellen.csv",
        "UNKNOWN_UNIT",
        "density/Dichte 16.09. Küche 2.csv",
        "cp1252",
        _once("[g/cm³]", "[g/scoop]"),
    ),
    (
        "pull off RB-017 110 percent.csv",
        "BAD_NOTATION",
        "pull-off/pull off RB-017 psi.csv",
        "utf-8",
        _first('"60% B, 40% B/C"', '"70% B, 40% B/C"'),
    ),
    (
        "RB-013-1 NaCl Tag 7 negativ.csv",
        "OUT_OF_BOUNDS",
        "impedance/RB-013-1 NaCl Tag 7.csv",
        "utf-8",
        _first(r"^(0\.01,)", r"-\1"),
    ),
    (
        "cup book Tippfehler.csv",
        "ID_NOT_IN_PATTERN",
        "flow cup/cup book September.csv",
        "utf-8",
        _first('"RB-013"', '"RB-13"'),
    ),
    (
        "Abreißversuch RB-010-1 Abschrift.csv",
        "CONFLICT",
        "pull-off/Abreißversuch RB-010-1.csv",
        "cp1252",
        _swapped_digits,
    ),
    (
        "RB-010-1 day 1 Zeitumstellung.csv",
        "SKIPPED_TIME",
        "impedance/RB-010-1 day 1.csv",
        "utf-8",
        _first(r"^Measured at: .*$", "Measured at: 2026-03-29 02:30:00"),
    ),
)


def _ambiguous() -> bytes:
    """Every comma may be a decimal or a thousands mark: 1,250 is 1.25 or 1250."""
    decades = (100000, 10000, 1000, 100, 10, 1)
    top = ["Film impedance over time", INVENTED, "Panel\tRB-012-1", "Cell area\t15 cm2", ""]
    rows = [f"24\t{f}\t{n},250\t-{n + 3},500" for n, f in enumerate(decades, 1)]
    return lines(*top, "t / h\tf / Hz\tRe / Ohm cm2\tIm / Ohm cm2", *rows).encode()


def broken() -> list[Broken]:
    """Return the broken exports; each needs the good ones filed before only if it is a CONFLICT."""
    good = exports()
    rubbish = random.Random(f"{SEED} rubbish").randbytes(3000)
    return [
        *(
            Broken(name, reason, edit(good[source].decode(code)).encode(code), source)
            for name, reason, source, code, edit in _EDITS
        ),
        Broken("RB-012-1 mehrdeutig.txt", "AMBIGUOUS_NUMBER", _ambiguous()),
        Broken("leer.csv", "EMPTY_FILE", b""),
        Broken("screenshot.csv", "NOT_TEXT", bytes(range(32)) + rubbish),
    ]


def _write(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return [folder / name for name in files]


def write_exports(folder: Path) -> list[Path]:
    """Write all exports and pictures, in a folder for each instrument; return their paths."""
    return _write(folder, exports() | pictures())


def write_broken(folder: Path) -> list[Path]:
    """Write the broken exports; return their paths in the order of `broken()`."""
    return _write(folder, {export.name: export.content for export in broken()})


def main(arguments: list[str]) -> int:
    """Write both folders."""
    if len(arguments) != 1:
        print("Say where to: python tests/generate_example.py FOLDER", file=sys.stderr)
        return 2
    root = Path(arguments[0])
    good, bad = write_exports(root / "exports"), write_broken(root / "broken")
    size_kb = sum(path.stat().st_size for path in good) / 1000
    print(f"{len(good)} exports ({size_kb:.0f} kB) and {len(bad)} broken ones in {root}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
