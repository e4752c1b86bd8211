"""The originals beside the page, for a reader who has no access to the lab.

One that holds measurements of other batches too, which may be another customer's, stays in the lab.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote

from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.inboxes.preserve import checked, original_of
from tiecoat.lab.settings import Lab
from tiecoat.report.origins import Origin

ORIGINALS = "originals"
SHORT = 16  # digits of the hash that name a folder


def original_links(origins: Iterable[Origin]) -> dict[str, str]:
    """Return where the page finds each original, by its SHA-256."""
    return {one.sha256: "/".join(map(quote, _place(one))) for one in origins}


def _place(origin: Origin) -> tuple[str, str, str]:
    return ORIGINALS, origin.sha256[:SHORT], origin.name


def copy_originals(lab: Lab, origins: Iterable[Origin], folder: Path) -> None:
    """Copy originals to where the page looks for them; each is checked against its hash.

    Raises
    ------
    ArchiveDamaged
        If one is not there, or is not what was filed (`OriginalChanged`).
    """
    for one in origins:
        original = original_of(lab, one.sha256)
        if original is None:
            raise ArchiveDamaged(f"the original {one.sha256} is not there; see: tiecoat verify")
        original = checked(original, one.sha256)
        target = folder.joinpath(*_place(one))
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(fsio.main_of(original).read_bytes())
        for path in fsio.paths_in(original) if fsio.is_folder(original) else ():
            if path != fsio.main_of(original):
                (target.parent / path.name).write_bytes(path.read_bytes())
