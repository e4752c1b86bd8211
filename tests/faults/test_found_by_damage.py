"""What damaged exports brought to light: each was a breakdown, or a wrong or lost value."""

from __future__ import annotations

import hashlib
import io
import zipfile
from pathlib import Path

import pytest

from tiecoat.dialect.export import Habits
from tiecoat.dialect.numbers import number, plain_numbers
from tiecoat.dialect.units import understand
from tiecoat.intake.reading import Hold, Reading, Task, read_chunk
from tiecoat.loading import Plugins, load_plugins

EXPORTS = Path(__file__).parent.parent / "exports"


@pytest.fixture(scope="module")
def plugins() -> Plugins:
    """The built-in readers and kinds."""
    return load_plugins(None)


def read(content: bytes, folder: Path, plugins: Plugins, ending: str = ".csv") -> Reading:
    path = folder / f"export{ending}"
    path.write_bytes(content)
    task = Task(str(path), path.name, "", hashlib.sha256(content).hexdigest())
    return read_chunk([task], plugins, Habits()).readings[0]


def held(content: bytes, folder: Path, plugins: Plugins, ending: str = ".csv") -> Hold:
    hold = read(content, folder, plugins, ending).hold
    assert hold is not None
    return hold


def changed(name: str, old: str, new: str) -> bytes:
    """Return a sample with one place changed."""
    text = (EXPORTS / name).read_bytes().decode("cp1252")
    assert old in text
    return text.replace(old, new, 1).encode("cp1252")


def test_a_quotation_mark_that_takes_every_row(plugins: Plugins, tmp_path: Path) -> None:
    """A mark in the first line that is never closed leaves no row, and is no breakdown."""
    content = changed("gloss/list_point.txt", "Panel", '"Panel')
    assert held(content, tmp_path, plugins).reason == "no-reader"


def test_a_workbook_whose_parts_do_not_unpack(plugins: Plugins, tmp_path: Path) -> None:
    """Damage inside a packed part is a damaged workbook."""
    content = bytearray((EXPORTS / "pull_off/strength.xlsx").read_bytes())
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        sheet = parts.getinfo("xl/worksheets/sheet1.xml")
    start = sheet.header_offset + 30 + len(sheet.filename)
    content[start : start + 40] = bytes(range(255, 215, -1))
    assert held(bytes(content), tmp_path, plugins, ".xlsx").reason == "damaged-sheet"


def test_an_area_of_nothing(plugins: Plugins, tmp_path: Path) -> None:
    """An impedance that was multiplied by an area of 0 cannot be had; the area is at fault."""
    content = changed("impedance/long_form_area.txt", "10 cm2", "0 cm2")
    hold = held(content, tmp_path, plugins)
    assert hold.reason != "reader-failed"
    assert any("area_cm2" in str(fault) for fault in hold.faults)


@pytest.mark.parametrize("unit", ["?m", "\ufffdm", "$cm", "h?", "{h}", "% µm", "m\x01m"])
def test_a_unit_with_a_sign_that_no_unit_has(unit: str) -> None:
    """A micrometre that lost its micro sign is no metre: such a unit is not known."""
    assert understand(unit) is None


def test_two_values_under_one_name(plugins: Plugins, tmp_path: Path) -> None:
    """With the titles of the first spectrum damaged, the second does not get its immersion."""
    content = changed("impedance/modulus_phase_blocks.csv", "f;|Z|;Phase", "f;|Z|;Pha,e")
    hold = held(content, tmp_path, plugins)
    assert hold.reason == "inconsistent"
    assert "48,0 h' in row 7" in str(hold.faults)
    assert "72,0 h" in str(hold.faults)


def test_a_name_that_lost_its_value(plugins: Plugins, tmp_path: Path) -> None:
    """The second spectrum does not get the immersion of the first where its own is blank."""
    for blank in ("Immersion", "Immersion;", "Immersion: "):
        content = changed("impedance/modulus_phase_blocks.csv", "Immersion;72,0 h", blank)
        assert held(content, tmp_path, plugins).reason == "missing-column"


def test_a_row_after_a_gap_that_lacks_a_cell(plugins: Plugins, tmp_path: Path) -> None:
    """The last row of a register is not lost to a blank line, though its date is not filled in."""
    content = changed("register/batches.csv", "RB-015,", "\r\nRB-015,")
    hold = held(content, tmp_path, plugins)
    assert hold.reason == "uneven-row"
    assert "after an empty row" in str(hold.faults)


def test_an_exponent_without_end() -> None:
    """What was 0,0188258 and became 0e0188258 is no number, however quickly it is read."""
    assert number("0e0188258", "comma") is None
    assert plain_numbers(["0e0188258", "1,5"], "comma") is None
    assert plain_numbers(["1e-12", "1,5"], "comma") == [1e-12, 1.5]
