"""What damaged exports brought to light: each was a breakdown, or a wrong or lost value."""

from __future__ import annotations

import hashlib
import io
import zipfile
from pathlib import Path

import pyarrow as pa
import pytest

from tiecoat.dialect.habits import Habits
from tiecoat.dialect.numbers import number, plain_numbers
from tiecoat.dialect.units import understand
from tiecoat.extend.loading import Plugins, load_plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.answers import Hold, Reading
from tiecoat.intake.workers.reading import read_chunk

EXPORTS = Path(__file__).parent.parent / "exports"


@pytest.fixture(scope="module")
def plugins() -> Plugins:
    """The built-in readers and kinds."""
    return load_plugins(None)


def read(content: bytes, folder: Path, plugins: Plugins, ending: str = ".csv") -> Reading:
    path = folder / f"export{ending}"
    path.write_bytes(content)
    task = ExportFile(path, path.name, "", hashlib.sha256(content).hexdigest())
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


def _lines(content: bytes) -> list[str]:
    return content.decode("cp1252").splitlines()


def test_a_quotation_mark_before_the_titles(plugins: Plugins, tmp_path: Path) -> None:
    """A mark that is never closed costs its own title at most: then the panel is asked for."""
    content = changed("gloss/list_point.txt", "Panel", '"Panel')
    reading = read(content, tmp_path, plugins)
    assert reading.hold is None
    assert {(one.kind, one.panel) for one in reading.keys} == {("gloss", None)}


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


@pytest.mark.parametrize("titles", ["f;|Z|;Pha,e", "f;|Z|", "f;;Phase", "f;|Z|Phase", ""])
@pytest.mark.parametrize("block", [1, 2])
def test_titles_of_one_block_are_damaged(
    block: int, titles: str, plugins: Plugins, tmp_path: Path
) -> None:
    """The other block is not filed for the whole: the file is held for what stands there."""
    parts = (EXPORTS / "impedance/modulus_phase_blocks.csv").read_bytes().split(b"f;|Z|;Phase")
    ends = [b"f;|Z|;Phase", b"f;|Z|;Phase"]
    ends[block - 1] = titles.encode()
    content = parts[0] + ends[0] + parts[1] + ends[1] + parts[2]
    hold = held(content, tmp_path, plugins)
    first = (10, 21)[block - 1]  # the line of the titles, above that of the units and four rows
    assert {fault["row"] for fault in hold.faults} & set(range(first, first + 6))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Panel,Batch,Sub", "PanelBatch,Sub"),
        ("Immersed at,Note", "lmmersed at,Note"),
        ("Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note\n", ""),
    ],
)
def test_the_titles_of_the_other_register_are_damaged(
    old: str, new: str, plugins: Plugins, tmp_path: Path
) -> None:
    """Batches are not filed without the panels below them, nor panels without their films."""
    content = (EXPORTS / "register/both.csv").read_text(encoding="utf-8")
    assert old in content
    hold = held(content.replace(old, new).encode(), tmp_path, plugins)
    assert hold.reason in ("unread-rows", "missing-column", "uneven-row", "untaken-column")
    assert {fault["row"] for fault in hold.faults} <= {6, 7, 8}


def test_a_misspelt_title_of_a_register_costs_nothing(plugins: Plugins, tmp_path: Path) -> None:
    """Panels that nothing names hold their file; a film is known by its unit."""
    content = (EXPORTS / "register/both.csv").read_text(encoding="utf-8")
    whole = read(content.encode(), tmp_path, plugins)
    nameless = held(content.replace("Panel,Batch", "Ponel,Batch").encode(), tmp_path, plugins)
    assert {fault["row"] for fault in nameless.faults} == {7, 8, 9}
    for other in ("Dry flim (µm)", "Dry film (mean) (µm)"):
        misspelt = read(content.replace("Dry film (µm)", other).encode(), tmp_path, plugins)
        assert misspelt.hold is None
        assert [k.measurement[-4:] for k in misspelt.keys] == [
            k.measurement[-4:] for k in whole.keys
        ]


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("impedance/modulus_phase_blocks.csv", "Immersion;72,0 h\r\n"),
        ("impedance/both_forms.csv", "Immersed for: 48 h\n"),
        ("pull_off/force_two_panels.csv", "Dolly diameter;50 mm\r\n"),
    ],
)
def test_a_line_above_the_second_block_is_lost(
    name: str, line: str, plugins: Plugins, tmp_path: Path
) -> None:
    """Hours and dolly of the first block are not taken for the second."""
    assert held(changed(name, line, ""), tmp_path, plugins).reason in (
        "missing-column",
        "not-a-number",  # the time of day under the one word for both
    )


@pytest.mark.parametrize(
    ("name", "line", "first"),
    [
        ("film_thickness/log_two_panels.csv", "Panel;RB-014-4\r\n", 3),
        ("pull_off/force_two_panels.csv", "Panel;RB-014-4\r\n", 2),
        ("flow_curve/two_samples.txt", "Sample\tRB-015\n", 1),
    ],
)
def test_an_id_above_the_second_block_is_lost(
    name: str, line: str, first: int, plugins: Plugins, tmp_path: Path
) -> None:
    """Rows of the second block have no id then, so that keying holds the file."""
    reading = read(changed(name, line, ""), tmp_path, plugins)
    ids = [one.panel or one.batch for one in reading.keys]
    assert all(ids[:first])
    assert ids[first:]
    assert not any(ids[first:])


@pytest.mark.parametrize(
    ("name", "line", "second"),
    [
        ("impedance/modulus_phase_blocks.csv", "Time;24.09.2026 10:05\r\n", 22),
        ("pull_off/force_two_panels.csv", "Date;29.09.2026\r\n", 14),
    ],
)
def test_a_date_above_the_second_block_is_lost(
    name: str, line: str, second: int, plugins: Plugins, tmp_path: Path
) -> None:
    """The date of the first block is not taken for the second, which then has none."""
    content = changed(name, line, "")
    path = tmp_path / "export.csv"
    path.write_bytes(content)
    task = ExportFile(path, path.name, "", hashlib.sha256(content).hexdigest())
    chunk = read_chunk([task], plugins, Habits())
    ((stream,),) = [tuple(chunk.tables.values())]
    rows = pa.ipc.open_stream(stream).read_all().to_pylist()
    assert {row["measured_at"] for row in rows if row["source_row"] >= second} == {None}
    assert None not in {row["measured_at"] for row in rows if row["source_row"] < second}


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("gloss/list_comma.csv", "Gloss (GU)", "Gloss (%)"),
        ("gloss/list_comma.csv", "Gloss (GU)", "Gloss [%]"),
        ("gloss/list_comma.csv", "Spot", "Spot (%)"),
        ("register/batches.csv", "Dose (%)", "Dose (-)"),
        ("register/batches.csv", "Dose (%)", "Dose (vol%)"),
        ("register/batches.csv", "Dose (%)", "Dose (kg per drum)"),
        ("register/batches.csv", "Dose (%)", "Dose / parts"),
        ("exposure_rating/sheet.csv", "Rusted area [%]", "Rusted area [-]"),
        ("exposure_rating/sheet.csv", "Rusted area [%]", "Rusted area (squares)"),
        ("exposure_rating/sheet.csv", "d1 [mm]", "d1 (divisions)"),
        ("exposure_rating/sheet.csv", "D610", "D610 [%]"),
        ("exposure_rating/sheet.csv", "Scribe width,1.0 mm", "Scribe width (divisions),1.0"),
        ("exposure_rating/readings_comma.csv", "Ritzbreite [mm]", "Ritzbreite (Striche)"),
        ("exposure_rating/readings_comma.csv", "Messstelle", "Messstelle (%)"),
        ("chamber_record/kammerbuch.txt", "pH-Wert", "pH-Wert (%)"),
        ("film_thickness/sheet.csv", "Spot 3 [µm]", "Spot 3 (Striche)"),
        ("impedance/modulus_phase_blocks.csv", "Thickness;182 µm", "Thickness (coats);2"),
        ("pull_off/strength_mpa.csv", "Determination", "Determination (%)"),
    ],
)
def test_a_unit_that_can_be_read_in_two_ways_or_in_none(
    name: str, old: str, new: str, plugins: Plugins, tmp_path: Path
) -> None:
    """No column is filed a hundredfold, a hundredth or empty because of its unit."""
    hold = held(changed(name, old, new), tmp_path, plugins)
    assert hold.reason == "unknown-unit"
    row = next(n for n, line in enumerate(_lines(changed(name, old, new)), 1) if new in line)
    assert row in {fault["row"] for fault in hold.faults}


@pytest.mark.parametrize("unit", ["[GU]", "(GU)", "/ GU", "(GE)", ""])
def test_gloss_units_are_known(unit: str, plugins: Plugins, tmp_path: Path) -> None:
    """However they are written, they are what gloss is filed in."""
    content = changed("gloss/list_comma.csv", "Gloss (GU)", f"Gloss {unit}")
    assert read(content, tmp_path, plugins).hold is None


def test_two_values_under_one_name(plugins: Plugins, tmp_path: Path) -> None:
    """With the titles of the first spectrum damaged, the second is not filed with its immersion."""
    content = changed("impedance/modulus_phase_blocks.csv", "f;|Z|;Phase", "f;|Z|;Pha,e")
    hold = held(content, tmp_path, plugins)
    assert hold.reason == "untaken-column"
    assert "Pha,e" in str(hold.faults)


def test_a_name_that_lost_its_value(plugins: Plugins, tmp_path: Path) -> None:
    """The second spectrum does not get the immersion of the first where its own is blank."""
    for blank in ("Immersion", "Immersion;", "Immersion: "):
        content = changed("impedance/modulus_phase_blocks.csv", "Immersion;72,0 h", blank)
        assert held(content, tmp_path, plugins).reason in ("missing-column", "not-a-number")


def test_a_row_after_a_gap_that_lacks_a_cell(plugins: Plugins, tmp_path: Path) -> None:
    """The last row of a register is not lost to a blank line, though its date is not filled in."""
    content = changed("register/batches.csv", "RB-015,", "\r\nRB-015,")
    reading = read(content, tmp_path, plugins)
    assert [one.batch for one in reading.keys] == ["RB-013", "RB-014", "RB-015"]


def test_an_exponent_without_end() -> None:
    """What was 0,0188258 and became 0e0188258 is no number, however quickly it is read."""
    assert number("0e0188258", "comma") is None
    assert plain_numbers(["0e0188258", "1,5"], "comma") is None
    assert plain_numbers(["1e-12", "1,5"], "comma") == [1e-12, 1.5]
