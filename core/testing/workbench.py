"""Where plugins are tried: a lab of their own, its workers, and what became of the examples."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from tiecoat.compare.offered import with_offered
from tiecoat.disk import fsio
from tiecoat.errors import PluginNotLoaded, TiecoatError
from tiecoat.extend.loading import (
    BroughtCommands,
    Evaluations,
    Plugins,
    ReportParts,
    load_commands,
    load_evaluations,
    load_plugins,
    load_report_parts,
)
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.notes import notes_beside
from tiecoat.intake.intake import by_file
from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import take
from tiecoat.intake.trying import held_with
from tiecoat.intake.workers.answers import Hold, Reading
from tiecoat.intake.workers.pool import ReaderPool, failure_of
from tiecoat.lab.new_lab import new_lab
from tiecoat.plugin import (
    Evaluation,
    Kind,
    LabCommand,
    Reader,
    StudyCourse,
    StudyFigure,
    StudyPage,
)
from tiecoat.reasons import Fault, Reason
from tiecoat.testing.conformance import Conformance
from tiecoat.testing.damage import ExportText, ExportVariant, variants_of
from tiecoat.testing.examples import ExampleExport, examples_in
from tiecoat.testing.installed import (
    PYPROJECT,
    as_if_installed,
    modules_left_out,
    modules_not_packed,
)
from tiecoat.testing.rows_told import RowTold, beyond, rows_of

if TYPE_CHECKING:
    from tiecoat.intake.held.files import Held
    from tiecoat.lab.settings import Lab

WORKERS = "[readers]\nfolder = true\nprocesses = 1\n"
OF_THE_PLUGIN = (  # reasons for which whoever wrote the plugin is to blame, and not the file
    Reason.READER_FAILED,
    Reason.READER_TOO_SLOW,
    Reason.READER_DIED,
    Reason.READER_OUT_OF_MEMORY,
    Reason.READER_BROKE_RULES,
)


@dataclass(frozen=True)
class WasRead:
    """What became of a file in a worker: its rows, or why it is held."""

    reading: Reading
    rows: tuple[RowTold, ...] = ()

    @property
    def hold(self) -> Hold | None:
        """Why there are no rows."""
        return self.reading.hold

    @property
    def reader(self) -> str | None:
        """The name of the reader that won."""
        label = self.reading.reader
        return label.rpartition(" ")[0] if label else None

    @property
    def blames_plugin(self) -> bool:
        """Whether it is held for something that no export may bring a reader to do."""
        return self.hold is not None and Reason.of(self.hold.reason) in OF_THE_PLUGIN

    @property
    def told(self) -> str:
        """What a technician is told, in one line."""
        if self.hold is None:
            return f"{len(self.rows)} rows would be filed"
        faults = [Fault.from_record(record).sentence for record in self.hold.faults]
        if self.hold.reason == Reason.NO_READER.code:
            near = [(name, why) for name, sure, why in self.reading.claims if sure > 0]
            faults = [f"likeliest is {name}: {why}" for name, why in near[:1]]
        more = "; ".join([*faults[:2], *([self.hold.detail] if self.hold.detail else [])])
        text = Reason.of(self.hold.reason).text
        return f"{text} ({more})" if more and more != text else text


@dataclass
class Workbench:
    """A lab with the plugins to be tried, and what is theirs.

    `sources` are the beginnings of how the loading names what they bring.
    """

    asked: Conformance
    lab: Lab
    place: Path
    sources: Sequence[str]
    pool: ReaderPool
    made: int = field(default=0)
    first_runs: dict[str, str] = field(default_factory=dict)  # evaluation -> what it changed then
    _astray: dict[str, tuple[int, str] | None] = field(default_factory=dict)

    @cached_property
    def plugins(self) -> Plugins:
        """All readers and kinds, those that are tried among them."""
        return load_plugins(self.lab.own_readers, self.lab.reading)

    @cached_property
    def _evaluations(self) -> Evaluations:
        return load_evaluations(self.lab.own_readers)

    @cached_property
    def _parts(self) -> ReportParts:
        return load_report_parts(self.lab.own_readers)

    @cached_property
    def _commands(self) -> BroughtCommands:
        return load_commands(self.lab.own_readers)

    def load(self) -> None:
        """Load all that there is, here and in the workers at the same time."""
        self.pool.begin()
        self.problems  # noqa: B018 - it is kept
        self.pool.load()

    @cached_property
    def problems(self) -> list[str]:
        """What was left out of what they bring."""
        lists = (self.plugins, self._evaluations, self._parts, self._commands)
        all_of = [problem for one in lists for problem in one.problems]
        told = [one for one in all_of if any(source in one for source in self.sources)]
        return [*told, *with_offered(self.evaluations).problems]

    @cached_property
    def unnamed(self) -> list[str]:
        """The files with hooks in packages that are tried that no entry point names."""
        return [place for one in self._packages for place in modules_left_out(one)]

    @property
    def not_packed(self) -> list[str]:
        """The modules that packages that are tried need, and leave out once they are built."""
        return [name for one in self._packages for name in modules_not_packed(one)]

    @property
    def _packages(self) -> list[Path]:
        found = [one for one in self.asked.plugins if isinstance(one, Path)]
        return [one for one in found if fsio.is_file(one / PYPROJECT)]

    def _is_own(self, where: str) -> bool:
        return where.startswith(tuple(self.sources))

    @cached_property
    def kinds(self) -> list[Kind]:
        """The kinds that are tried."""
        found, told = self.plugins.kinds, self.plugins.sources
        return [kind for name, kind in found.items() if self._is_own(told["kind", name])]

    @cached_property
    def readers(self) -> list[Reader]:
        """The readers that are tried."""
        found, told = self.plugins.readers, self.plugins.sources
        return [reader for name, reader in found.items() if self._is_own(told["reader", name])]

    @cached_property
    def evaluations(self) -> list[Evaluation]:
        """The evaluations that are tried."""
        found = self._evaluations
        return [one for name, one in found.evaluations.items() if self._is_own(found.sources[name])]

    @cached_property
    def figures(self) -> list[StudyFigure | StudyCourse]:
        """The figures that are tried."""
        found, told = self._parts.figures, self._parts.sources
        return [one for name, one in found.items() if self._is_own(told["figure", name])]

    @cached_property
    def pages(self) -> list[StudyPage]:
        """The pages that are tried."""
        found, told = self._parts.pages, self._parts.sources
        return [one for name, one in found.items() if self._is_own(told["page", name])]

    @cached_property
    def commands(self) -> list[LabCommand]:
        """The commands that are tried."""
        found, told = self._commands.commands, self._commands.sources
        return [one for name, one in found.items() if self._is_own(told[name])]

    @cached_property
    def examples(self) -> list[ExampleExport]:
        """All example exports, broken ones too."""
        return examples_in(self.asked.exports) if self.asked.exports else []

    @cached_property
    def good(self) -> list[ExampleExport]:
        """Those that must be filed."""
        return [one for one in self.examples if not one.broken]

    @cached_property
    def was(self) -> Mapping[str, WasRead]:
        """SHA-256 of each example -> what became of it the first time, in the order of names."""
        return {one.sha256: self.read(one.file) for one in self.examples}

    @cached_property
    def sound(self) -> list[ExampleExport]:
        """The good ones that are read: only of these can be asked whether they always are."""
        return [one for one in self.good if self.was[one.sha256].hold is None]

    def rows(self, example: ExampleExport) -> tuple[RowTold, ...]:
        """Return what was read of an example the first time."""
        return self.was[example.sha256].rows

    def read(self, file: ExportFile) -> WasRead:
        """Have a worker read a file as intake would."""
        return self.read_together([file])[0]

    def read_together(self, files: Sequence[ExportFile]) -> list[WasRead]:
        """Have a worker read files at once, as intake does when many wait."""
        future = self.pool.submit(files)
        if failure := failure_of(future):
            if len(files) > 1:  # one of them did it
                return [self.read(file) for file in files]
            return [WasRead(Reading(files[0].sha256, None, (), (), failure))]
        chunk = future.result()
        if chunk.changed:
            raise TiecoatError("; ".join(chunk.changed.values()))
        tables = by_file(chunk)
        return [WasRead(one, _rows(one, tables.get(one.sha256, {}))) for one in chunk.readings]

    def variant(
        self,
        example: ExampleExport,
        content: bytes,
        name: str = "",
        of: str = "",
    ) -> ExportFile:
        """Write an export that is like an example but for its content, or that `of` a companion."""
        self.made += 1
        folder = self.place / "variants" / str(self.made)
        folder.mkdir(parents=True)
        copy = copied(example, folder, name or example.name)
        (copy.path / of if of else copy.main).write_bytes(content)
        return replace(copy, sha256=fsio.sha256_of(copy.path))

    def would_hold(self, file: ExportFile) -> Held | None:
        """Return why intake would hold a file, behind the workers too; None if it would file it."""
        return held_with(self.lab, file.path, file.name, file.folder, self.plugins)

    @cached_property
    def damaged(self) -> list[tuple[ExampleExport, ExportVariant, WasRead]]:
        """What becomes of each variant of each example that can be read."""
        found = []
        for example in self.sound:
            for variant in self._damaged_of(example):
                found.append((example, variant, self.read(self.damaged_file(example, variant))))
        return found

    def _damaged_of(self, example: ExampleExport) -> Iterator[ExportVariant]:
        """Yield the variants of each of its files."""
        for of, content in example.contents.items():
            for variant in variants_of(content, self.lines_with_rows(example, of)):
                if variant.content not in (b"", content):
                    told = f"with its {of} {variant.what}" if of else variant.what
                    yield replace(variant, what=told, of=of)

    def lines_with_rows(self, example: ExampleExport, of: str = "") -> set[int]:
        """Return the lines of its main file, or of a companion, that rows were read from."""
        if not of and self.astray(example):
            return set()
        return self._lines_told(example, of)

    def _lines_told(self, example: ExampleExport, of: str) -> set[int]:
        rows = self.rows(example)
        return {row.row for row in rows if row.row is not None and row.stands_in(of)}

    def astray(self, example: ExampleExport) -> tuple[int, str] | None:
        """Return a row that is told as one of the main file, and the companion that it stands in.

        It follows the numbers in that line of the companion, and not those of the main file.
        """
        if example.sha256 not in self._astray:
            self._astray[example.sha256] = self._astray_row(example)
        return self._astray[example.sha256]

    def _astray_row(self, example: ExampleExport) -> tuple[int, str] | None:
        for row in sorted(self._lines_told(example, ""))[:1]:
            for path in example.file.companions:
                if self._follows(example, row, path.name) and not self._follows(example, row, ""):
                    return row, path.name
        return None

    def _follows(self, example: ExampleExport, row: int, of: str) -> bool:
        """Tell whether a row of no sheet, and no other, follows the numbers in a line of a file."""
        text = ExportText.of(example.contents[of])
        for content in text.other_numbers(row) if text else ():
            was = self.read(self.variant(example, content, of=of))
            new = beyond(was.rows, self.rows(example)) if was.hold is None else []
            if new and all(one.row == row and one.stands_in("") for one in new):
                return True
        return False

    def damaged_file(
        self, example: ExampleExport, variant: ExportVariant, name: str = ""
    ) -> ExportFile:
        """Write an example with one of its files damaged or changed."""
        return self.variant(example, variant.content, name, variant.of)

    @cached_property
    def taken_in(self) -> Mapping[str, Outcome]:
        """File name -> what `tiecoat take` made of each example that can be read."""
        outcomes: list[Outcome] = []
        place = self.place / "arrived"
        paths = []
        for one in self.sound:
            folder = place / one.path.parent.relative_to(self.asked.exports or place)
            folder.mkdir(parents=True, exist_ok=True)
            paths.append(copied(one, folder, one.name).main)
        if paths:
            take(self.lab, paths, Teller(lambda line: None, outcomes.append))
        return {one.name: one for one in outcomes}


def copied(example: ExampleExport, folder: Path, name: str) -> ExportFile:
    """Copy an example into a folder, with its notes and companions, and return the copy."""
    copy = replace(example.file, path=folder / name, name=name)
    fsio.copy_original(example.path, copy.path)
    if copy.main != copy.path:
        (copy.path / example.name).rename(copy.main)
    if example.file.notes is None:
        return copy
    notes = notes_beside(copy.main)
    if copy.main == copy.path:
        shutil.copyfile(example.file.notes, notes)
    return replace(copy, notes=notes)


def _rows(reading: Reading, tables: Mapping[str, object]) -> tuple[RowTold, ...]:
    keys = {one.measurement: one for one in reading.keys}
    return tuple(row for kind, rows in tables.items() for row in rows_of(kind, rows, keys))


@contextmanager
def workbench(asked: Conformance) -> Iterator[Workbench]:
    """Lay out a lab with the plugins, and have its workers ready.

    Raises
    ------
    PluginNotLoaded
        If a plugin is not there.
    SettingInvalid
        If the settings are not allowed.
    """
    with ExitStack() as until_done:
        place = Path(until_done.enter_context(TemporaryDirectory(prefix="tiecoat-")))
        lab = new_lab(place / "lab", _settings(asked.settings))
        sources = []
        for one in asked.plugins:
            if isinstance(one, str):
                sources.append(f"{one} of ")
            elif fsio.is_file(one / PYPROJECT):
                sources += until_done.enter_context(as_if_installed(one))
            elif fsio.is_file(one):
                sources.append(str(shutil.copyfile(one, lab.readers / one.name)))
            else:
                raise PluginNotLoaded(
                    f"{one} is neither a file nor a folder with a {PYPROJECT}; expected the folder"
                    " of a package, or a .py or .toml as it lies in readers/"
                )
        pool = until_done.enter_context(ReaderPool(lab))
        yield Workbench(asked, lab, place, sources, pool)


def _settings(text: str) -> str:
    """Return settings with what the trial needs, where they do not say it."""
    told = tomllib.loads(text)
    needed = {"readers": WORKERS, "intake": "[intake]\nfree_mb = 0\n"}
    return "\n".join([text, *(lines for name, lines in needed.items() if name not in told)])
