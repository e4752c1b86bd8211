"""Hiding power of dry films: exports of a head and its readings."""

import pandera.pandas as pa

from tiecoat.plugin import Claim, Companions, Kind, Measurement, column, hookimpl

__author__ = "the paint shop"


class Hiding(pa.DataFrameModel):
    """Reflectance of a film drawn over a chart that is black and white."""

    spot: int = column("", "number of the place on the panel", ge=1, le=99)
    over_black_percent: float = column("%", "reflectance over black", ge=0, le=100)
    over_white_percent: float = column("%", "reflectance over white", gt=0, le=100)


HIDING = Kind("hiding", Hiding, per="panel", unique=("spot",), order=("spot",))


class HeadAndReadings:
    """The panel stands in a head, a line a spot in a file beside it."""

    name, kind, version = "hiding_pair", "hiding", "1"
    companions = Companions("*.chart", needed=("{stem}.spots",), wait_s=1)

    def recognise(self, export):
        """Say whether it is the head of such a pair."""
        return Claim(0.9, "a chart head") if export.head.startswith(b"contrast chart") else None

    def read(self, export):
        """Return the one measurement of the pair."""
        spots = export.companion("*.spots")
        lines = [line.split() for line in spots.text().splitlines() if line.strip()]
        black, white = (
            [spots.number(line[n], "%", "%", row=row) for row, line in enumerate(lines, 1)]
            for n in (0, 1)
        )
        head = export.entries()
        yield Measurement(
            columns={
                "spot": list(range(1, len(lines) + 1)),
                "over_black_percent": black,
                "over_white_percent": white,
            },
            rows=list(range(1, len(lines) + 1)),
            panel=head["panel"].text(),
            measured_at=head["read"].time(),
            sheet=spots.name,
        )


@hookimpl
def tiecoat_kinds():
    """Return the kind."""
    return [HIDING]


@hookimpl
def tiecoat_readers():
    """Return the reader."""
    return [HeadAndReadings()]
