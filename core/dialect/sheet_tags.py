"""The tags of the parts of a workbook, read a piece at a time: a part may be of any size."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from typing import NoReturn

from tiecoat.errors import FileHeld
from tiecoat.reasons import Fault, Reason

XLSX_TAG = re.compile(rb"<(?:\w+:)?(row|c)((?:\s[^<>]*)?)>")
CELL_AT = re.compile(rb"\sr=[\"']([A-Za-z]{1,4})(\d{1,9})[\"']")
_CHUNK = 1 << 20


def tags(
    container: zipfile.ZipFile, member: zipfile.ZipInfo, tag: re.Pattern[bytes]
) -> Iterator[tuple[bytes, bytes]]:
    with container.open(member) as part:
        kept = b""
        while chunk := part.read(_CHUNK):
            kept += chunk
            end = kept.rfind(b">") + 1
            for match in tag.finditer(kept, 0, end):
                yield match[1], match[2]
            begun = kept.rfind(b"<", end)
            kept = kept[begun:] if begun >= 0 else b""
            if len(kept) > 4 * _CHUNK:
                said = f"a tag without an end in its part {member.filename}"
                refuse(said, "a workbook that opens")


def column_of(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


def refuse(found: str, expected: str) -> NoReturn:
    raise FileHeld(
        Reason.DAMAGED_SHEET, (Fault(Reason.DAMAGED_SHEET, found=found, expected=expected),)
    )
