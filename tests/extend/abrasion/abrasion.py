"""Abrasion by loaded wheels: how much of the dry film is worn away, over the revolutions."""

import pandera.pandas as pa

from tiecoat.plugin import Claim, Companions, Kind, Measurement, column, hookimpl


class Abrasion(pa.DataFrameModel):
    """Mass that a coated panel loses under abrasive wheels, a row for each weighing."""

    position: str = column("", "where on the panel it ran", isin=["left", "middle", "right"])
    load_n: float = column("N", "force on each wheel", ge=0.5, le=50)
    revolutions: float = column("", "turns of the table so far", ge=0, le=100_000)
    loss_mg: float = column("mg", "mass lost since the beginning", ge=-5, le=10_000)


TOLD, TURNS = ("position", "load_n"), ("revolutions",)
KIND = Kind("abrasion", Abrasion, per="panel", identity=TOLD, unique=TURNS, order=TURNS)


class AbraderPair:
    """Reads a head (.abh, JSON) and its weighings (.abd, a table)."""

    name, kind, version = "abrader_pair", "abrasion", "1"
    companions = Companions("*.abh", needed=("{stem}.abd",))
    titles = {"revolutions": ("Revolutions",), "loss": ("Mass loss",)}  # noqa: RUF012

    def recognise(self, export):
        """Say how sure this reader is: the head names the abrader."""
        ours = b'"abrader"' in export.head and b'"wheel load"' in export.head
        return Claim(0.9, "abrader and wheel load") if ours else None

    def read(self, export):
        """Return the run that head and weighings tell of."""
        head, data = export.json(), export.companion("*.abd")
        panel, position, load = head["panel"], head["position"], head["wheel load"].number("N")
        for table in data.tables(self.titles):
            columns = {
                "position": [position.text()] * len(table.rows),
                "load_n": [load] * len(table.rows),
                "revolutions": table.numbers("revolutions", ""),
                "loss_mg": table.numbers("loss", "mg"),
            }
            told = {"panel": panel.text(), "instrument": head["abrader"].text()}
            measured_at = head["tested"].time()
            yield Measurement(columns, table.rows, measured_at=measured_at, sheet=data.name, **told)


@hookimpl
def tiecoat_kinds():
    return [KIND]


@hookimpl
def tiecoat_readers():
    return [AbraderPair()]
