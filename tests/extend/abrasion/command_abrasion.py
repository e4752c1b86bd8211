"""The command `tiecoat wear`: which panels wear away fastest."""

import tiecoat
from tiecoat.plugin import CommandAnswer, LabCommand, hookimpl


def run(lab, options, told):
    """Return the panels, the one that lost most first."""
    wear = tiecoat.open(lab).evaluate("abrasion", batch=options.batch, quantity="wear_index")
    wear = wear.dropna(subset="value").sort_values("value", ascending=False)
    lines = [f"{row.panel}: {row.value:.1f} mg at {row.condition}" for row in wear.itertuples()]
    return CommandAnswer(lines=lines, values={"panels": wear["panel"].tolist()})


def add(parser):
    parser.add_argument("--batch", metavar="ID", help="only panels of this batch")


@hookimpl
def tiecoat_commands():
    answers = {"panels[]": ("text", "a panel; the one that lost most comes first")}
    return [LabCommand("wear", "list the panels that wear away fastest", run, add, answers)]
