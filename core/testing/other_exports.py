"""What else arrives in a lab: exports of our own invention that no reader but theirs may claim."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Mapping

DENSITY = """\
Batch;Date;Time;State;Sample temp. [°C];Density [g/cm³]
RB-014;14.09.2026;08:12;as mixed;22,8;1,3912
RB-014;14.09.2026;08:40;deaerated;23,0;1,4375
"""
THICKNESS = """\
Panel: RB-014-3
Coat: primer
dry film thickness [um]
182.5
179.0
190.5
"""
PULL_OFF = """\
Panel,Determination,Dolly [mm],Force [N],Failure
RB-014-3,1,20,1536,100% B
RB-014-3,2,20,1490,"60% B, 40% B/C"
"""
IMPEDANCE = """\
# panel RB-014-3, area 14.6 cm2, immersed 168 h
Frequency/Hz\tZ'/Ohm\tZ''/Ohm
100000\t1250.4\t-9820.1
10000\t4211.9\t-61020.7
1000\t39210.0\t-402100.0
"""
FLOW = """\
Batch RB-014
shear rate [1/s] | shear stress [Pa] | viscosity [Pa s]
0.1 | 12.1 | 121
1.0 | 18.4 | 18.4
10 | 44.9 | 4.49
"""
REGISTER = "batch,recipe,role,candidate,dose_percent\nRB-014,primer 7,control,,0\n"
GLOSS = "Panel;Angle;Gloss\nRB-014-3;60°;81,2\nRB-014-3;20°;55,0\n"
LETTER = """\
Dear colleagues,

the panels of batch RB-014 come out of the chamber on Thursday. Please have the camera ready.
"""
NUMBERS = "".join(f"{n} {n * n} {n / 8}\n" for n in range(1, 30))
RECORDS = (
    '[{"id": 1, "name": "cell 1", "ready": true}, {"id": 2, "name": "cell 2", "ready": false}]'
)
MARKUP = "<?xml version='1.0'?>\n<log><entry at='2026-09-14T08:12:00Z'>door opened</entry></log>\n"
SETTINGS = "[device]\nport = COM3\nbaud = 9600\n\n[cell]\narea = 14.6\n"
LOG = "2026-09-14 08:12:03 INFO started\n2026-09-14 08:12:04 WARN no answer, trying again\n"


def _picture() -> bytes:
    """Return a grey picture of 16 by 16 pixels, as PNG (ISO/IEC 15948)."""

    def chunk(name: bytes, held: bytes) -> bytes:
        checked = zlib.crc32(name + held)
        return struct.pack(">I", len(held)) + name + held + struct.pack(">I", checked)

    head = struct.pack(">IIBBBBB", 16, 16, 8, 0, 0, 0, 0)
    lines = b"".join(b"\0" + bytes(range(100, 116)) for _ in range(16))
    begin = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head)
    return begin + chunk(b"IDAT", zlib.compress(lines)) + chunk(b"IEND", b"")


OTHERS: Mapping[str, tuple[str, bytes]] = {  # file name -> the kind that it is of, and its content
    "pycnometer.csv": ("density", DENSITY.encode()),
    "thickness.txt": ("film_thickness", THICKNESS.encode()),
    "adhesion.csv": ("pull_off", PULL_OFF.encode()),
    "spectrum.txt": ("impedance", IMPEDANCE.encode()),
    "flow curve.txt": ("viscosity", FLOW.encode()),
    "register.csv": ("batches", REGISTER.encode()),
    "gloss.csv": ("gloss", GLOSS.encode("cp1252")),
    "letter.txt": ("", LETTER.encode()),
    "letter in UTF-16.txt": ("", LETTER.encode("utf-16")),
    "numbers.dat": ("", NUMBERS.encode()),
    "records.json": ("", RECORDS.encode()),
    "log.xml": ("", MARKUP.encode()),
    "device.ini": ("", SETTINGS.encode()),
    "device.log": ("", LOG.encode()),
    "titles alone.csv": ("", b"a;b;c\n"),
    "one line.txt": ("", b"x" * 20_000),
    "no text.bin": ("", bytes(range(256)) * 20),
    "zip.xlsx": ("", b"PK\x03\x04" + bytes(200)),
    "nothing but blanks.csv": ("", b" \n\n \n"),
    "picture.png": ("", _picture()),
}
