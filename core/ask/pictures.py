"""Pictures as they were filed, each handed once more to the reader that read it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias, TypeVar

from tiecoat.archive.journal.records import Journal
from tiecoat.disk import fsio
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.notes import latest_notes, notes_named
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.intake.workers.pool import ReaderPool, failure_of
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Reason
from tiecoat.rebuild.history import FiledExport, history

if TYPE_CHECKING:
    from concurrent.futures import Future

T = TypeVar("T")
AskReader: TypeAlias = Callable[[ReaderPool, ExportFile, str], "Future[T]"]

AHEAD = 4  # pictures on their way in the workers, so that memory stays bounded


@dataclass(frozen=True)
class FiledPicture:
    """A picture, as the archive knows it."""

    name: str
    sha256: str
    kind: str
    batch: str
    measurement: str
    reader: str

    @classmethod
    def of(cls, row: Mapping[Hashable, object], kind: str = "") -> FiledPicture:
        """Return it from a row of the archive; of a table of one kind `kind` says which."""
        return cls(
            str(row["source_name"]),
            str(row["source_sha256"]),
            kind or str(row["kind"]),
            str(row["batch"]),
            str(row["measurement"]),
            str(row["reader"]),
        )


def is_there(lab: Lab, one: FiledPicture) -> bool:
    """Say whether it is a picture; one whose original is gone counts, so that this can be told."""
    from tiecoat.dialect.export import Export

    original = original_of(lab, one.sha256)
    return original is None or Export(fsio.main_of(original), one.name).is_picture


def asked(
    lab: Lab, wanted: Iterable[FiledPicture], ask: AskReader[T]
) -> Iterator[tuple[FiledPicture, T | str]]:
    """Yield each picture with what its reader answers, in their order, or with why it does not.

    Each is read as it was filed, with the folder and the notes of then, but by the reader and the
    settings of today.

    Parameters
    ----------
    ask
        Called with the workers, the picture and the reader, as "name version".
    """

    def answered(answer: Future[T] | str) -> T | str:
        if isinstance(answer, str):
            return answer
        if failure := failure_of(answer):
            return f"{Reason.of(failure.reason).text}: {failure.detail}"
        return answer.result()

    steps = history(Journal(lab))
    filed = {step.sha256: step for step in steps if isinstance(step, FiledExport)}
    with ReaderPool(lab) as pool:
        under_way: list[tuple[FiledPicture, Future[T] | str]] = []
        for one in wanted:
            original = original_of(lab, one.sha256)
            if original is None:
                under_way.append((one, f"its original ({one.sha256}) is not there"))
            else:
                file = _file(lab, one, original, filed.get(one.sha256))
                under_way.append((one, ask(pool, file, one.reader)))
            if len(under_way) >= AHEAD:
                first, answer = under_way.pop(0)
                yield first, answered(answer)
        for last, answer in under_way:
            yield last, answered(answer)


def _file(lab: Lab, wanted: FiledPicture, original: Path, filed: FiledExport | None) -> ExportFile:
    if filed is None:  # the journal is cut off or gone
        notes = latest_notes(lab, wanted.sha256)
        return ExportFile(original, wanted.name, "", wanted.sha256, notes)
    notes = notes_named(lab, wanted.sha256, filed.notes.name) if filed.notes else None
    return ExportFile(original, wanted.name, filed.folder, wanted.sha256, notes)
