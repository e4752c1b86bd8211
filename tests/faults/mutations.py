"""Seeded damage to exports: in single bytes, and in cells, rows and units."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

WORDS = re.split(
    " ",
    "- n/a OL >5 <0.1 1e999 nan inf 0x10 1_000 １２ ٣ 1,250 1.250 12.345,6 12,345.6 1.2.3 1,2,3 -0 "
    "1e3 1E-3 2D2 1'250 −5 (5) 5- 1/2 #REF! =1+1 TRUE 0,5 0.5 ,5 .5 5. 5, 1e e5 --5 4,72 4.72",
)
WORDS += ["", "Ri 3", "00012", "+5", "5 mm", "12 %", "1 250"]
UNIT_TEXTS = re.split(
    " ",
    "g/cm³ kg/m³ g/ml °C K mm µm mil s min h MPa kPa psi kN N Pa mPa·s Pa·s Hz kHz Ohm kOhm MOhm "
    "deg rad ml/h g/l mg/l % 1/s GU vol% apples",
)
UNIT_TEXTS += [""]
UNIT = re.compile(r"\[([^\]]*)\]|\(([^)]*)\)")
NUMBER = re.compile(r"(?<![\w.,])[-+]?\d[\d.,]*(?![\w.,])")


def in_bytes(content: bytes, dice: random.Random) -> bytes:
    """Damage one place of a text, or up to three of a workbook, whatever they mean."""
    data = bytearray(content)
    for _ in range(dice.randint(1, 3) if content.startswith(b"PK") else 1):
        at = dice.randrange(len(data))
        match dice.randrange(7):
            case 0:
                data[at] ^= 1 << dice.randrange(8)
            case 1:
                data[at] = dice.randrange(256)
            case 2:
                del data[at : at + dice.randint(1, 20)]
            case 3:
                data[at:at] = bytes(
                    dice.choice(b'0123456789.,;:\t\n\r"- eE\x00\xff') for _ in range(3)
                )
            case 4:
                data[at:at] = data[at : at + dice.randint(1, 60)]
            case 5:
                data = data[: max(1, at)]
            case _:
                other = dice.randrange(len(data))
                data[at], data[other] = data[other], data[at]
        if not data:
            return b"\n"
    return bytes(data)


def in_cells(text: str, delimiter: str, dice: random.Random) -> str:
    """Damage a number, a cell, a row or a unit, as people and programs do."""
    return dice.choices([_number, _cell, _row, _unit], [6, 3, 3, 3])[0](text, delimiter, dice)


def in_titles(text: str, delimiter: str, dice: random.Random) -> str:
    """Damage what says what the numbers mean: a title, a row of titles, a line above a table."""
    lines = text.split("\n")
    words = [n for n, line in enumerate(lines) if re.search(r"[^\W\d_]{2}", line)]
    titles = [
        n for n in words if delimiter in lines[n] and not NUMBER.search(UNIT.sub("", lines[n]))
    ]
    at = dice.choice(titles if titles and dice.random() < 0.6 else words)
    cells = lines[at].rstrip("\r").split(delimiter)
    end = "\r" if lines[at].endswith("\r") else ""
    one = dice.randrange(len(cells))
    match dice.randrange(7):
        case 0:
            del lines[at]
            return "\n".join(lines)
        case 1:
            cells[one] = ""
        case 2:
            del cells[one]
        case 3:
            cells = cells[: max(1, one)]
        case 4:
            lines.insert(at, "" if dice.random() < 0.5 else "Remark: titles below" + end)
            return "\n".join(lines)
        case _:
            cells[one] = _misspelt(cells[one], dice)
    lines[at] = delimiter.join(cells) + end
    return "\n".join(lines)


def _misspelt(word: str, dice: random.Random) -> str:
    if not word:
        return "x"
    at = dice.randrange(len(word))
    letter = dice.choice("aehnortxSTZ")
    before, behind = word[:at], word[at:]
    return dice.choice(
        [
            before + behind[1:],
            before + behind[:1] + behind,
            before + letter + behind[1:],
            before + behind[1:2] + behind[:1] + behind[2:],
            before,
        ]
    )


def _number(text: str, delimiter: str, dice: random.Random) -> str:
    places = list(NUMBER.finditer(text))
    place = dice.choice(places)
    changed = _changed(place[0], dice)
    return text[: place.start()] + changed + text[place.end() :]


def _changed(number: str, dice: random.Random) -> str:
    at = dice.randrange(len(number))
    ways: list[Callable[[], str]] = [
        lambda: number[:at] + str(dice.randrange(10)) + number[at + 1 :],
        lambda: number[:at] + number[at + 1 :],
        lambda: number[:at] + number[at] + number[at:],
        lambda: number.translate(str.maketrans(".,", ",.")),
        lambda: number[:at] + dice.choice(".,") + number[at:],
        lambda: dice.choice(["-", "+", "−", "--", "<", "~"]) + number,
        lambda: number + dice.choice(["e3", "E-2", "D2", "e", "e400", " e1", "%", " mm", "*", "?"]),
        lambda: number[:at] + dice.choice([" ", "'", "\u00a0", "_", "O", "l", "٣"]) + number[at:],
        lambda: dice.choice(WORDS),
    ]
    return dice.choice(ways)()


def _cell(text: str, delimiter: str, dice: random.Random) -> str:
    lines = text.split("\n")
    at = dice.choice([n for n, line in enumerate(lines) if delimiter in line] or [0])
    cells = lines[at].split(delimiter)
    one, other = dice.randrange(len(cells)), dice.randrange(len(cells))
    match dice.randrange(5):
        case 0:
            cells[one], cells[other] = cells[other], cells[one]
        case 1:
            del cells[one]
        case 2:
            cells.insert(one, dice.choice(WORDS))
        case 3:
            cells[one] = dice.choice(WORDS)
        case _:
            cells[one] = '"' + cells[one]
    lines[at] = delimiter.join(cells)
    return "\n".join(lines)


def _row(text: str, delimiter: str, dice: random.Random) -> str:
    lines = text.split("\n")
    one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    match dice.randrange(7):
        case 0:
            del lines[one]
        case 1:
            lines.insert(other, lines[one])
        case 2:
            lines[one], lines[other] = lines[other], lines[one]
        case 3:
            lines.insert(one, dice.choice(["", delimiter * 3, "end of data", "Total" + delimiter]))
        case 4:
            return text[: dice.randrange(1, len(text))]
        case 5:
            lines = lines[: max(1, one)]
        case _:  # two columns change places, titles and all
            rows = [line.split(delimiter) for line in lines]
            wide = max(len(row) for row in rows)
            a, b = dice.randrange(wide), dice.randrange(wide)
            for row in rows:
                if len(row) == wide:
                    row[a], row[b] = row[b], row[a]
            lines = [delimiter.join(row) for row in rows]
    return "\n".join(lines)


def _unit(text: str, delimiter: str, dice: random.Random) -> str:
    lines = text.split("\n")
    rows = [n for n, line in enumerate(lines) if {*line.strip().split(delimiter)} <= {*UNIT_TEXTS}]
    rows = [n for n in rows if lines[n].strip()]
    places = list(UNIT.finditer(text))
    if rows and (not places or dice.random() < 0.5):
        at = dice.choice(rows)
        cells = lines[at].rstrip("\r").split(delimiter)
        cells[dice.randrange(len(cells))] = dice.choice(UNIT_TEXTS)
        lines[at] = delimiter.join(cells) + ("\r" if lines[at].endswith("\r") else "")
        return "\n".join(lines)
    if not places:
        return _number(text, delimiter, dice)
    place = dice.choice(places)
    brackets = place[0][0], place[0][-1]
    return text[: place.start()] + dice.choice(UNIT_TEXTS).join(brackets) + text[place.end() :]
