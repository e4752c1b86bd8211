"""`tiecoat plugin`: a plugin to begin with."""

from __future__ import annotations

import argparse
from pathlib import Path

from tiecoat.cli.shared import actions_of, in_width, lab_of, show_next
from tiecoat.errors import QueryInvalid

WIDTH = 44  # of the names of files; longer ones stand out


def add_plugin(plugin: argparse.ArgumentParser) -> None:
    """Add the actions of the command."""
    plugin.set_defaults(command=about_plugins)
    new = actions_of(plugin)("new", new_of_plugin, "lay out a plugin that works, with its tests")
    new.add_argument("plugin", metavar="NAME", help="of its kind and module, as falling_weight")
    new.add_argument(
        "--with",
        dest="parts",
        type=_parts,
        default=(),
        metavar="PART,...",
        help="what there is besides a kind, a reader of one file and an evaluation: pair (an export"
        " of two files), property (of studies), figure, page (of the report), command; or all",
    )
    place = new.add_mutually_exclusive_group()
    place.add_argument(
        "--to", type=Path, metavar="FOLDER", help="where to (default: a folder NAME here)"
    )
    place.add_argument(
        "--in-lab",
        action="store_true",
        help="as a file in the readers/ folder of the lab, with its tests in readers/tests/",
    )


def _parts(text: str) -> tuple[str, ...]:
    """Return the parts that are named; argparse tells what is wrong with them."""
    from tiecoat.extend.new_plugin import PARTS

    named = [one.strip() for one in text.split(",") if one.strip()]
    if named == ["all"]:
        return PARTS
    if unknown := [one for one in named if one not in PARTS]:
        known = ", ".join(PARTS)
        raise argparse.ArgumentTypeError(f"found {unknown[0]!r}; expected all, or some of {known}")
    return tuple(named)


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
        written = new_reader(options.plugin, lab.readers, options.parts)
        begin, tests = lab.readers, f"{lab.readers / 'tests'}"
    else:
        begin = options.to or Path(options.plugin)
        written = new_plugin(options.plugin, begin, options.parts)
        tests = str(begin)
    print(f"Laid out in {begin.absolute()}:")
    names = [len(str(path.relative_to(begin))) for path, _ in written]
    width = max(one for one in names if one <= WIDTH)
    for path, words in written:
        print(in_width(f"  {path.relative_to(begin)!s:<{width}}  {words}", width + 4))
    print("CHANGE marks in the code what is to become yours.")
    print("What to do next:")
    steps = [(f"pytest {tests}", "has the kit look at it (pip install pytest)")]
    if not options.in_lab:
        steps.append((f"pip install -e {begin}", "lets tiecoat load it"))
    elif not lab.settings.readers.folder:
        steps.append(("folder = true", f"under [readers] in {lab.root / 'tiecoat.toml'} allows it"))
    show_next(steps)
    return 0
