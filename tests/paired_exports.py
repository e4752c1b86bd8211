"""Exports of several files: a head and its data, and a folder of frames, with their readers."""

from __future__ import annotations

from labs import LabAtWork

PAIR = '''\
from tiecoat.plugin import Claim, Companions, Measurement, hookimpl


def density(value, n):
    return {"temperature_c": [23.0], "density_g_cm3": [value], "state": ["rested"],
            "elapsed_s": [60.0 * n]}


class HeadAndData:
    """The batch stands in a head, densities in a file beside it, remarks perhaps in a third."""

    name, kind, version = "head_and_data", "density", "1"
    companions = Companions("*.hdr", needed=("{stem}.dat",), optional=("{stem}.rem",), wait_s=WAIT)

    def recognise(self, export):
        return Claim(0.9, "a head") if export.head.startswith(b"bench head") else None

    def read(self, export):
        data = export.companion("*.dat")
        lines = data.text().split()
        unit = "g/cm**3"
        values = [data.number(line, unit, unit, row=n) for n, line in enumerate(lines, 1)]
        remarks = [one for name, one in export.companions.items() if name.endswith(".rem")]
        for n, value in enumerate(values, 1):
            yield Measurement(
                columns=density(value, n),
                rows=[n],
                batch=export.text().split()[2],
                sheet=data.name,
                remarks=tuple(one.text().strip() for one in remarks),
            )


class Frames:
    """A folder of frames: one number a frame."""

    name, kind, version = "frames", "density", "1"
    companions = Companions("frame*.txt", ("frame*.txt",), wait_s=WAIT)

    def recognise(self, export):
        return Claim(0.9, "a frame") if export.head.startswith(b"frame") else None

    def read(self, export):
        for n, one in enumerate([export, *export.companions.values()], 1):
            yield Measurement(columns=density(float(one.text().split()[1]), n), rows=[1])


@hookimpl
def tiecoat_readers():
    return [HeadAndData(), Frames()]
'''
HEAD, DATA = "bench head RB-007\n", "1.41\n1.40\n1.39\n"


def with_pairs(at_work: LabAtWork, wait_s: float = 0.4) -> LabAtWork:
    """Give a lab the readers of such exports."""
    path = at_work.root / "readers" / "paired.py"
    path.write_text(PAIR.replace("WAIT", f"{wait_s}"), encoding="utf-8")
    return at_work
