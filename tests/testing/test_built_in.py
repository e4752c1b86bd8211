"""What is built in passes through the kit, as a stranger's plugins do."""

from __future__ import annotations

from importlib.metadata import entry_points
from pathlib import Path

from tiecoat.testing import Conformance

HERE = Path(__file__).parent
EXAMPLE = HERE.parents[1] / "archive_example"
NAMES = sorted(
    entry.name
    for entry in entry_points(group="tiecoat")
    if entry.dist is not None and entry.dist.name == "tiecoat"
)
QUICK = [f"evaluate_{name}" for name in ("density", "film_thickness", "gloss", "pull_off")]

kinds = Conformance(
    *(name for name in NAMES if name.startswith("kind_")),
    exports=HERE / "exports",
    settings='[times]\nzone = "Europe/Berlin"\n',
)
evaluations = Conformance(
    *QUICK, "report_courses", "report_failures", "command_plate", archive=EXAMPLE
)
