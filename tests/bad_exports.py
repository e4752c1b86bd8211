"""Everything bad that can be dropped into an inbox, and what a technician must then be told."""

from __future__ import annotations

import io
import os
import struct
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path

import openpyxl
from changing_kind import install, plugin, weighed
from labs import PANEL, LabAtWork, look_at_all_again, make_lab
from PIL import Image

HUGE_MB = 200
OTHER_TITLE = ("Coat weight", "Scratch depth")


def density(
    value: str = "1,3912",
    *,
    batch: str = "RB-014",
    at: str = "14.09.2026;08:12",
    title: str = "Density [g/cm³]",
    temperature: str = "22,8",
    state: str = "as mixed",
) -> str:
    """Return a density export with one determination."""
    return (
        "Density bench, 100 ml cup\nInstrument;DB-2\n\n"
        f"Date;Time;Batch;State;Sample temp. [°C];{title};Rest [min];Remark\n"
        f"{at};{batch};{state};{temperature};{value};0;\n"
    )


def impedance(
    *points: str,
    panel: str | None = "RB-014-3",
    at: str = "2026-09-22 09:14:05",
    remark: str = "",
    hours: int = 24,
) -> str:
    """Return an impedance export; without points it has a sound spectrum."""
    points = points or ("1000,3125,186410", "1,14210000,31730000", "0.1,36400000,12100000")
    panel_line = "" if panel is None else f"Panel: {panel}\n"
    return (
        f"Film impedance in 3 % NaCl\n{panel_line}Cell area: 14.6 cm2\nImmersed for: {hours} h\n"
        f"Measured at: {at}\nRemark: {remark}\n\n"
        "Frequency [Hz],Z' [Ohm],-Z'' [Ohm]\n" + "\n".join(points) + "\n"
    )


def pull_off(
    failure: str = "100% B",
    *,
    panel: str = "RB-014-3",
    number: int = 1,
    strength: str = "4.72",
    at: str = "2026-09-28 14:03",
) -> str:
    """Return a pull-off export with one determination."""
    return (
        "Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured\n"
        f'{panel},{number},20,{strength},"{failure}",{at}\n'
    )


def panels(*rows: str) -> str:
    """Return a register of panels."""
    title = "Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note"
    return "\n".join([title, *rows]) + "\n"


def panel_row(panel: str, batch: str, thickness: str = "180") -> str:
    """Return one row of the register of panels."""
    return f"{panel},{batch},steel Sa 2½,2 x primer,{thickness},2026-09-14,2026-09-21 09:00,"


def batches(*names: str) -> str:
    """Return a register of batches, all of them controls."""
    rows = [f"{name},EP-1,,0,control,2026-09-14 07:30," for name in names]
    return "\n".join(["Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note", *rows]) + "\n"


PROFILE = """\
name = "{name}"
kind = "density"
version = "1"

[layout]
{layout}

[batch]
titles = ["Batch"]

[columns]
temperature_c = {{ titles = ["Temp"], unit = "°C" }}
density_g_cm3 = {{ titles = ["{title}"], unit = "g/cm³" }}
state = {{ titles = ["State"] }}
elapsed_s = {{ titles = ["Rest [s]"] }}
"""


def own_density(title: str, value: str = "1.39", batch: str = "RB-014") -> str:
    """Return an export for a profile made from PROFILE."""
    return f"Batch,Temp,{title},State,Rest [s]\n{batch},23.0,{value},as mixed,0\n"


HOSTILE = '''\
"""A reader that does what the first line of the file tells it to."""
import ctypes
import math
import os
import time

from tiecoat.plugin import Claim, Companions, Measurement, Reason, hookimpl


def good(**other):
    columns = {"temperature_c": [23.0], "density_g_cm3": [1.4], "state": ["rested"],
               "elapsed_s": [60.0]}
    return Measurement(columns={**columns, **other}, rows=[1], batch="RB-099")


class Unspeakable(Exception):
    def __str__(self):
        raise RuntimeError("even my message breaks")


class Hostile:
    name, kind, version = "hostile", "density", "1"

    def recognise(self, export):
        first = export.first_lines(1)[0] if export.head.startswith(b"hostile") else ""
        if first == "hostile recognise_raises":
            raise ValueError("no idea what this is")
        if first == "hostile recognise_junk":
            return "yes"
        return Claim(0.9, "it says so") if first else None

    def read(self, export):
        return getattr(self, export.first_lines(1)[0].split()[1])()

    def raises(self):
        raise ZeroDivisionError("the slope of an empty table")

    def unspeakable(self):
        raise Unspeakable

    def recurses(self):
        return self.recurses()

    def exits(self):
        raise SystemExit(0)

    def interrupts(self):
        raise KeyboardInterrupt

    def hangs(self):
        while True:
            time.sleep(0.01)

    def dies(self):
        os._exit(3)

    def segfaults(self):
        ctypes.string_at(0)

    def eats(self):
        eaten = []
        while True:
            eaten.append(bytes(64 << 20))

    def prints(self):
        for n in range(100_000):
            print(n, "is not for the screen of the service")
        return [good()]

    def nothing(self):
        return None

    def text(self):
        return ["RB-014", 1.39]

    def no_such_column(self):
        return [good(gloss_gu=[1.0])]

    def uneven(self):
        return [good(density_g_cm3=[1.4, 1.5])]

    def number_as_text(self):
        return [good(density_g_cm3=["1.4"])]

    def infinite(self):
        return [good(density_g_cm3=[math.inf])]

    def breaks_halfway(self):
        yield good()
        raise KeyError("second table")


class Nested:
    name, kind, version = "nested", "density", "1"

    def recognise(self, export):
        return Claim(0.9, "nested") if export.head.startswith(b'{"nested"') else None

    def read(self, export):
        for one in export.json().every("sweeps"):
            if one["lamp"].value == "off":
                export.fault("the lamp was off", at=one.at)
        return [good()]


class Pair:
    name, kind, version = "pair", "density", "1"
    companions = Companions("pair*.txt", needed=("{stem}.bin",), wait_s=0.2)

    def recognise(self, export):
        return Claim(0.9, "a pair") if export.head.startswith(b"pair") else None

    def read(self, export):
        return [good()]


class Photograph:
    name, kind, version = "photograph", "density", "1"

    def recognise(self, export):
        return Claim(0.9, "a picture") if export.is_picture else None

    def read(self, export):
        picture = export.picture()
        um_per_pixel, origin = export.um_per_pixel(picture, None, 0.01, 20)
        if not picture.pixels.any():
            export.hold(Reason.NOTHING_TO_MEASURE, found="nothing but black")
        return [good()]


@hookimpl
def tiecoat_readers():
    return [Hostile(), Nested(), Pair(), Photograph()]
'''


@dataclass(frozen=True)
class Bad:
    """A bad file: its reason, and words that its reason.txt must show."""

    content: bytes | str
    code: str
    words: tuple[str, ...]


def _damaged_workbook() -> bytes:
    sink = io.BytesIO()
    with zipfile.ZipFile(sink, "w") as parts:
        parts.writestr("[Content_Types].xml", "<Types/>")
        parts.writestr("xl/workbook.xml", "<workbook/>")
    return sink.getvalue()


def _workbook_with_another_sheet() -> bytes:
    """Return a density export beside a table that is of no kind."""
    book = openpyxl.Workbook()
    first = book.active
    first.title = "Density"
    first.append(["Batch", "Measured", "State", "Temp [°C]", "Density [g/cm3]", "Rest [min]"])
    first.append(["RB-014", "2026-09-14 08:12", "as mixed", 22.8, 1.39, 0])
    other = book.create_sheet("Other")
    for row in (["Kiln", "Glow"], [1, 2.5], [2, 2.6], [3, 2.7]):
        other.append(row)
    sink = io.BytesIO()
    book.save(sink)
    return sink.getvalue()


def picture(level: int = 120, um_per_pixel: float | None = None) -> bytes:
    """Return a small grey PNG."""
    sink = io.BytesIO()
    dpi = {} if um_per_pixel is None else {"dpi": (25400 / um_per_pixel,) * 2}
    Image.new("L", (64, 48), level).save(sink, "PNG", **dpi)
    return sink.getvalue()


def bomb(width: int, height: int) -> bytes:
    """Return a small PNG that says it has so many pixels."""

    def chunk(name: bytes, content: bytes) -> bytes:
        ends = zlib.crc32(name + content).to_bytes(4, "big")
        return len(content).to_bytes(4, "big") + name + content + ends

    header = width.to_bytes(4, "big") + height.to_bytes(4, "big") + b"\x08\x00\x00\x00\x00"
    parts = ((b"IHDR", header), (b"IDAT", zlib.compress(bytes(1000))), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


def many_pages(count: int) -> bytes:
    """Return a TIFF of so many pictures of one pixel each, which all share that pixel."""
    entries = {256: 1, 257: 1, 258: 8, 259: 1, 262: 1, 273: 8, 277: 1, 278: 1, 279: 1}
    tags = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in entries.items())
    page = 2 + len(tags) + 4
    starts = [16 + number * page for number in range(1, count)] + [0]
    pages = (struct.pack("<H", len(entries)) + tags + struct.pack("<I", next_) for next_ in starts)
    return struct.pack("<2sHI8x", b"II", 42, 16) + b"".join(pages)


def hostile(what: str) -> str:
    return f"hostile {what}\n1\n2\n"


CHANGED = "done and changed.csv"
BAD: dict[str, Bad] = {
    # the file as such
    "empty.csv": Bad(b"", "empty-file", ("the file is empty", "Export it again")),
    "only blanks.csv": Bad(b" \r\n\r\n  ", "empty-file", ("the file is empty",)),
    "rubbish.csv": Bad(
        bytes(range(256)) * 40, "not-text", ("neither text nor a workbook", ".xlsx")
    ),
    "damaged.xlsx": Bad(_damaged_workbook(), "damaged-sheet", ("workbook is damaged",)),
    "cut workbook.xlsx": Bad(_damaged_workbook()[:90], "damaged-sheet", ("workbook is damaged",)),
    "no encoding.csv": Bad(
        density(batch="RB-014\x81").encode("latin-1"), "wrong-encoding", ("0x81", "row 5", "cp1252")
    ),
    "not as declared.csv": Bad(
        own_density("Küchenwert").encode("cp1252"),
        "untaken-column",
        ("Küchenwert", "tiecoat learn"),
    ),
    "cut off.csv": Bad(
        impedance().replace("0.1,36400000,12100000\n", "0.1,364"), "cut-off", ("row 11", "2 fields")
    ),
    "cut off by zeros.csv": Bad(
        density().encode() + bytes(200), "cut-off", ("200 zero bytes", "text to the end")
    ),
    "uneven.csv": Bad(
        impedance("1000,3125,186410", "1,14210000", "0.1,3,1"), "uneven-row", ("row 10", "2 fields")
    ),
    "titles misspelt.csv": Bad(
        density() + "\n" + density().replace(";Density", ";Dinsity"),
        "untaken-column",
        ("row 10", "Dinsity [g/cm³]", "no word of this kind"),
    ),
    "another sheet.xlsx": Bad(
        _workbook_with_another_sheet(),
        "unread-rows",
        ("sheet 'Other', row 2", "a row like results"),
    ),
    "no rows.csv": Bad(impedance("")[:-1], "empty-table", ("a header and no rows",)),
    # who reads it
    "no density.csv": Bad(
        density(title="Weight [g]"), "missing-column", ("nothing for density_g_cm3", "row 4")
    ),
    "no angle.csv": Bad(
        "Panel;Measured;Head;Spot;Gloss (GU)\nRB-014-3;29.09.2026 10:02;20;1;31,5\n",
        "untaken-column",
        ("Head", "tiecoat learn"),
    ),
    "a letter.txt": Bad("Dear colleague,\nplease measure it again.\n", "no-reader", ("Dear",)),
    "claimed by two.csv": Bad(
        own_density("Twin density"), "several-readers", ("twin_a", "twin_b", "equally sure")
    ),
    # columns, units, cells
    "no area.csv": Bad(
        impedance().replace("Cell area: 14.6 cm2\n", ""),
        "missing-column",
        ("wetted area of the film",),
    ),
    "unknown unit.csv": Bad(density(title="Density [g/scoop]"), "unknown-unit", ("g/scoop",)),
    "unfit unit.csv": Bad(density(title="Density [mPa·s]"), "unknown-unit", ("mPa·s",)),
    "two readings.csv": Bad(
        density("1.391", title="Density [kg/m³]", temperature="23"),
        "ambiguous-number",
        ("1.391", "row 5", "1391"),
    ),
    "text for a number.csv": Bad(
        density("E-03 cup"), "not-a-number", ("'E-03 cup'", "row 5", "Density")
    ),
    "not a time.csv": Bad(density(at="31.09.2026;08:12"), "not-a-time", ("31.09.2026", "row 5")),
    "skipped hour.csv": Bad(
        impedance(at="2026-03-29 02:30"), "skipped-time", ("2026-03-29 02:30", "does not exist")
    ),
    "doubled hour.csv": Bad(
        impedance(at="2026-10-25 02:30"), "doubled-time", ("2026-10-25 02:30", "+01:00")
    ),
    "negative frequency.csv": Bad(
        impedance("1000,3125,186410", "-1,14210000,31730000"), "out-of-bounds", ("row 10", "-1 Hz")
    ),
    "zero frequency.csv": Bad(
        impedance("1000,3125,186410", "0,14210000,31730000"), "out-of-bounds", ("row 10", "0 Hz")
    ),
    "infinite.csv": Bad(impedance("1000,1e999,186410"), "not-a-number", ("row 9", "1e999")),
    "doubled frequency.csv": Bad(
        impedance("1000,3125,186410", "1,14210000,31730000", "1,14210000,31730000"),
        "repeated-row",
        ("row 11", "frequency"),
    ),
    "no value.csv": Bad(density(""), "missing-value", ("row 5",)),
    "110 percent.csv": Bad(pull_off("70 % B, 40 % Y"), "bad-notation", ("110 %", "row 2")),
    "no percent sign.csv": Bad(pull_off("70B 20Y"), "bad-notation", ("70B 20Y", "row 2")),
    "sign turned.csv": Bad(
        impedance().replace("-Z''", "Z''"), "inconsistent", ("inductive at most points",)
    ),
    # ids
    "not our id.csv": Bad(density(batch="XY-14"), "id-not-in-pattern", ("'XY-14'", "row 5")),
    "path as id.csv": Bad(density(batch="../RB-014"), "bad-id", ("'../RB-014'", "row 5")),
    "no panel.csv": Bad(impedance(panel=None), "no-panel", ("held assign", "--panel")),
    "no batch.csv": Bad(pull_off(panel="P-123"), "no-batch", ("P-123", "--batch", "register")),
    "other batch.csv": Bad(
        panels(panel_row("RB-013-9", "RB-014")), "other-batch", ("RB-013", "RB-014", "row 2")
    ),
    "RB-014-2 day 1.csv": Bad(
        impedance(remark="of another panel"), "other-panel", ("RB-014-3 in the file", "RB-014-2")
    ),
    "RB-013 density.csv": Bad(
        density(at="14.09.2026;08:40"), "other-batch", ("RB-014 in the file", "RB-013")
    ),
    # the register and the clock
    "in the future.csv": Bad(
        impedance(at="2099-09-22 09:14"), "in-future", ("row 9", "2099-09-22 09:14", "not after")
    ),
    "before it was coated.csv": Bad(
        pull_off(number=2, at="2026-09-13 14:03"), "before-made", ("row 2", "2026-09-14")
    ),
    "before it was mixed.csv": Bad(
        density(at="14.09.2026;07:12"), "before-made", ("07:12", "the batch was mixed", "07:30")
    ),
    "exposed for longer.csv": Bad(
        impedance(at="2026-09-29 09:14"), "against-register", ("24 h", "192.2 h", "2026-09-21")
    ),
    "of no panel.csv": Bad(
        pull_off(panel="RB-014-9"),
        "not-registered",
        ("RB-014-9", "a register sheet that is dropped"),
    ),
    "twice.csv": Bad(
        panels(panel_row("RB-014-7", "RB-014"), panel_row("RB-014-7", "RB-014", "190")),
        "twice-in-register",
        ("row 3", "RB-014-7 again, with 190", "180 as in row 2"),
    ),
    "two strengths of one dolly.csv": Bad(
        pull_off(number=3) + pull_off(number=3, strength="5.11").splitlines()[1] + "\n",
        "given-twice",
        ("row 3", "determination 3", "given before in this file"),
    ),
    CHANGED: Bad(
        density(at="18.09.2026;08:25"), "changed-since", ("is held: the file was filed, and was",)
    ),
    "z conflict.csv": Bad(
        density("1,5000", at="18.09.2026;08:12"), "conflict", ("a good one.csv", "supersede")
    ),
    # what readers do
    "h raises.txt": Bad(
        hostile("raises"),
        "reader-failed",
        ("hostile 1", "ZeroDivisionError: the slope of an empty table", "hostile.py, line"),
    ),
    "h unspeakable.txt": Bad(hostile("unspeakable"), "reader-failed", ("Unspeakable",)),
    "h recurses.txt": Bad(hostile("recurses"), "reader-failed", ("RecursionError",)),
    "h breaks halfway.txt": Bad(hostile("breaks_halfway"), "reader-failed", ("second table",)),
    "h recognise raises.txt": Bad(
        hostile("recognise_raises"), "no-reader", ("hostile: ValueError", "no idea what this is")
    ),
    "h recognise junk.txt": Bad(
        hostile("recognise_junk"), "no-reader", ("recognise returned str", "expected a Claim")
    ),
    "h exits.txt": Bad(hostile("exits"), "reader-failed", ("SystemExit",)),
    "h interrupts.txt": Bad(hostile("interrupts"), "reader-failed", ("KeyboardInterrupt",)),
    "h hangs.txt": Bad(
        hostile("hangs"), "reader-too-slow", ("readers.time_limit_s", "had used up its time")
    ),
    "h dies.txt": Bad(hostile("dies"), "reader-died", ("ended its process",)),
    "h segfaults.txt": Bad(hostile("segfaults"), "reader-died", ("ended its process",)),
    "h eats.txt": Bad(hostile("eats"), "reader-out-of-memory", ("readers.memory_limit_mb",)),
    "h nothing.txt": Bad(hostile("nothing"), "reader-failed", ("hostile 1",)),
    "h text.txt": Bad(hostile("text"), "reader-broke-rules", ("'RB-014' (str)", "a Measurement")),
    "h no such column.txt": Bad(
        hostile("no_such_column"), "reader-broke-rules", ("no column 'gloss_gu'",)
    ),
    "h uneven.txt": Bad(hostile("uneven"), "reader-broke-rules", ("2 values for 1 rows",)),
    "h number as text.txt": Bad(
        hostile("number_as_text"), "reader-broke-rules", ("'1.4' (str)", "expected a number")
    ),
    "h infinite.txt": Bad(hostile("infinite"), "out-of-bounds", ("inf",)),
    "pair alone.txt": Bad("pair", "companion-missing", ("file pair alone.bin in the same",)),
    "n cut.json": Bad('{"nested": 1, "sweeps": [', "damaged-nested", ("row 1: found Expecting",)),
    "n dark.json": Bad(
        '{"nested": 1, "sweeps": [{"lamp": "on"}, {"lamp": "off"}]}',
        "reader-says",
        ("at /sweeps/1: the lamp was off",),
    ),
    # pictures
    "h cut off.png": Bad(picture(122)[:70], "damaged-picture", ("Save it again as PNG",)),
    "h 1600 megapixels.png": Bad(
        bomb(40_000, 40_000), "picture-too-large", ("at most 80 million", "smaller picture")
    ),
    "h 90 megapixels.png": Bad(bomb(9_000, 10_000), "picture-too-large", ("9000 x 10000 pixels",)),
    "h 2,000 pages.tif": Bad(
        many_pages(2000), "picture-too-large", ("more than 1,000 pictures", "smaller picture")
    ),
    "h no scale.png": Bad(picture(), "no-scale", ("um_per_pixel", "h no scale.png.toml")),
    "h absurd scale.png": Bad(
        picture(um_per_pixel=2540), "scale-absurd", ("2538 µm a pixel", "metadata", "0.01 to 20 µm")
    ),
    "h black.png": Bad(picture(0, 1.0), "nothing-to-measure", ("nothing but black",)),
    "h bad notes.png": Bad(picture(121), "notes-invalid", ("h bad notes.png.toml", "line 1")),
    # names
    "reason.json": Bad(density(batch="XY-15"), "id-not-in-pattern", ("'XY-15'",)),
    "Reason.TXT": Bad(density(batch="XY-16"), "id-not-in-pattern", ("'XY-16'",)),
    "z of a changed kind.csv": Bad(
        weighed("RB-014-3", "second"),
        "kind-changed",
        ("column 'weight': found mg; expected g", "tiecoat upgrade"),
    ),
    "z of a kind that is gone.csv": Bad(
        weighed("RB-014-3", "second").replace(*OTHER_TITLE),
        "kind-gone",
        ("expected the plugin that brings kind 'scratch'", "Put the plugin back"),
    ),
}

GOOD: dict[str, str] = {  # name -> content: filed in the same round
    "a good one.csv": density("1,3912", at="18.09.2026;08:12"),
    "zz last.csv": impedance(at="2026-09-23 09:00", hours=48, remark="the last by name"),
    "of the register.csv": pull_off(panel="P-200"),
    "h prints.txt": hostile("prints"),
    "coat.csv": weighed("RB-014-3"),
    "scratch.csv": weighed("RB-014-3").replace(*OTHER_TITLE),
}
REGISTER = {
    "register.csv": panels(panel_row("P-200", "RB-014"), panel_row("RB-014-3", "RB-014")),
    "register of batches.csv": batches("RB-014", "RB-099"),
}
NOTES = {"h bad notes.png": "um_per_pixel = about 2"}  # what lies beside a file
LINK = "link to a secret.csv"
HUGE = "huge.csv"
SECRET = "Batch;Density\nRB-014;the secret of another folder\n"


def taken_in(root: Path) -> LabAtWork:
    """Drop everything into a new lab at once and take it in."""
    lab = make_lab(
        root,
        ids={"panel": f"{PANEL}|P-[0-9]{{3}}"},
        intake={"settle_s": 0.1, "max_file_mb": 1.0},
        checks={"unregistered": "hold", "exposure": "hold"},
        readers={"folder": True, "time_limit_s": 5.0, "memory_limit_mb": 2048, "processes": 2},
    )
    readers = root / "readers"
    (readers / "hostile.py").write_text(HOSTILE, encoding="utf-8")
    for name, title, layout in (
        ("twin_a", "Twin density", ""),
        ("twin_b", "Twin density", ""),
        ("utf8_bench", "Küchenwert", 'encoding = "utf-8"'),
    ):
        profile = PROFILE.format(name=name, title=title, layout=layout)
        (readers / f"{name}.toml").write_text(profile, encoding="utf-8")
    for name, content in REGISTER.items():
        lab.drop(name, content)
    install(lab, plugin(1), "z_coat.py")  # asked after the hostile ones
    other = plugin(1, kind="scratch").replace("coat_table", "scratch_table")
    install(lab, other.replace(*OTHER_TITLE), "z_scratch.py")
    later = {"z conflict.csv", "zz last.csv", "z of a changed kind.csv", CHANGED}
    later.add("z of a kind that is gone.csv")
    for name, bad in BAD.items():
        if name not in later:
            if name in NOTES:
                lab.drop(f"{name}.toml", NOTES[name])
            lab.drop(name, bad.content)
    for name, content in GOOD.items():
        if name not in later:
            lab.drop(name, content)
    (root / "secret.csv").write_text(SECRET)
    (lab.inbox / LINK).symlink_to(root / "secret.csv")
    os.mkfifo(lab.inbox / "pipe.csv")
    with (lab.inbox / HUGE).open("wb") as huge:
        huge.write(density().encode())
        huge.truncate(HUGE_MB * 1_000_000)
    lab.take()
    lab.drop("z conflict.csv", BAD["z conflict.csv"].content)
    lab.drop("zz last.csv", GOOD["zz last.csv"])
    install(lab, plugin(3, migrate=""), "z_coat.py")
    (readers / "z_scratch.py").unlink()
    gone = "z of a kind that is gone.csv"
    lab.drop(gone, BAD[gone].content)
    lab.drop("z of a changed kind.csv", BAD["z of a changed kind.csv"].content)
    lab.drop(CHANGED, density(at="18.09.2026;08:20"))
    lab.take()
    (lab.done / CHANGED).write_text(BAD[CHANGED].content)
    look_at_all_again(lab)
    lab.take()
    for path in lab.root.rglob(HUGE):
        _make_hollow(path)
    return lab


def _make_hollow(path: Path) -> None:
    """Let the zeros at the end of a file take no room: pytest keeps its folders for a while."""
    size = path.stat().st_size
    os.truncate(path, len(density().encode()))
    os.truncate(path, size)
