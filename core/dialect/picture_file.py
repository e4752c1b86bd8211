"""Pictures as a reader sees them: upright, 8 bits for red, green and blue, with a scale."""

from __future__ import annotations

import os
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from tiecoat.errors import FileHeld, is_of_disk
from tiecoat.reasons import Fault, Reason

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL.Image import Image

MOST_PIXELS = 80_000_000  # twice what a large camera takes; what unpacks to more is not read
MOST_PAGES = 1000  # pictures in one file; only the first is read, but all are counted
FORMATS = ("PNG", "JPEG", "TIFF")
SCREENS_DPI = (0, 1, 72, 96)  # what programs write when they know nothing
# A camera cannot know how far away the panel was, and writes a resolution all the same.
CAMERA_TAGS = frozenset({0x829A, 0x829D, 0x920A})  # exposure time, f-number, focal length of Exif
UM_PER_INCH = 25_400.0
ALPHA_MODES = ("RGBA", "LA", "PA", "RGBa", "La")
_TIFF_NUMBERS = {
    b"II*\x00": partial(int.from_bytes, byteorder="little"),
    b"MM\x00*": partial(int.from_bytes, byteorder="big"),
}
_BEGINNINGS = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", *_TIFF_NUMBERS)


@dataclass(frozen=True)
class Picture:
    """A picture, decoded.

    Parameters
    ----------
    pixels
        sRGB, shape (rows, columns, 3), upright. Grey has three equal channels, what is transparent
        lies on white, and 16 bits are scaled by their own largest value.
    um_per_pixel
        What the metadata say of the size of a pixel, in µm; None if nothing, or only what programs
        write that do not know it (72 and 96 dpi, anything in a photograph with its exposure).
    remarks
        What was done to it, in a few words each.
    """

    pixels: NDArray[np.uint8]
    um_per_pixel: float | None
    remarks: tuple[str, ...] = ()


def is_picture(head: bytes) -> bool:
    """Say whether a file begins as a PNG, JPEG or TIFF."""
    return head.startswith(_BEGINNINGS)


def read_picture(path: Path) -> Picture:
    """Decode a picture.

    Raises
    ------
    FileHeld
        DAMAGED_PICTURE; PICTURE_TOO_LARGE, before anything is unpacked.
    """
    pages = _tiff_pages(path)
    if pages > MOST_PAGES:
        most = f"at most {MOST_PAGES:,} in one file"
        raise _held(Reason.PICTURE_TOO_LARGE, f"more than {MOST_PAGES:,} pictures", most)
    with _opened(path) as image:
        if image.width * image.height > MOST_PIXELS:
            raise _held(
                Reason.PICTURE_TOO_LARGE,
                f"{image.width} x {image.height} pixels",
                f"at most {MOST_PIXELS / 1e6:g} million",
            )
        if image.format == "PNG":
            _verify(path)
        stated = _um_per_pixel(image)
        pixels, remarks = _decoded(image)
        frames = pages or getattr(image, "n_frames", 1)
    if frames > 1:
        remarks = (*remarks, f"the first of {frames} pictures in the file")
    return Picture(pixels, stated, remarks)


def _tiff_pages(path: Path) -> int:
    """Return how many pictures a TIFF has, or one more than it may have; 0 of another file.

    TIFF 6.0, section 2: a header, then a chain of directories of 12 bytes an entry. Pillow reads
    each of them whole to count them, which takes minutes where there are very many.
    """
    with path.open("rb") as file:
        number = _TIFF_NUMBERS.get(file.read(4))
        if number is None:
            return 0
        pages, place, seen = 0, number(file.read(4)), set[int]()
        while place and place not in seen and pages <= MOST_PAGES:
            seen.add(place)
            file.seek(place)
            count = file.read(2)
            if len(count) < 2:  # cut off: the decoder says what is wrong
                break
            pages += 1
            file.seek(12 * number(count), os.SEEK_CUR)
            place = number(file.read(4))
        return pages


def _verify(path: Path) -> None:
    """Hold a PNG whose check sums do not fit: decoding passes over those of its pixels."""
    with _opened(path) as image:
        try:
            image.verify()
        except SyntaxError:
            said = "a PNG whose check sums do not fit what it holds"
            raise _held(Reason.DAMAGED_PICTURE, said, "a picture that opens") from None


@contextmanager
def _opened(path: Path) -> Iterator[Image]:
    """Open a picture without Pillow's own limit, and translate what it raises."""
    from PIL import Image, UnidentifiedImageError

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the limit below is ours, odd metadata are no matter
        try:
            with Image.open(path, formats=FORMATS) as image:
                yield image
        except Image.DecompressionBombError:
            raise _held(
                Reason.PICTURE_TOO_LARGE,
                "more pixels than any photograph has",
                f"at most {MOST_PIXELS / 1e6:g} million",
            ) from None
        except UnidentifiedImageError:
            said = "what begins like a picture and is none"
            raise _held(Reason.DAMAGED_PICTURE, said, "PNG, JPEG or TIFF") from None
        except FileHeld:
            raise
        # Pillow's decoders raise any of these on broken bytes
        except (OSError, SyntaxError, ValueError, LookupError, TypeError, EOFError) as error:
            if is_of_disk(error):
                raise
            said = re.sub(r"\s+", " ", str(error)).strip() or type(error).__name__
            raise _held(Reason.DAMAGED_PICTURE, said, "a picture that opens") from None


def _decoded(image: Image) -> tuple[NDArray[np.uint8], tuple[str, ...]]:
    from PIL import ImageOps

    remarks = []
    upright: Any = ImageOps.exif_transpose(image)
    if upright.mode.startswith(("I", "F")):
        upright = _eight_bits(upright)
        remarks.append("more than 8 bits, scaled by the largest value")
    elif upright.mode in ALPHA_MODES or "transparency" in upright.info:
        upright = _on_white(upright)
        remarks.append("transparency laid on white")
    return np.asarray(upright.convert("RGB")), tuple(remarks)


def _eight_bits(image: Any) -> Any:
    from PIL import Image

    values = np.asarray(image, dtype=np.float32)
    largest = float(np.nanmax(values, initial=0.0))
    scaled = np.nan_to_num(values * (255 / largest if largest > 0 else 0.0), posinf=255.0)
    return Image.fromarray(np.clip(scaled + 0.5, 0, 255).astype(np.uint8))


def _on_white(image: Any) -> Any:
    from PIL import Image

    layer = image.convert("RGBA")
    return Image.alpha_composite(Image.new("RGBA", layer.size, "white"), layer)


def _um_per_pixel(image: Image) -> float | None:
    """Return the size of a pixel by the resolution that the file states, in µm."""
    from PIL.ExifTags import IFD

    try:
        across, down = (float(one) for one in image.info["dpi"])
    except (LookupError, TypeError, ValueError, ZeroDivisionError):
        return None
    if not np.isfinite([across, down]).all() or min(across, down) <= 0:
        return None
    if not CAMERA_TAGS.isdisjoint(image.getexif().get_ifd(IFD.Exif)):
        return None
    if abs(across / down - 1) > 0.01 or any(abs(across - dpi) < 0.5 for dpi in SCREENS_DPI):
        return None
    return UM_PER_INCH / across


def _held(reason: Reason, found: str, expected: str) -> FileHeld:
    fault = Fault(reason, found=found, expected=expected)
    return FileHeld(reason, (fault,), 1)
