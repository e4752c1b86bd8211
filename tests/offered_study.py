"""Studies that may name the properties that evaluations bring, as commands load them."""

from __future__ import annotations

from tiecoat.ask.offered import offered_properties
from tiecoat.compare import study
from tiecoat.compare.study import Study

CATALOGUE = offered_properties().catalogue


def load_study(text: str, source: str = "study") -> Study:
    """Return the study that a TOML text describes."""
    return study.load_study(text, source, CATALOGUE)
