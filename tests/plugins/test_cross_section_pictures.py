"""Micrographs of cut films on their whole way: dropped, recognised, measured, filed or held."""

from __future__ import annotations

import io
import math
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from labs import LabAtWork, make_lab
from photographs import saved
from PIL import Image
from section_pictures import Cut

import tiecoat
from tiecoat.dialect.export import Export
from tiecoat.picture.section_choices import SectionChoices
from tiecoat.plugins.cross_section import CrossSectionPicture

CUT = Cut(rows=150, columns=200, surface=35.0, substrate=115.0).with_pores(0.05)
PIXELS = CUT.pixels()
GREY = PIXELS[..., 0]
DPI = {"dpi": (12_700, 12_700)}  # 2 µm a pixel
SAME = ("film_area_mm2", "void_fraction_percent", "pores", "thickness_um", "thickness_min_um")


def grey(number: int) -> np.ndarray:
    """The picture with one pixel of its own, as the same file twice is the same file."""
    other = GREY.copy()
    other[0, 0] = number
    return other


def with_alpha() -> np.ndarray:
    """The picture with a channel that lets it shine through everywhere."""
    return np.concatenate([PIXELS, np.full((*GREY.shape, 1), 255, np.uint8)], axis=2)


def palette() -> bytes:
    """The picture as numbers of a palette."""
    stream = io.BytesIO()
    Image.fromarray(GREY).convert("P").save(stream, "PNG", **DPI)
    return stream.getvalue()


def four_inks() -> bytes:
    """The picture as a JPEG for print, in cyan, magenta, yellow and black."""
    stream = io.BytesIO()
    Image.fromarray(PIXELS).convert("CMYK").save(stream, "JPEG", quality=95, **DPI)
    return stream.getvalue()


def bomb() -> bytes:
    """A PNG of 40,000 x 40,000 pixels in a few hundred bytes."""

    def chunk(name: bytes, content: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + content))
        return struct.pack(">I", len(content)) + name + content + check

    head = struct.pack(">IIBBBBB", 40_000, 40_000, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


GOOD: dict[str, bytes] = {
    "RB-010-1 section 1.png": saved(GREY, **DPI),
    "RB-010-1 section 2.png": saved(np.rot90(GREY), **DPI),
    "RB-010-1 Querschliff 3.tif": saved(GREY, "TIFF", **DPI),
    "RB-010-2 section 16 bit.png": saved((GREY.astype(np.uint16) << 8) + 3, **DPI),
    "RB-010-2 section alpha.png": saved(with_alpha(), **DPI),
    "RB-010-2 section palette.png": palette(),
    "RB-010-2 section inks.jpg": four_inks(),
    "RB-011-1 section.png": saved(grey(1)),
    "micro 7.png": saved(grey(2)),
}
STEEL_ALONE = np.where(np.arange(150)[:, None] > 70, 215, 45 + 0 * GREY).astype(np.uint8)
NOISE = np.random.default_rng(4).integers(0, 256, GREY.shape, dtype=np.uint8)
THICK = Cut(rows=700, columns=120, surface=100.0, substrate=600.0).pixels()[..., 0]
BAD: dict[str, tuple[bytes, str, str]] = {  # file, reason, what is told
    "RB-012-1 section a.png": (saved(grey(3)), "no-scale", "um_per_pixel"),
    "RB-012-1 section b.png": (saved(GREY, **DPI)[:-900], "damaged-picture", "cut off"),
    "RB-012-1 section c.png": (bomb(), "picture-too-large", "at most 80 million"),
    "RB-012-1 section d.png": (saved(grey(4)), "scale-absurd", "0.02 to 20"),
    "RB-012-1 section e.png": (saved(GREY * 0), "nothing-to-measure", "0 to 0 all over"),
    "RB-012-1 section f.png": (saved(NOISE), "nothing-to-measure", "from edge to edge"),
    "RB-012-1 section g.png": (saved(STEEL_ALONE), "nothing-to-measure", "substrate, film"),
    "RB-012-1 section h.png": (b"a picture, they said\n", "no-reader", "a picture, they said"),
    "RB-012-1 section i.png": (saved(grey(5)), "notes-invalid", "panel = True"),
    "RB-012-1 section j.png": (saved(THICK), "out-of-bounds", "5000 um"),
    "section of nothing.png": (saved(grey(6), **DPI), "no-panel", "panel"),
    "RB-012-1 micrograph.png": (saved(grey(7), **DPI), "no-reader", "'Querschliff'"),
}
NOTES = {
    "RB-011-1 section.png": "",
    "micro 7.png": "kind = 'cross_section'\npanel = 'RB-011-2'\nfield = 7",
    "RB-012-1 section d.png": "um_per_pixel = 500",
    "RB-012-1 section e.png": "",
    "RB-012-1 section f.png": "",
    "RB-012-1 section g.png": "",
    "RB-012-1 section i.png": "panel = true",
    "RB-012-1 section j.png": "um_per_pixel = 19.9",
}


@pytest.fixture(scope="module")
def at_work(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab into which all of them were dropped at once."""
    lab = make_lab(tmp_path_factory.mktemp("sections") / "lab")
    files = GOOD | {name: content for name, (content, _, _) in BAD.items()}
    for name, content in files.items():
        if name in NOTES:
            scale = "" if "um_per_pixel" in NOTES[name] else "um_per_pixel = 2.0\n"
            lab.drop(f"{name}.toml", scale + NOTES[name])
        lab.drop(name, content)
    lab.take()
    return lab


def row(at_work: LabAtWork, name: str, kind: str = "cross_section") -> dict[str, Any]:
    """The first row that came from a file."""
    return next(one for one in at_work.rows(kind) if one["source_name"] == name)


@pytest.mark.parametrize("name", GOOD)
def test_every_form_of_picture_is_filed(at_work: LabAtWork, name: str) -> None:
    """Grey, 16 bits, alpha, palette, inks; PNG, TIFF, JPEG: the void fraction is the true one."""
    film = row(at_work, name)
    true = 100 * CUT.void_area / CUT.film_area
    assert film["void_fraction_percent"] == pytest.approx(true, abs=0.35)
    assert film["thickness_um"] == pytest.approx(2 * CUT.thickness, abs=2)
    assert film["film_area_mm2"] == pytest.approx(4e-6 * CUT.film_area, rel=0.02)
    assert film["um_per_pixel"] == pytest.approx(2.0)
    pores = [one for one in at_work.rows("pores") if one["source_name"] == name]
    assert len(pores) == film["pores"] == len(CUT.pores)
    assert {one["field"] for one in pores} == {film["field"]}
    area = sum(one["area_um2"] for one in pores)
    assert area == pytest.approx(1e6 * film["void_area_mm2"])


def test_a_picture_that_is_turned_by_a_quarter_gives_the_same_numbers(at_work: LabAtWork) -> None:
    """To the last digit; only the side of the steel differs."""
    plain, turned = (row(at_work, f"RB-010-1 section {n}.png") for n in (1, 2))
    assert [plain[name] for name in SAME] == [turned[name] for name in SAME]
    assert (plain["substrate_side"], turned["substrate_side"]) == ("bottom", "right")


def test_the_fields_of_a_panel_do_not_contradict_each_other(at_work: LabAtWork) -> None:
    """The name of the file tells them apart, or the notes do."""
    fields = {one["field"] for one in at_work.rows("cross_section") if one["panel"] == "RB-010-1"}
    assert fields == {"RB-010-1 section 1", "RB-010-1 section 2", "RB-010-1 Querschliff 3"}
    noted = row(at_work, "micro 7.png")
    assert (noted["panel"], noted["field"], noted["scale_source"]) == ("RB-011-2", "7", "notes")


def test_how_it_was_found_stands_beside_the_numbers(at_work: LabAtWork) -> None:
    """Parameters, where the scale comes from, and what was done to the picture."""
    film = row(at_work, "RB-010-2 section 16 bit.png")
    assert "from 12 px, contrast 0.25, drawn at 0.3" in film["parameters"]
    assert "metadata" in film["scale_source"]
    assert "8 bits" in film["remarks"]
    assert film["reader"] == "cross_section 1"
    assert row(at_work, "RB-010-1 section 1.png")["remarks"] is None


@pytest.mark.parametrize("name", BAD)
def test_what_is_wrong_is_held_with_its_reason(at_work: LabAtWork, name: str) -> None:
    """Not a picture, damaged, a bomb, no scale, an absurd one, nothing on it: in plain words."""
    content, reason, told = BAD[name]
    held = at_work.held()[name]
    assert held["reason"] == reason
    assert told in " ".join(held["told"].split())
    assert at_work.original(content) is not None


def test_nothing_else_happened(at_work: LabAtWork) -> None:
    """As many rows as good pictures, as many held as bad ones, and the archive is sound."""
    assert len(at_work.rows("cross_section")) == len(GOOD)
    assert set(at_work.held()) == set(BAD)
    assert at_work.sound()


def test_results_come_from_the_archive(at_work: LabAtWork) -> None:
    """For the panels and the batch; three fields of equal pores have hardly a spread."""
    table = tiecoat.open(at_work.root).evaluate("cross_section", batch="RB-010")
    found = table[table["quantity"] == "void_fraction"].set_index("panel")
    assert set(found.index) == {"", "RB-010-1", "RB-010-2"}
    true = 100 * CUT.void_area / CUT.film_area
    assert found["value"].to_numpy() == pytest.approx([true] * 3, abs=0.35)


def test_the_settings_reach_the_reader(lab: Callable[..., LabAtWork]) -> None:
    """A scale, a word and a least pore of the lab's own."""
    own = {"um_per_pixel": 2.0, "words": ["cut"], "smallest_pore_px": 100}
    made = lab(**{"read.cross_section": own})
    made.drop("RB-010-1 cut 1.png", saved(GREY))
    assert made.take()["RB-010-1 cut 1.png"].status == "filed"
    (film,) = made.rows("cross_section")
    assert film["scale_source"] == "settings"
    assert film["smallest_pore_um"] == pytest.approx(2 * math.sqrt(400 / math.pi))
    assert 0 < film["pores"] < len(CUT.pores)


def test_the_reader_draws_what_it_found(tmp_path: Path) -> None:
    """The overlay is the picture with a caption below, and pores have outlines."""
    path = tmp_path / "RB-010-1 section 1.png"
    path.write_bytes(saved(GREY, **DPI))
    export = Export(path, path.name)
    export.choices = SectionChoices()
    drawn = CrossSectionPicture().draw(export)
    assert drawn.dtype == np.uint8
    assert drawn.shape[0] > GREY.shape[0]
    orange = (drawn[: GREY.shape[0], : GREY.shape[1]] == (230, 159, 0)).all(axis=2)
    assert orange.sum() > 20 * len(CUT.pores)
