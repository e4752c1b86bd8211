"""The example is reproducible, hangs together, and its broken exports are broken in one place."""

from __future__ import annotations

import codecs
import io
import math
import re
from collections.abc import Iterable
from itertools import zip_longest
from pathlib import Path
from typing import Any

import openpyxl  # type: ignore[import-untyped]
import pytest
from example_exports import exports, pictures
from example_formats import INVENTED
from example_truth import AREA_CM2, RECIPES, panels, spectra
from generate_example import broken, main, write_broken
from PIL import Image

from tiecoat.reasons import Reason

EXAMPLE = Path(__file__).resolve().parent.parent / "archive_example"
BY_BATCH = {recipe.batch: recipe for recipe in RECIPES}


@pytest.fixture(scope="module")
def good() -> dict[str, bytes]:
    """The exports, made once."""
    return exports()


def readable(content: bytes) -> str:
    """Return the text of an export, a workbook as rows of cells."""
    if content.startswith(b"PK"):
        book = openpyxl.load_workbook(io.BytesIO(content))
        rows = [row for sheet in book for row in sheet.iter_rows(values_only=True)]
        return "\n".join(",".join("" if c is None else str(c) for c in row) for row in rows)
    if content.startswith(codecs.BOM_UTF16_LE):
        return content.decode("utf-16")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252")


@pytest.mark.thorough
def test_the_same_bytes_come_out_every_time(good: dict[str, bytes]) -> None:
    """Nothing depends on the clock, on the order of calls or on what ran before."""
    assert exports.__wrapped__() == good
    assert pictures() == pictures.__wrapped__()
    assert broken() == broken()


def test_the_exports_in_the_repository_are_what_the_generator_writes(tmp_path: Path) -> None:
    """Whoever doubts the example can make it again."""
    main([str(tmp_path)])

    def content(path: Path) -> bytes:
        """Of a picture the pixels: how they are packed depends on the build of zlib."""
        return Image.open(path).tobytes() if path.suffix == ".png" else path.read_bytes()

    def files(folder: Path) -> dict[str, bytes]:
        found = (path for path in folder.rglob("*") if path.is_file())
        return {path.relative_to(folder).as_posix(): content(path) for path in found}

    folders = ("exports", "broken")
    kept = {name: files(EXAMPLE / name) for name in folders}
    assert kept == {name: files(tmp_path / name) for name in folders}
    size = sum(path.stat().st_size for path in (EXAMPLE / "exports").rglob("*.*"))
    assert size < 2_000_000


def test_run_as_a_program_it_writes_both_folders_and_counts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], good: dict[str, bytes]
) -> None:
    """`python tests/generate_example.py FOLDER`, and a word of help without FOLDER."""
    assert main([str(tmp_path / "new")]) == 0
    assert capsys.readouterr().out.startswith(f"{len(good) + len(pictures())} exports (")
    assert len(list((tmp_path / "new" / "broken").iterdir())) == len(broken())
    assert main([]) == 2
    assert "FOLDER" in capsys.readouterr().err


def test_every_export_says_that_it_is_invented(good: dict[str, bytes]) -> None:
    """No file can be taken for a real result, wherever it ends up."""
    for name, content in good.items():
        assert INVENTED in readable(content), name
    for name, content in pictures().items():
        assert INVENTED.encode() in content, name
    for export in broken():
        if export.reason not in {"EMPTY_FILE", "NOT_TEXT"}:
            assert INVENTED in readable(export.content), export.name


@pytest.mark.parametrize(
    ("folder", "shown"),
    [
        ("impedance", "Frequency [Hz],Z' [Ohm],-Z'' [Ohm]"),
        ("impedance", "f;|Z|;Phase\r\nHz;kOhm;deg"),
        ("impedance", "f;|Z|;-Phase\r\nHz;kOhm;deg"),
        ("impedance", "f;|Z|;Phase\r\nHz;kOhm;rad"),
        ("impedance", "t / h\tf / Hz\tRe / Ohm cm2\tIm / Ohm cm2"),
        ("density", "Density [g/cm³]"),
        ("density", "Density [kg/m³]"),
        ("viscosity", "\r\nup\t"),
        ("viscosity", "\r\nsingle\t"),
        ("flow cup", "Batch,Date,Time,Cup,Efflux (s),Temp (°C)"),
        ("pull-off", "No.;Time;Force [kN];Failure"),
        ("pull-off", "Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured"),
        ("pull-off", "Panel,Determination,Dolly (mm),Strength (psi),Failure,Measured"),
        ("register", "Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note"),
        ("register", ";Beschichtungssystem;Trockenschichtdicke [µm];Beschichtet am;2. Schicht am;"),
    ],
)
def test_every_dialect_occurs(folder: str, shown: str, good: dict[str, bytes]) -> None:
    """Each layout and each of its variants stands in at least one export."""
    texts = [readable(c) for name, c in good.items() if name.startswith(folder + "/")]
    assert any(shown in text for text in texts)


def _numbers(rows: Iterable[str], separator: str) -> list[list[float]]:
    return [[float(c.replace(",", ".")) for c in row.split(separator)] for row in rows]


def _polar(modulus: float, phase: float) -> complex:
    return complex(modulus * math.cos(phase), modulus * math.sin(phase))


def _read_one(content: bytes) -> list[complex]:
    rows = readable(content).splitlines()
    table = _numbers(rows[rows.index("Frequency [Hz],Z' [Ohm],-Z'' [Ohm]") + 1 :], ",")
    return [complex(real, -minus_imag) for _, real, minus_imag in table]


def _read_blocks(content: bytes) -> list[complex]:
    text = readable(content)
    sign = -1 if "-Phase" in text else 1
    unit = 1 if ";rad\r\n" in text else math.pi / 180
    rows = [row for row in text.splitlines() if re.fullmatch(r"[\d,]+;[\d,]+;-?[\d,]+", row)]
    return [_polar(1000 * z, sign * unit * phase) for _, z, phase in _numbers(rows, ";")]


def _read_long(content: bytes) -> list[complex]:
    rows = readable(content).splitlines()
    table = _numbers(rows[rows.index("t / h\tf / Hz\tRe / Ohm cm2\tIm / Ohm cm2") + 1 :], "\t")
    falling = sorted(table, key=lambda row: (row[0], -row[1]))
    return [complex(real, imag) / AREA_CM2 for _, _, real, imag in falling]


@pytest.mark.parametrize(
    ("batch", "file", "read"),
    [
        ("RB-010", "RB-010-1 day 0.csv", _read_one),
        ("RB-016", "Glasplättchen RB-016-1 (Tag 0).csv", _read_one),
        ("RB-011", "Verlauf RB-011-1 10 Tage.csv", _read_blocks),
        ("RB-014", "Verlauf RB-014-1 10 Tage.csv", _read_blocks),
        ("RB-017", "Verlauf RB-017-1 10 Tage.csv", _read_blocks),
        ("RB-012", "RB-012-1 series.txt", _read_long),
        ("RB-015", "RB-015-1 series.txt", _read_long),
    ],
)
def test_every_layout_of_impedance_tells_the_same_truth(
    batch: str, file: str, read: Any, good: dict[str, bytes]
) -> None:
    """Signs, units, area and order differ between the layouts, the spectra do not.

    Within the rounding of the exports: five digits, or 0.0001 degrees and radians of the phase.
    """
    panel = panels(BY_BATCH[batch])[0]
    truth = spectra(panel, points=35 if read is _read_blocks else 36)
    ideal = [z for spectrum in truth for _, z in spectrum.points]
    found = read(good[f"impedance/{file}"])
    assert len(found) == len(ideal if read is not _read_one else truth[0].points)
    assert found == [pytest.approx(z, rel=1e-4) for z in ideal[: len(found)]]


def test_broken_exports_have_one_reason_each(tmp_path: Path, good: dict[str, bytes]) -> None:
    """Every reason exists, none occurs twice, and what is written is what was made."""
    made = broken()
    assert len({export.reason for export in made}) == len(made) >= 8
    for export in made:
        assert export.reason in Reason.__members__
        assert export.content not in good.values()
    assert [path.read_bytes() for path in write_broken(tmp_path)] == [b.content for b in made]


# for each reason the one row that differs: before, and after
CHANGED = {
    "CUT_OFF": (r"0\.01,[\d.e+]+,[\d.e+]+", r"0\.01,[\d.e+]+"),
    "UNKNOWN_UNIT": (r"Date;.*\[g/cm³\].*", r"Date;.*\[g/scoop\].*"),
    "BAD_NOTATION": (r'.*"60% B, 40% B/C".*', r'.*"70% B, 40% B/C".*'),
    "OUT_OF_BOUNDS": (r"0\.01,.*", r"-0\.01,.*"),
    "ID_NOT_IN_PATTERN": (r'"RB-013",.*', r'"RB-13",.*'),
    "CONFLICT": (r"3;\d\d:\d\d;\d,\d\d\d;.*", r"3;\d\d:\d\d;\d,\d\d\d;.*"),
    "SKIPPED_TIME": (r"Measured at: 2026-09-22 .*", r"Measured at: 2026-03-29 02:30:00"),
}


@pytest.mark.parametrize("reason", CHANGED)
def test_a_broken_export_differs_from_the_good_one_in_one_row(
    reason: str, good: dict[str, bytes]
) -> None:
    """Nothing but the intended fault stands in the way of filing it."""
    export = next(export for export in broken() if export.reason == reason)
    assert export.source is not None
    before_text, after_text = readable(good[export.source]), readable(export.content)
    pairs = zip_longest(before_text.splitlines(), after_text.splitlines())
    changed = [pair for pair in pairs if pair[0] != pair[1]]
    assert len(changed) == 1
    before, after = changed[0]
    assert re.fullmatch(CHANGED[reason][0], before)
    assert re.fullmatch(CHANGED[reason][1], after)


def test_the_other_broken_exports_are_what_they_say(good: dict[str, bytes]) -> None:
    """A column left out, nothing at all, no text, and commas that can be read in two ways."""
    by_reason = {export.reason: export for export in broken()}
    headless = by_reason["MISSING_COLUMN"]
    assert headless.source is not None
    complete = readable(good[headless.source]).splitlines()
    for before, after in zip(complete, readable(headless.content).splitlines(), strict=True):
        cells = before.split(";")
        assert after.split(";") == (cells if len(cells) < 8 else cells[:5] + cells[6:])
    assert by_reason["EMPTY_FILE"].content == b""
    assert b"\0" in by_reason["NOT_TEXT"].content
    numbers = re.findall(
        r"[\d.,]+", readable(by_reason["AMBIGUOUS_NUMBER"].content).split("cm2")[-1]
    )
    assert all(re.fullmatch(r"\d+|\d{1,3},\d{3}", number) for number in numbers)
    assert any("," in number for number in numbers)
