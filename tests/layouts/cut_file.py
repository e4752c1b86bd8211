"""Files that end in the midst of a row."""

from __future__ import annotations

from .spoilt import Spoilt


def cut_off(spoilt: Spoilt) -> str:
    """The file ends in the midst of a row."""
    if spoilt.style.medium == "text" and (len(spoilt.rows()) < 3 or spoilt.has("bare")):
        return ""
    spoilt.cut = True
    spoilt.draft.shapes = ("flat",)
    return "cut off"


def cut(content: bytes, spoilt: Spoilt) -> bytes:
    """End a text after the first cell of one of its last rows, a workbook anywhere."""
    if spoilt.style.medium == "book":
        return content[: len(content) * 2 // 3]
    encoding = next(name for name in ("utf-16", "utf-8", "cp1252") if _decodes(content, name))
    text = content.decode(encoding)
    separator = "  " if spoilt.style.separator == "aligned" else spoilt.style.separator
    lines = text.splitlines(keepends=True)
    rows = [n for n, line in enumerate(lines) if line.strip("\r\n ").count(separator) >= 1]
    chosen = rows[-1] if len(rows) < 6 else spoilt.dice.choice(rows[-3:])
    line = lines[chosen]
    indent = len(line) - len(line.lstrip(" "))
    end = line.index(separator, indent)  # of two cells the mark between them would make a row
    end += len(separator) * (line.count(separator) > 1)
    return "".join([*lines[:chosen], line[:end].rstrip(" ")]).encode(encoding)


def _decodes(content: bytes, encoding: str) -> bool:
    if encoding == "utf-16" and content[:2] not in {b"\xff\xfe", b"\xfe\xff"}:
        return False
    try:
        content.decode(encoding)
    except UnicodeDecodeError:
        return False
    return True
