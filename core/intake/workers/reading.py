"""What a worker does with exports: recognise, read, check, validate, and send the rows back.

Pure of the lab: nothing is written, and what comes back can be pickled. Whatever a reader does,
short of killing the process, costs its own file only.
"""

from __future__ import annotations

import io
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import redirect_stderr, redirect_stdout, suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tiecoat.contract.companions import rules_of
from tiecoat.contract.measurement import CLAIMS_FROM
from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.disk.steps import reached
from tiecoat.errors import FileHeld, OriginalChanged, is_of_disk
from tiecoat.extend.blame import blame
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.preserve import checked
from tiecoat.intake.workers.answers import Chunk, Hold, Reading
from tiecoat.plugin import Claim, Kind, Reader
from tiecoat.reasons import FAULTS_KEPT, Fault, Reason
from tiecoat.wording import listed

if TYPE_CHECKING:
    from tiecoat.extend.loading import Plugins
    from tiecoat.intake.workers.gate import Piece
    from tiecoat.intake.workers.validating import Rows

EQUALLY_SURE = 0.05
PAUSES_S = (0.1, 0.4, 1.0, 2.0)  # between two tries to read what the disk refuses


@dataclass
class _FileRead:
    """One file while it is read."""

    given: ExportFile
    export: Export
    claims: list[tuple[str, float, str]] = field(default_factory=list)
    reader: Reader | None = None
    pieces: list[Piece] = field(default_factory=list)
    hold: Hold | None = None
    unread: str = ""  # why the disk does not give it at the moment

    @property
    def reader_label(self) -> str | None:
        return f"{self.reader.name} {self.reader.version}" if self.reader else None

    def begin_anew(self) -> None:
        """Forget what was read so far."""
        self.export = export_of(self.given, self.export.habits)
        self.claims, self.reader, self.pieces = [], None, []

    def next_measurement(self) -> str:
        again = f"-{self.given.again + 1}" if self.given.again else ""
        return f"{self.given.sha256[:16]}-{len(self.pieces) + 1:04d}{again}"

    def reading(self) -> Reading:
        keys = () if self.hold else tuple(piece.keys for piece in self.pieces)
        lines: tuple[str, ...] = ()
        with suppress(OSError):  # without them a hold says enough
            lines = tuple(self.export.first_lines()) if self.hold else ()
        claims = tuple(sorted(self.claims, key=lambda claim: -claim[1]))
        return Reading(self.given.sha256, self.reader_label, claims, keys, self.hold, lines)


class _Refused(Exception):
    """Not an error: it carries a hold out of the steps."""

    def __init__(self, hold: Hold) -> None:
        super().__init__(hold)
        self.hold = hold


class _Nowhere(io.TextIOBase):
    """Where the prints of readers go: the worker's own streams belong to the service."""

    def write(self, text: str) -> int:
        return len(text)


def read_chunk(given: Sequence[ExportFile], plugins: Plugins, habits: Habits) -> Chunk:
    """Recognise, read and validate files together; each is read or held on its own.

    Parameters
    ----------
    given
        Files that are there and do not change.
    plugins
        The readers and kinds.
    habits
        What the lab does where a file leaves it open.
    """
    files = [_FileRead(one, export_of(one, habits)) for one in given]
    nowhere = _Nowhere()
    with redirect_stdout(nowhere), redirect_stderr(nowhere):
        for file in files:
            try:
                _read_patiently(file, plugins)
            except _Refused as refused:
                file.hold, file.pieces = refused.hold, []
            except OriginalChanged as refused:
                file.unread, file.pieces = str(refused), []
            reached("read")
        tables = _validate(files)
        reached("validated")
    readings = tuple(file.reading() for file in files if not file.unread)
    return Chunk(readings, tables, {one.given.sha256: one.unread for one in files if one.unread})


def export_of(file: ExportFile, habits: Habits) -> Export:
    """Return a file as readers see it."""
    return Export(file.main, file.name, file.folder, habits, file.notes, beside=file.companions)


def _read_patiently(file: _FileRead, plugins: Plugins) -> None:
    """Read a file, again if need be: what the disk refuses is no fault of file or reader.

    Raises
    ------
    OriginalChanged
        If the disk goes on refusing.
    """
    for pause_s in PAUSES_S:
        try:
            _read(file, plugins)
        except OSError as error:
            if not _is_of_disk(error, file.given):
                raise
        else:
            return
        time.sleep(pause_s)
        file.begin_anew()
    checked(file.given.path, file.given.sha256)  # else it is no fault of file or reader either
    try:
        _read(file, plugins)
    except OSError as error:
        raise _Refused(Hold(Reason.READER_FAILED.code, detail=blame(error))) from error


def _is_of_disk(error: BaseException, file: ExportFile) -> bool:
    """Say whether the system refused to read the export, and not what a reader has beside it."""
    named = getattr(error, "filename", None)
    ours = {str(file.path), str(file.main), str(file.notes), *map(str, file.companions)}
    return is_of_disk(error) and (named is None or named in ours)


def _read(file: _FileRead, plugins: Plugins) -> None:
    """Fill in the claims, the reader and the pieces of a file."""
    if file.export.size == 0:
        raise _Refused(_hold_for((Fault(Reason.EMPTY_FILE),)))
    claimed = _claims(file, plugins)
    _check_together(file, claimed)
    file.reader = _winner(file, claimed, plugins)
    _check_complete(file)
    plugins.hand(file.export, file.reader)
    reached("recognised")
    try:
        _read_pieces(file, plugins.kinds)
        file.export.tell_unread()
    except FileHeld as held:
        raise _Refused(_hold_of(file.export, held)) from None
    if file.export.faults:
        raise _Refused(_hold_for(file.export.faults, file.export.fault_count))
    if not file.pieces:
        raise _Refused(_hold_for((Fault(Reason.EMPTY_TABLE),)))


def _claims(file: _FileRead, plugins: Plugins) -> list[tuple[float, Reader]]:
    """Ask every reader; return those that claim the file, surest first."""
    claimed: list[tuple[float, Reader]] = []
    rank = -1
    for reader in sorted(plugins.readers.values(), key=plugins.rank):
        if claimed and plugins.rank(reader) > rank:
            break
        rank = plugins.rank(reader)
        plugins.hand(file.export, reader)
        try:
            claim = reader.recognise(file.export)
            sure, why = _checked(claim)
        except MemoryError:
            raise _Refused(_out_of_memory(reader)) from None
        except FileHeld as held:
            sure, why = 0.0, held.faults[0].sentence if held.faults else held.reason.text
        except KeyboardInterrupt:
            raise
        except BaseException as error:  # a stranger's code; it counts as no
            if _is_of_disk(error, file.given):
                raise
            sure, why = 0.0, blame(error, reader.recognise)
        file.claims.append((reader.name, sure, why))
        if sure >= CLAIMS_FROM:
            claimed.append((sure, reader))
    return sorted(claimed, key=lambda pair: -pair[0])


def _checked(claim: object) -> tuple[float, str]:
    if claim is None:
        return 0.0, "no"
    if not isinstance(claim, Claim):
        raise TypeError(f"recognise returned {type(claim).__name__}; expected a Claim or None")
    if not isinstance(claim.sure, float | int) or not 0 <= claim.sure <= 1:
        raise ValueError(f"recognise is {claim.sure!r} sure; expected 0 to 1")
    return float(claim.sure), str(claim.why)


def _winner(file: _FileRead, claimed: Sequence[tuple[float, Reader]], plugins: Plugins) -> Reader:
    if not claimed:
        raise _Refused(_hold_of_companion(file, plugins) or _hold_of_unknown(file.export))
    best = claimed[0][0]
    equal = [(sure, reader) for sure, reader in claimed if best - sure <= EQUALLY_SURE + 1e-9]
    if len(equal) > 1:
        named = ", ".join(f"{reader.name} ({sure:g})" for sure, reader in equal)
        raise _Refused(Hold(Reason.SEVERAL_READERS.code, detail=named))
    return equal[0][1]


def _check_together(file: _FileRead, claimed: Sequence[tuple[float, Reader]]) -> None:
    """Refuse files that lie together by their names, if the reader that wins takes them not so."""
    names, main = [*file.export.companions], file.export.name
    if names and not any(_takes(reader, main, names) for _, reader in claimed[:1]):
        said = f"no reader takes it together with {listed(names, ' and ')}"
        raise _Refused(Hold(Reason.NO_READER.code, detail=said, apart=True))


def _takes(reader: Reader, main: str, names: Sequence[str]) -> bool:
    return any(all(rule.fits(name, main) for name in names) for rule in rules_of([reader]))


def _hold_of_companion(file: _FileRead, plugins: Plugins) -> Hold | None:
    """Say of a file that nobody knows that it seems to be a companion, if it does."""
    for reader in plugins.readers.values():
        for rule in rules_of([reader]):
            if rule.could_belong(file.export.name, in_folder=bool(file.export.folder)):
                expected = f"a file {rule.main} that it belongs to, for the reader {reader.name}"
                return _hold_for((Fault(Reason.COMPANION_MISSING, expected=expected),))
    return None


def _check_complete(file: _FileRead) -> None:
    """Refuse an export that lacks what its reader needs beside it."""
    assert file.reader is not None
    names, main = [*file.export.companions], file.export.name
    for rule in rules_of([file.reader]):
        if lacking := rule.lacking(main, names):
            found = listed(names, " and ") if names else "no file with it"
            expected = [f"a file {one} in the same folder" for one in lacking]
            faults = [Fault(Reason.COMPANION_MISSING, found=found, expected=e) for e in expected]
            raise _Refused(_hold_for(faults))


def _hold_of_unknown(export: Export) -> Hold:
    """Say what ails the file itself, if anything does; else that no reader knows it."""
    if export.is_picture:  # no text, and no workbook either
        return Hold(Reason.NO_READER.code)
    try:
        export.sheets()
    except FileHeld as held:
        return _hold_of(export, held)
    return Hold(Reason.NO_READER.code)


def _read_pieces(file: _FileRead, kinds: Mapping[str, Kind]) -> None:
    from tiecoat.intake.workers.gate import BrokenRule, check

    reader = file.reader
    assert reader is not None
    try:
        for measurement in reader.read(file.export):
            piece = check(measurement, reader.kind, kinds, file.next_measurement())
            _check_rows(file.export, piece)
            if piece.is_empty:
                keys = piece.keys
                file.export.fault(Reason.EMPTY_TABLE, row=keys.row, sheet=keys.sheet)
            else:
                file.pieces.append(piece)
    except FileHeld:
        raise
    except MemoryError:
        file.pieces.clear()
        raise _Refused(_out_of_memory(reader)) from None
    except BrokenRule as broken:
        said = f"{file.reader_label}: {broken}"
        raise _Refused(Hold(Reason.READER_BROKE_RULES.code, detail=said)) from None
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        if _is_of_disk(error, file.given):
            raise
        said = f"{file.reader_label}: {blame(error, reader.read)}"
        raise _Refused(Hold(Reason.READER_FAILED.code, detail=said)) from error


def _check_rows(export: Export, piece: Piece) -> None:
    """Raise where a row number is beyond the end of the file: no value can have come from there."""
    from tiecoat.intake.workers.gate import BrokenRule

    highest = int(piece.rows.max()) if len(piece.rows) else 0
    if highest <= export.head.count(b"\n") and not export.is_workbook:
        return  # the quick way: the head has as many lines
    if highest > (last := export.last_row(piece.keys.sheet)):
        of_another = export.companions and piece.keys.sheet is None
        name = "; rows of a companion name it: sheet=export.companion(...).name"
        said = f"rows holds {highest}; the file ends at row {last}"
        raise BrokenRule(said + (name if of_another else ""))


def _out_of_memory(reader: Reader) -> Hold:
    return Hold(Reason.READER_OUT_OF_MEMORY.code, detail=f"{reader.name} {reader.version}")


def _hold_of(export: Export, held: FileHeld) -> Hold:
    """Return the hold for what was raised, together with what had been noted before."""
    noted = list(export.faults)
    faults = noted + [fault for fault in held.faults if fault not in noted]
    total = max(held.total, export.fault_count + len(faults) - len(noted))
    return _hold_for(faults or [Fault(held.reason)], total, held.reason)


def _hold_for(faults: Sequence[Fault], total: int = 0, reason: Reason | None = None) -> Hold:
    records = tuple(fault.as_record() for fault in faults[:FAULTS_KEPT])
    return Hold((reason or faults[0].reason).code, records, max(total, len(faults)))


def _validate(files: Sequence[_FileRead]) -> dict[str, bytes]:
    """Hold the files with faults and return the rows of the others, as IPC streams by kind."""
    from tiecoat.intake.workers.sending import stream
    from tiecoat.intake.workers.validating import validate

    done = []
    faults: dict[int, list[Fault]] = {}
    for rows in _rows_by_kind(files):
        completed, found, broken = validate(rows)
        done.append(completed)
        for n, of_file in found.items():
            faults.setdefault(n, []).extend(of_file)
        for n, (reason, said) in broken.items():
            files[n].hold = Hold(reason.code, detail=said)
    for n, of_file in faults.items():
        if files[n].hold is None:
            files[n].hold = _hold_for(of_file)
    held = [n for n, file in enumerate(files) if file.hold]
    streams = {rows.kind.name: stream(rows, held) for rows in done}
    return {name: sent for name, sent in streams.items() if sent is not None}


def _rows_by_kind(files: Sequence[_FileRead]) -> Iterator[Rows]:
    from tiecoat.intake.workers.validating import RowSource, assemble

    grouped: dict[str, list[tuple[Piece, RowSource]]] = {}
    for n, file in enumerate(files):
        source = RowSource(n, file.given.sha256, file.given.name, file.reader_label or "")
        for piece in file.pieces:
            grouped.setdefault(piece.kind.name, []).append((piece, source))
    for found in grouped.values():
        pieces, sources = zip(*found, strict=True)
        yield assemble(pieces[0].kind, pieces, sources)
