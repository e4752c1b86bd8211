"""Pictures of every sort come to a reader upright, in 8 bits of red, green and blue."""

from __future__ import annotations

import io
import random
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from bad_exports import bomb, many_pages
from hypothesis import given, settings
from hypothesis import strategies as st
from photographs import saved
from PIL import Image
from PIL.TiffImagePlugin import IFDRational
from section_pictures import Cut

from tiecoat.dialect.export import Export
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

RAMP = np.linspace(0, 255, 60 * 40).reshape(40, 60).astype(np.uint8)


def export(tmp_path: Path, image: Image.Image, form: str = "PNG", **options: Any) -> Export:
    """Save a picture and return it as a reader sees it."""
    path = tmp_path / f"picture.{form.lower()}"
    image.save(path, form, **options)
    return Export(path, path.name)


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "RGBA", "LA", "CMYK", "I;16", "F", "I"])
def test_every_mode_is_seen(mode: str, tmp_path: Path) -> None:
    """Black and white, grey, palette, colour, printer's colour, 16 and 32 bits: dark stays dark."""
    if mode == "I;16":
        image = Image.fromarray(RAMP.astype(np.uint16) * 16)
    else:
        image = Image.fromarray(RAMP).convert(mode)
    form = "TIFF" if mode in ("F", "I", "CMYK") else "PNG"
    seen = export(tmp_path, image, form)
    assert seen.is_picture
    pixels = seen.picture().pixels
    assert (pixels.shape, pixels.dtype) == ((40, 60, 3), np.dtype(np.uint8))
    grey = pixels.mean(axis=2)
    assert grey[:10].mean() + 60 < grey[-10:].mean()


def test_sixteen_bits_are_scaled_by_their_largest(tmp_path: Path) -> None:
    """12 bits of a camera in a file of 16 are not nearly black, and it is told."""
    picture = export(tmp_path, Image.fromarray(RAMP.astype(np.uint16) * 16)).picture()
    assert picture.pixels.max() == 255
    assert np.abs(picture.pixels[..., 0].astype(int) - RAMP).max() <= 1
    assert picture.remarks == ("more than 8 bits, scaled by the largest value",)


def test_transparency_lies_on_white(tmp_path: Path) -> None:
    """What is transparent is white, not what a program happened to leave below."""
    image = Image.new("RGBA", (4, 4), (0, 0, 0, 0))
    assert export(tmp_path, image).picture().pixels.min() == 255


def test_it_stands_upright(tmp_path: Path) -> None:
    """A photograph that says it was taken with the camera on its side is turned."""
    image = Image.fromarray(RAMP)
    exif = Image.Exif()
    exif[0x0112] = 6  # EXIF 2.32, table 3: orientation, the first row is at the right
    assert export(tmp_path, image, "JPEG", exif=exif).picture().pixels.shape == (60, 40, 3)


@pytest.mark.parametrize("form", ["PNG", "TIFF", "JPEG"])
def test_the_stated_resolution_gives_the_scale(form: str, tmp_path: Path) -> None:
    """1016 dots per inch are 25 µm a pixel (1 inch is 25.4 mm: scipy.constants)."""
    picture = export(tmp_path, Image.fromarray(RAMP), form, dpi=(1016, 1016)).picture()
    assert picture.um_per_pixel == pytest.approx(25, rel=1e-3)


@pytest.mark.parametrize("dpi", [(72, 72), (96, 96), (1016, 508), (0, 0)])
def test_what_programs_write_is_no_scale(dpi: tuple[int, int], tmp_path: Path) -> None:
    """72 and 96 dpi are what a program writes that knows nothing; pixels are square."""
    assert export(tmp_path, Image.fromarray(RAMP), dpi=dpi).picture().um_per_pixel is None


@pytest.mark.parametrize("dpi", [180, 240, 300, 350])
def test_what_a_camera_writes_is_no_scale(dpi: int, tmp_path: Path) -> None:
    """A photograph with its exposure (Exif 2.32, table 7) says nothing of a size by its dpi."""
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x829A] = IFDRational(1, 125)
    image = Image.fromarray(RAMP)
    picture = export(tmp_path, image, "JPEG", dpi=(dpi, dpi), exif=exif).picture()
    assert picture.um_per_pixel is None


def test_the_surest_scale_counts(tmp_path: Path) -> None:
    """Notes before settings before metadata; and it is told which."""
    path = tmp_path / "picture.png"
    Image.fromarray(RAMP).save(path, dpi=(1016, 1016))
    notes = tmp_path / "picture.png.toml"
    notes.write_text("um_per_pixel = 3")
    noted, plain = Export(path, path.name, notes=notes), Export(path, path.name)
    picture = plain.picture()
    assert noted.um_per_pixel(picture, 4.0, 0.01, 100) == (3.0, "notes")
    assert plain.um_per_pixel(picture, 4.0, 0.01, 100) == (4.0, "settings")
    size, origin = plain.um_per_pixel(picture, None, 0.01, 100)
    assert (round(size, 2), origin) == (25.0, "metadata of the file")
    with pytest.raises(FileHeld) as caught:
        plain.um_per_pixel(picture, None, 0.01, 20)
    assert caught.value.reason is Reason.SCALE_ABSURD


def test_a_bomb_is_never_unpacked(tmp_path: Path) -> None:
    """1,600 megapixels in 100 bytes are refused by what the header says."""
    path = tmp_path / "bomb.png"
    path.write_bytes(bomb(40_000, 40_000))
    with pytest.raises(FileHeld) as caught:
        Export(path, path.name).picture()
    assert caught.value.reason is Reason.PICTURE_TOO_LARGE


def test_many_pages_are_refused_in_milliseconds(tmp_path: Path) -> None:
    """A TIFF of 200,000 pictures is not gone through; one of 1,000 is, and its first is read."""
    path = tmp_path / "pages.tif"
    path.write_bytes(many_pages(1000))
    assert Export(path, path.name).picture().remarks == ("the first of 1000 pictures in the file",)
    path.write_bytes(many_pages(200_000))
    began = time.perf_counter()
    with pytest.raises(FileHeld) as caught:
        Export(path, path.name).picture()
    assert time.perf_counter() - began < 0.1
    assert caught.value.reason is Reason.PICTURE_TOO_LARGE


def test_a_chain_of_pages_that_bites_its_tail_ends(tmp_path: Path) -> None:
    """A TIFF whose last picture is followed by the first is read as what it has."""
    path = tmp_path / "circle.tif"
    path.write_bytes(many_pages(3)[:-4] + (16).to_bytes(4, "little"))
    assert Export(path, path.name).picture().remarks == ("the first of 3 pictures in the file",)


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(["PNG", "TIFF", "JPEG"]), st.integers(0, 2**32), st.booleans())
def test_broken_bytes_are_held(
    tmp_path_factory: pytest.TempPathFactory, form: str, seed: int, cut: bool
) -> None:
    """Cut off or overwritten anywhere, a picture is decoded or held, never a traceback."""
    chance = random.Random(seed)
    sink = io.BytesIO()
    Image.fromarray(RAMP).save(sink, form)
    content = bytearray(sink.getvalue())
    if cut:
        content = content[: chance.randrange(9, len(content))]
    for _ in range(chance.randrange(8)):
        content[chance.randrange(8, len(content))] = chance.randrange(256)
    path = tmp_path_factory.mktemp("broken") / "picture"
    path.write_bytes(content)
    found: object = None
    try:
        found = Export(path, "picture").picture().pixels.dtype
    except FileHeld as held:
        found = held.reason
    assert found in (np.dtype(np.uint8), Reason.DAMAGED_PICTURE, Reason.PICTURE_TOO_LARGE)


@pytest.mark.parametrize("percent", [30, 50, 70, 95])
def test_a_damaged_png_is_never_read_otherwise(percent: int, tmp_path: Path) -> None:
    """Its check sums tell what its decoder does not: zeros unpack to pixels, too."""
    whole = saved(Cut(rows=150, columns=200, surface=35.0, substrate=115.0).pixels()[..., 0])
    end = len(whole) * percent // 100
    path = tmp_path / "section.png"
    path.write_bytes(whole[:end] + bytes(len(whole) - end))
    with pytest.raises(FileHeld) as caught:
        Export(path, path.name).picture()
    assert caught.value.reason is Reason.DAMAGED_PICTURE
