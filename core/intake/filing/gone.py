"""Exports of a kind whose plugin is gone: they must not be taken for something else.

Without its plugin nobody knows an export of the kind, and the reader of tables may find in it what
it takes for a register or another kind. It looks like those that were filed, though: its words are
the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cached_property

from tiecoat.archive.index.cache import Index
from tiecoat.dialect.export import Export
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Fault, Reason
from tiecoat.wording import counted

LOOKED_AT = 5  # measurements of a kind whose exports are compared
LINES = 30  # at the beginning of a file
ALIKE = 0.6  # of the words of both, that both must have
_CELL = re.compile(r"[;,\t|:=]")
_NOT_LETTERS = re.compile(r"[\W\d_]+")


class GoneKinds:
    """Knows exports of kinds that have tables here and no plugin any more.

    Parameters
    ----------
    kinds
        These kinds.
    """

    def __init__(self, lab: Lab, index: Index, kinds: Iterable[str]) -> None:
        self._lab = lab
        self._index = index
        self._kinds = tuple(kinds)

    def fault(self, file: ExportFile, reader: str | None) -> Fault | None:
        """Say of which of them an export seems to be; None where its own reader has read it."""
        if not self._kinds:
            return None
        from tiecoat.tabular.reader import NAME  # the workers have need of it, a command has not

        if reader is not None and reader.rpartition(" ")[0] != NAME:
            return None
        own = _words(Export(file.path, file.name))
        for kind, every in self._known.items():
            if any(own and len(own & one) >= ALIKE * len(own | one) for one in every):
                tables = counted(len(self._index.tables(kind)), "table")
                found = f"the words of the files that were filed as {kind} ({tables})"
                expected = f"the plugin that brings kind {kind!r}"
                return Fault(Reason.KIND_GONE, found=found, expected=expected)
        return None

    @cached_property
    def _known(self) -> Mapping[str, list[frozenset[str]]]:
        found: dict[str, list[frozenset[str]]] = {}
        for kind in self._kinds:
            filed = self._index.measurements(kind=kind, limit=LOOKED_AT)
            for sha256 in dict.fromkeys(one.source_sha256 for one in filed):
                if path := original_of(self._lab, sha256):
                    found.setdefault(kind, []).append(_words(Export(path, path.name)))
        return found


def _words(export: Export) -> frozenset[str]:
    """Return what stands in the cells at the beginning of a text, without digits and signs."""
    lines = [] if export.is_workbook else export.first_lines(LINES)
    cells = (_NOT_LETTERS.sub(" ", cell).strip() for line in lines for cell in _CELL.split(line))
    return frozenset(cell.casefold() for cell in cells if len(cell) > 1)
