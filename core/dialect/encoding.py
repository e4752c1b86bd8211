"""From the bytes of an export to its text, without guessing in silence.

The ladder: byte-order mark, then UTF-16 without one (NUL in every other byte), then strict UTF-8,
then the code page that the table profile or the lab names. Whoever knows words may have another
code page taken in which a text is made of them.
"""

from __future__ import annotations

import codecs
import re
from typing import NoReturn

from tiecoat.errors import FileHeld
from tiecoat.reasons import Fault, Reason

_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# All agree on ASCII: what is read as a number or an id is the same in each.
PAGES = ("cp1252", "cp1250", "iso8859-2", "cp852", "cp850", "iso8859-15", "mac-roman", "mac-latin2")
_C1 = re.compile("[\x80-\x9f]")  # controls that no text holds
_SAMPLE = 4096
# Control characters that text does not hold; tab, line ends, form feed and DOS end-of-file may.
_CONTROLS = bytes(b for b in range(32) if b not in b"\t\n\v\f\r\x1a")
_CONTROL_TEXT = dict.fromkeys(_CONTROLS)
_CONTROLS_PER_TEXT = 100


def decode(raw: bytes, code_page: str, declared: str | None = None) -> str:
    """Return the text of an export.

    Parameters
    ----------
    raw
        All bytes of the file.
    code_page
        The lab's code page, for text that is neither UTF-16 nor UTF-8.
    declared
        The encoding that a table profile names; it takes the place of the code page, and a
        UTF encoding named there is the only one tried after the byte-order mark.

    Raises
    ------
    FileHeld
        EMPTY_FILE, NOT_TEXT, CUT_OFF (text that ends in NUL bytes), WRONG_ENCODING.
    """
    encoding, start = chosen(raw, code_page, declared)
    if not raw[start:].strip():
        _hold(Reason.EMPTY_FILE, found=f"{len(raw)} bytes without a character")
    if not encoding.startswith("utf-16"):
        _refuse_binary(raw)
    try:
        text = raw[start:].decode(encoding)
    except UnicodeDecodeError as error:
        _refuse_undecodable(raw, start + error.start, encoding)
    if encoding.startswith("utf-16"):
        _refuse_controls(text)
    text = text.removesuffix("\x1a")
    if not text.strip():
        _hold(Reason.EMPTY_FILE, found=f"{len(raw)} bytes without a character")
    return text


def chosen(raw: bytes, code_page: str, declared: str | None = None) -> tuple[str, int]:
    """Return the encoding that the ladder ends on and the length of the byte-order mark."""
    for bom, encoding in _BOMS:
        if raw.startswith(bom):
            return encoding, len(bom)
    named = codecs.lookup(declared).name if declared else ""
    if named.startswith("utf"):
        little = named == "utf-16" and not _looks_utf16(raw).endswith("be")
        return ("utf-16-le" if little else "utf-16-be" if named == "utf-16" else named), 0
    if wide := _looks_utf16(raw):
        return wide, 0
    try:
        raw.decode("utf-8")
    except UnicodeDecodeError:
        return named or code_page, 0
    return "utf-8", 0


def read_in_pages(raw: bytes, code_page: str) -> dict[str, str]:
    """Return the lines beyond ASCII in each usual code page that has all their characters.

    Nothing for a text that is UTF-8 or UTF-16; the lab's own page is the first.
    """
    if raw.isascii() or chosen(raw, code_page) != (code_page, 0) or b"\0" in raw:
        return {}
    lines = b"\n".join(line for line in raw.splitlines() if not line.isascii())
    found = {}
    for page in dict.fromkeys((code_page, *PAGES)):
        try:
            text = lines.decode(page)
        except UnicodeDecodeError:
            continue
        if not _C1.search(text):
            found[page] = text
    return found


def _looks_utf16(raw: bytes) -> str:
    sample = raw[:_SAMPLE]
    first, second = sample[0::2], sample[1::2]
    if not second:
        return ""
    if second.count(0) > 0.7 * len(second) and first.count(0) < 0.1 * len(first):
        return "utf-16-le"
    if first.count(0) > 0.7 * len(first) and second.count(0) < 0.1 * len(second):
        return "utf-16-be"
    return ""


def _refuse_binary(raw: bytes) -> None:
    if b"\0" in raw:
        body = raw.rstrip(b"\0\r\n\x1a")
        if body.strip() and b"\0" not in body and _controls(body) == 0:
            _hold(
                Reason.CUT_OFF,
                row=raw.count(b"\n", 0, raw.index(b"\0")) + 1,
                found=f"{raw.count(0)} zero bytes (NUL) where the text should go on",
                expected="text to the end of the file",
            )
        place = raw.index(0) + 1
        _hold(Reason.NOT_TEXT, found=f"a zero byte (NUL), as no text has it, at byte {place}")
    if (count := _controls(raw)) * _CONTROLS_PER_TEXT > len(raw):
        _hold(Reason.NOT_TEXT, found=f"{count} control characters among {len(raw)} bytes")


def _controls(raw: bytes) -> int:
    return len(raw) - len(raw.translate(None, _CONTROLS))


def _refuse_controls(text: str) -> None:
    if "\0" in text:
        body = text.rstrip("\0\r\n\x1a")
        if body.strip() and "\0" not in body:
            _hold(
                Reason.CUT_OFF,
                row=text.count("\n", 0, text.index("\0")) + 1,
                found=f"{text.count(chr(0))} NUL characters where the text should go on",
                expected="text to the end of the file",
            )
        _hold(Reason.NOT_TEXT, found=f"a NUL character at character {text.index(chr(0)) + 1}")
    count = len(text) - len(text.translate(_CONTROL_TEXT))
    if count * _CONTROLS_PER_TEXT > len(text):
        _hold(Reason.NOT_TEXT, found=f"{count} control characters among {len(text)}")


def _refuse_undecodable(raw: bytes, position: int, encoding: str) -> NoReturn:
    _hold(
        Reason.WRONG_ENCODING,
        row=raw.count(b"\n", 0, position) + 1,
        found=f"byte {raw[position]:#04x} at byte {position + 1}",
        expected=f"text in {encoding}",
    )


def _hold(
    reason: Reason,
    row: int | None = None,
    found: str | None = None,
    expected: str | None = None,
) -> NoReturn:
    raise FileHeld(reason, (Fault(reason, row=row, found=found, expected=expected),))
