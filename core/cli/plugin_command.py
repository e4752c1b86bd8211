"""`tiecoat plugin`: a plugin to begin with."""

from __future__ import annotations

import argparse
from pathlib import Path

from tiecoat.cli.shared import actions_of, lab_of, show_next
from tiecoat.errors import QueryInvalid


def add_plugin(plugin: argparse.ArgumentParser) -> None:
    """Add the actions of the command."""
    plugin.set_defaults(command=about_plugins)
    new = actions_of(plugin)("new", new_of_plugin, "lay out a plugin that works, with its tests")
    new.add_argument("plugin", metavar="NAME", help="of its kind and module, as falling_weight")
    place = new.add_mutually_exclusive_group()
    place.add_argument(
        "--to", type=Path, metavar="FOLDER", help="where to (default: a folder NAME here)"
    )
    place.add_argument(
        "--in-lab",
        action="store_true",
        help="as a file in the readers/ folder of the lab, with its tests in readers/tests/",
    )


def about_plugins(options: argparse.Namespace) -> int:
    """Say what there is to be done."""
    raise QueryInvalid(
        "name an action: tiecoat plugin new NAME lays out a plugin with its tests;"
        " tiecoat readers lists what plugins have brought"
    )


def new_of_plugin(options: argparse.Namespace) -> int:
    """Lay out a plugin, and say how to go on."""
    from tiecoat.extend.new_plugin import new_plugin, new_reader

    if options.in_lab:
        lab = lab_of(options)
        written = new_reader(options.plugin, lab.readers)
        begin, tests = lab.readers, f"{lab.readers / 'tests'}"
    else:
        begin = options.to or Path(options.plugin)
        written = new_plugin(options.plugin, begin)
        tests = str(begin)
    print(f"Laid out in {begin.absolute()}:")
    for path in written:
        print(f"  {path.relative_to(begin)}")
    print("What to do next:")
    steps = [(f"pytest {tests}", "has the kit look at it (pip install pytest)")]
    if not options.in_lab:
        steps.append((f"pip install -e {begin}", "lets tiecoat load it"))
    elif not lab.settings.readers.folder:
        steps.append(("folder = true", f"under [readers] in {lab.root / 'tiecoat.toml'} allows it"))
    show_next(steps)
    return 0
