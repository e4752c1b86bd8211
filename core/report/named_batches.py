"""Which batches a text or a file names, of whatever customer."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from hashlib import sha256 as sha256_of

from tiecoat.disk import fsio
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.lab.ids import canonical
from tiecoat.lab.settings import Lab

PICTURES = (b"\x89PNG", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*", b"GIF8")  # how they begin
WITH_MARK = (b"\xff\xfe", b"\xfe\xff")  # of UTF-16
MARKUP = re.compile(r"<[^>]*>")
SHEET_NAME = re.compile(r'<(?:sheet|definedName)\b[^>]*\bname="([^"]*)"')
MOST = 64 * 2**20  # bytes of one part of a workbook


def ids_in(text: str, pattern: str) -> set[str]:
    """Return the ids of batches in a text, as they are kept.

    Parameters
    ----------
    pattern
        How ids of batches look in this lab.

    Examples
    --------
    >>> sorted(ids_in("pull off rb-017 and RB-016-2.csv", "RB-[0-9]{3}"))
    ['RB-016', 'RB-017']
    """
    found = (canonical(one[0]) for one in re.finditer(pattern, text, re.IGNORECASE))
    return {one for one in found if one}


def ids_in_file(content: bytes, pattern: str) -> set[str]:
    """Return the ids of batches in a file, in every sheet of a workbook, hidden ones too.

    A picture has none: what stands in it as pixels is not read.
    """
    return {found for text in _texts(content) for found in ids_in(text, pattern)}


def _texts(content: bytes) -> Iterator[str]:
    if content.startswith(PICTURES):
        return
    if content.startswith(b"PK"):
        yield from _of_parts(content)
    else:
        encoding = "utf-16" if content.startswith(WITH_MARK) else "latin-1"
        yield content.decode(encoding, "replace")
        yield content.replace(b"\x00", b"").decode("latin-1")  # two bytes a letter, without a mark


def _of_parts(content: bytes) -> Iterator[str]:
    """Return the texts of the parts of a workbook or other container, without their markup."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            for one in parts.infolist():
                with parts.open(one) as part:
                    text = part.read(MOST).decode("utf-8", "replace")
                yield from SHEET_NAME.findall(text)
                yield MARKUP.sub("", text)
                yield MARKUP.sub(" ", text)
    except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, OSError, ValueError):
        yield content.decode("latin-1")


def ids_in_original(lab: Lab, sha256: str, pattern: str) -> set[str] | None:
    """Return the ids of batches in an original; None where that is gone or was changed."""
    path = original_of(lab, sha256)
    if path is None:
        return None
    is_folder = fsio.is_folder(path)
    try:
        contents = [file.read_bytes() for file in (fsio.paths_in(path) if is_folder else [path])]
    except OSError:
        return None
    hashes = [sha256_of(one).hexdigest() for one in contents]
    if sha256 != (fsio.sha256_of_all(hashes) if is_folder else hashes[0]):
        return None
    return {name for one in contents for name in ids_in_file(one, pattern)}
