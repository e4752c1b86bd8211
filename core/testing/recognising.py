"""Do the readers claim what is theirs, and nothing else?"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator

from tiecoat.contract.measurement import CLAIMS_FROM
from tiecoat.errors import FileHeld
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.reading import export_of
from tiecoat.reasons import Reason
from tiecoat.testing.examples import ExampleExport
from tiecoat.testing.other_exports import OTHERS
from tiecoat.testing.workbench import WasRead, Workbench

BLAMED = re.compile(r"\(\S+, line \d+\)$")  # how the place of what was raised is told


def own_are_recognised(bench: Workbench) -> Iterator[str]:
    """Each example is claimed by one reader of the plugin, where it has readers."""
    own = {reader.name for reader in bench.readers}
    for example in bench.good:
        was = bench.was[example.sha256]
        claims = {name: (sure, why) for name, sure, why in was.reading.claims}
        for name in sorted(own & claims.keys()):
            sure, why = claims[name]
            if BLAMED.search(why):
                yield f"{name}: recognise breaks down on {example.name}: {why}"
            elif sure >= CLAIMS_FROM and not why.strip():
                yield f"{name} claims {example.name} and does not say why"
        if was.hold and was.hold.reason == Reason.SEVERAL_READERS.code:
            yield f"{example.name} is claimed by several readers, equally sure: {was.hold.detail}"
        elif was.hold and was.hold.reason == Reason.NO_READER.code:
            yield f"{example.name} is claimed by no reader; {_told(was)}"
        elif own and was.reader and was.reader not in own:
            yield f"{example.name} is read by {was.reader}, not by the plugin; {_told(was)}"
        elif was.reader in own and not was.blames_plugin:
            yield from _noted(bench, example, was.reader or "")


def _told(was: WasRead) -> str:
    told = [f"{name} is {sure:g} sure ({why})" for name, sure, why in was.reading.claims[:4]]
    return f"of its readers {', '.join(told)}" if told else "nobody was asked"


def _noted(bench: Workbench, example: ExampleExport, name: str) -> Iterator[str]:
    """Tell of faults that are noted by recognising alone: they would hold the file."""
    export = export_of(example.file, bench.lab.habits)
    reader = bench.plugins.readers[name]
    bench.plugins.hand(export, reader)
    try:
        reader.recognise(export)
    except FileHeld:
        return
    for fault in export.faults:
        yield (
            f"{name}: recognise notes a fault in {example.name} ({fault.sentence}), which holds the"
            " file whoever reads it; ask export.missing there, and export.tables in read"
        )


def others_are_left_alone(bench: Workbench) -> Iterator[str]:
    """What other instruments and people write is no reader's of the plugin."""
    own = {reader.name: reader.kind for reader in bench.readers}
    for name, (kind, content) in OTHERS.items():
        place = bench.place / "others" / name
        place.parent.mkdir(exist_ok=True)
        place.write_bytes(content)
        sha256 = hashlib.sha256(content).hexdigest()
        was = bench.read(ExportFile(place, name, "", sha256))
        if not was.reading.claims and was.blames_plugin:
            yield f"{name}, which is another's, is held because of the plugin: {was.told}"
        for reader, sure, why in was.reading.claims:
            if reader not in own or own[reader] == kind:
                continue
            if BLAMED.search(why):
                yield f"{reader}: recognise breaks down on {name}: {why}; None is a plain no"
            elif sure >= CLAIMS_FROM:
                what = f"an export of {kind}" if kind else "no export of its kind"
                yield f"{reader} claims {name}, {what}: {sure:g} sure ({why}); ask for more"
