"""`tiecoat hiding`: which panels hide too little."""

import tiecoat
from tiecoat.plugin import CommandAnswer, LabCommand, hookimpl


def add(parser):
    """Take from which contrast ratio on a panel hides."""
    parser.add_argument("--least", type=float, default=98.0, metavar="PERCENT")


def run(lab, options, told):
    """List the panels below; 1 where there are any."""
    found = tiecoat.open(lab).evaluate("hiding")
    low = found[found["value"] < options.least]
    lines = [f"{one.panel}: {one.value:.1f} %" for one in low.itertuples()]
    return CommandAnswer(int(len(low) > 0), lines, values={"panels": list(low["panel"])})


@hookimpl
def tiecoat_commands():
    """Return the command."""
    answers = {"panels[]": ("text", "a panel that hides too little")}
    return [LabCommand("hiding", "list panels that hide too little", run, add, answers)]
