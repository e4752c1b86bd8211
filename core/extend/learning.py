"""Teaching the layout of one file: what was said, what is open, the profile it becomes."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from tiecoat.contract.kind import Kind
from tiecoat.dialect.export import Export
from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.extend.former_profile import CLAIMED, former_of
from tiecoat.extend.loading import Plugins, load_plugins
from tiecoat.extend.profile_file import load_profile, reader_of_taught
from tiecoat.extend.profile_names import called_like, profile_name
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Fault
from tiecoat.tabular import learning
from tiecoat.tabular.answers import Scene, answered, meanings_of, roles_of
from tiecoat.tabular.attempts import BY_LOOK, BY_UNIT, TAUGHT, Attempt, Given
from tiecoat.tabular.column_places import places_of
from tiecoat.tabular.forms import PASS_OVER, Take
from tiecoat.tabular.guesses import rows_of_titles
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.naming import Named
from tiecoat.tabular.questions import Question
from tiecoat.tabular.reader import AnyTable, ids_of
from tiecoat.tabular.taught import TaughtTable, written
from tiecoat.tabular.teaching import Teaching
from tiecoat.tabular.told_lines import knows, looks_of
from tiecoat.tabular.words import EXACT, PARTLY
from tiecoat.wording import unit_told

_ROUNDS_AHEAD = 8  # of answers that are supposed, one each
_LETTERS = re.compile(r"[^\W\d_]{2}")
_WHY = {
    TAUGHT: "you said so",
    BY_LOOK: "ids of this lab look so",
    EXACT: "a word of the trade",
    PARTLY: "words of the trade in it",
    BY_UNIT: "its unit",
}


@dataclass
class LessonInWords(learning.Lesson):
    """A file as it is read with what was taught, in words."""

    def taken(self, found: Attempt) -> Iterator[tuple[str, str, str, str]]:
        """Return number and title of each column, what it is taken for, and why; then entries."""
        by_place: dict[int, list[Given]] = {}
        for given in (*found.given.values(), *found.spreads):
            if given.place is not None:
                by_place.setdefault(given.place, []).append(given)
        made = {place.raw for place in found.taught.places}
        numbers = itertools.count(1)
        for place, title in enumerate(found.titles):
            number = "" if title.raw in made else str(next(numbers))
            if givens := by_place.get(place):
                taken = ", ".join(_named(given) for given in givens)
                yield number, title.raw, taken, _WHY[givens[0].level]
            elif place in found.untaken:
                yield number, title.raw, "?", "no word of this kind"
            else:
                yield number, title.raw, "passed over", ""
        for given in found.given.values():
            if given.told is not None:
                value = (
                    f"{given.told.title.raw}: {given.told.value} {given.told.unit or ''}".rstrip()
                )
                yield "", value, _named(given), _WHY[given.level]
        for shown in dict.fromkeys(_unused(found)):
            yield "", shown, "passed over", ""

    def title_of(self, column: str | None) -> str | None:
        """Return the title or entry that gives a column of the kind; a title as it is."""
        for found in self.attempts:
            given = found.given.get(column or "")
            if given is not None and given.place is not None:
                return found.titles[given.place].raw
            if given is not None and given.told is not None:
                return given.told.title.raw
        return column

    def asked_by(self, faults: Sequence[Fault]) -> list[Question]:
        """Return what mends faults of rows that were read."""
        return learning.questions_of(faults, self.attempts)

    def units(self) -> dict[str, str]:
        """Return the unit of each column of the kind, as people are told it."""
        infos = self.attempts[0].lexicon.infos if self.attempts else {}
        return {name: unit_told(info.unit) for name, info in infos.items()}


def _leaves_out(take: Take) -> bool:
    """Tell whether nothing is filed of a column: it is passed over, or a mere number of the row."""
    return take.parts is None and take.role in (None, "number")


def _unused(found: Attempt) -> Iterator[str]:
    """Yield the entries that count for a table and that nothing is taken from."""
    if any(sight.records for sight in found.file.sheets_with(found.table)):
        return  # they are its rows
    given = [one.told for one in (*found.given.values(), *found.spreads) if one.told is not None]
    used = {(told.sheet, told.row, told.title.raw) for told in given}
    for told in found.file.entries_for(found.table):
        if (told.sheet, told.row, told.title.raw) not in used:
            yield f"{told.title.raw}: {told.value} {told.unit or ''}".rstrip()


def _named(given: Given) -> str:
    spread = given.role.spread
    if spread is None:
        return given.role.name
    told = [(name, f"{v:g}" if isinstance(v, float) else v) for name, v in given.keys]
    if not spread.key:
        return f"share of {told[0][1]}"
    return f"{spread.column} at {', '.join(f'{name} {shown}' for name, shown in told)}"


class Pupil:
    """Learns the layout of one file of a lab.

    Parameters
    ----------
    lab
        Gives ids, habits and kinds.
    path, name, folder
        Where the bytes are, what the file is called, the folder it arrived in.
    kind
        What it holds, where a person has said it.
    """

    def __init__(self, lab: Lab, path: Path, name: str, folder: str, kind: str | None) -> None:
        self._lab, self._path, self._name, self._folder = lab, path, name, folder
        if kind is not None and kind not in self.of_lab.kinds:
            known = ", ".join(sorted(self.of_lab.kinds))
            raise UnknownName(f"no kind {kind!r}; there are {known}")
        former = former_of(self.of_lab, lab.readers, self._export(path, name, folder))
        before = former.reader if former else None
        self.former = former if former and former.whole else None
        goes_on = before is not None and kind in (None, before.kind)
        self._kind = before.kind if before is not None and goes_on else kind
        self._taught = before.taught if before is not None and goes_on else Teaching()
        self._before = (self._taught, before.kind if before is not None else None)
        self._first = (self._taught, self._kind)

    def anew(self) -> Pupil:
        """Return who has been told nothing yet of the same file."""
        other = copy(self)
        other._taught, other._kind = self._first
        return other

    @cached_property
    def of_lab(self) -> Plugins:
        """The plugins of the lab."""
        settings = self._lab.settings
        return load_plugins(
            self._lab.readers,
            self._lab.reading,
            code=settings.readers.folder,
            words=settings.words,
        )

    @cached_property
    def _reader(self) -> AnyTable:
        return AnyTable(self.of_lab.kinds, self._lab.settings.words)

    def _export(self, path: Path, name: str, folder: str) -> Export:
        return Export(fsio.main_of(path), name, folder, self._lab.habits)

    def _likely(self) -> Lexicon | None:
        kind = self._kind or (found.name if (found := self.lesson().kind) else None)
        return next((each for each in self._reader.lexicons if each.kind.name == kind), None)

    def _lexicon(self) -> Lexicon:
        if (likely := self._likely()) is None:
            raise QueryInvalid("say first what the file holds: --kind KIND")
        return likely

    def _lexicons_for(self, key: str) -> list[Lexicon]:
        """Return the kinds that an answer may be of, the likeliest first.

        Where nobody has said the kind, the name of a field may say it; a unit or a sign does not.
        """
        if self._kind is not None or key.partition(":")[0] in ("unit", "sign"):
            return [self._lexicon()]
        others = [each for each in self._reader.lexicons if knows(each, self._taught)]
        likely = self._likely()
        return others if likely is None else [likely, *others]

    def answer(self, key: str, value: str) -> None:
        """Take an answer.

        Raises
        ------
        QueryInvalid
            If there is no such question, or the answer is none.
        """
        if key == "kind":
            if value not in {each.kind.name for each in self._reader.lexicons}:
                names = ", ".join(each.kind.name for each in self._reader.lexicons)
                raise QueryInvalid(f"kind {value!r}: there are {names}")
            self._kind = value
            return
        if key in ("line", "lines") and self._taught.lines == self._before[0].lines:
            self._taught = replace(self._taught, lines=())  # those of the former profile
        wrong: list[ValueError] = []
        scene = self._scene()
        for lexicon in self._lexicons_for(key):
            try:
                self._taught = answered(self._taught, lexicon, key, value, scene)
            except ValueError as error:
                wrong.append(error)
            else:
                return
        raise QueryInvalid(f"{key}={value}: {wrong[0]}" if wrong else f"{key}: no kind is left")

    def _scene(self) -> Scene:
        """Return the file as answers may speak of it."""
        export = self._export(self._path, self._name, self._folder)
        file = self._reader.with_taught(self._taught, self._kind).look(export)
        places = self.lesson().places
        named = Named(export, file, places)
        return Scene(
            places,
            named,
            lambda lexicon: looks_of(lexicon, ids_of(export)),
            lambda count: places_of(rows_of_titles(file, ids_of(export), count)),
        )

    def lesson(self) -> LessonInWords:
        """Return the file as it is read with what was taught so far."""
        export = self._export(self._path, self._name, self._folder)
        found = learning.lesson(self._reader, export, self._kind, self._taught)
        return LessonInWords(**vars(found))

    @property
    def kind_name(self) -> str:
        """The likeliest kind."""
        return self._lexicon().kind.name

    def names(self) -> list[tuple[str, str, str]]:
        """Return name, unit and meaning of what answers may name of the likeliest kind."""
        likely = self._likely()
        return [] if likely is None else list(meanings_of(likely))

    def names_by_kind(self) -> list[tuple[str, str]]:
        """Return what answers may name of each kind."""
        return [(each.kind.name, ", ".join(roles_of(each))) for each in self._reader.lexicons]

    def _seen_titles(self) -> tuple[str, ...]:
        """The titles of the first table, as they stand in the file."""
        return tuple(place.title for place in self.lesson().places if place.title.strip())

    def files_of_layout(
        self, profile: Path, files: Iterable[tuple[Path, str, str]]
    ) -> Iterator[bool]:
        """Tell of each file, by path, name and folder, whether a profile claims it."""
        reader = load_profile(profile, self.of_lab.kinds)
        for path, name, folder in files:
            try:
                claim = reader.recognise(self._export(path, name, folder))
            except Exception:  # noqa: BLE001 - a held file may be anything; it stays held
                claim = None
            yield claim is not None and claim.sure > CLAIMED

    def _file_name(self) -> str | None:
        """How files of the layout are called, where nothing else tells them from others.

        Raises
        ------
        QueryInvalid
            If nothing does.
        """
        lines = self._taught.lines
        if not lines or any(form.has_word for form in lines):
            return None
        habits = self._lab.habits
        called = called_like(self._name, self._folder, (habits.panel_ids, habits.batch_ids))
        if called is None:
            raise QueryInvalid(
                "lines without a word fit any file, and neither the name of this one nor its folder"
                " has a word: call such files, or a folder for them, like what they hold"
            )
        return called

    def _written(self, name: str) -> str:
        return written(
            name,
            self._lexicon().kind.name,
            () if self._taught.lines else self._seen_titles(),
            self._taught,
            self._name,
            file_name=self._file_name(),
            version=self.former.next_version if self.former else "1",
        )

    def without_pass_overs(self) -> Iterator[tuple[str, Pupil]]:
        """Yield each answer that leaves columns or rows out, and who was not told it; then all.

        A column that nobody would read anyway is left out in all.
        """
        taught, unread = self._taught, set[str]()
        left_out = [title for title, take in taught.take.items() if _leaves_out(take)]
        for title in left_out:
            take = {one: said for one, said in taught.take.items() if one != title}
            other = self._told(replace(taught, take=take))
            unread |= {title} if other.asks_of(title) else set()
            yield f"column:{title}={PASS_OVER}", other
        for word in taught.pass_over:
            words = tuple(one for one in taught.pass_over if one != word)
            yield f"rows:{word}={PASS_OVER}", self._told(replace(taught, pass_over=words))
        known = [title for title in left_out if title not in unread]
        if len(known) > 1:
            take = {one: said for one, said in taught.take.items() if one not in known}
            keys = ", ".join(f"column:{title}={PASS_OVER}" for title in known)
            yield keys, self._told(replace(taught, take=take))

    def _told(self, taught: Teaching) -> Pupil:
        other = copy(self)
        other._taught = taught
        return other

    def asks_of(self, title: str) -> bool:
        """Tell whether a column is one that nobody took."""
        found = self.lesson().attempts
        return any(each.titles[place].raw == title for each in found for place in each.untaken)

    def rows_read(self) -> set[tuple[str | None, int]]:
        """Return the rows of its tables, each with its sheet."""
        tables = [each.table.seen for each in self.lesson().attempts]
        return {(seen.sheet, row) for seen in tables for row in seen.rows}

    def ahead(self) -> list[Question]:
        """Return what the likeliest answers to all that is open would open."""
        lesson, other = self.lesson(), copy(self)
        known = {question.key for question in lesson.questions}
        found: list[Question] = []
        tried: set[str] = set()
        for _ in range(_ROUNDS_AHEAD if lesson.kind is not None else 0):
            asked = [each for each in lesson.questions if each.key not in tried]
            answered = next((each for each in asked if other._supposed(each, lesson)), None)
            tried |= {each.key for each in asked[: asked.index(answered) + 1 if answered else None]}
            if answered is None:
                break
            lesson = other.lesson()
            found += [each for each in lesson.questions if each.key not in known]
            known |= {each.key for each in found}
        return found

    def _supposed(self, question: Question, lesson: LessonInWords) -> bool:
        """Take the likeliest answer, or of an amount any, and tell whether there is one."""
        unit = lesson.units().get(question.key)
        likely = f"1 {unit}" if unit else next(iter(question.options), "")
        try:
            self.answer(question.key, likely)
        except QueryInvalid:
            return False
        return bool(likely)

    def is_label(self, word: str) -> bool:
        """Tell whether rows that begin with a word may be no results: it is no id and no number."""
        habits = self._lab.habits
        ids = (habits.panel_ids, habits.batch_ids)
        is_id = any(re.fullmatch(one, word.strip(), re.IGNORECASE) for one in ids)
        return _LETTERS.search(word) is not None and not is_id

    @property
    def has_said(self) -> bool:
        """Whether anything was taught: else the file is read as it is."""
        return (self._taught, self._kind) != self._before

    def plugins(self) -> Plugins:
        """Return those of the lab, and the reader that the answers make once there are some."""
        if not self.has_said:
            return self.of_lab
        plugins, name = self.of_lab, "what_was_said"
        reader = reader_of_taught(Path(name), self._written(name), plugins.kinds)
        former = self.former.reader.name if self.former else None
        others = {key: one for key, one in plugins.readers.items() if key != former}
        return replace(plugins, readers={**others, name: reader}, own=plugins.own | {name})

    def free_name(self) -> str:
        """Return a name for the profile: the former one's, or after the file; with a number if a
        reader has it.
        """
        if self.former is not None:
            return self.former.reader.name
        first = profile_name(self._name)
        names = itertools.chain([first], (f"{first}_{n}" for n in itertools.count(2)))
        return next(name for name in names if not self._is_taken(name))

    def _is_taken(self, name: str) -> bool:
        if self.former is not None and name == self.former.reader.name:
            return False
        return name in self.of_lab.readers or fsio.is_there(self._lab.readers / f"{name}.toml")

    def write(self, name: str) -> Path:
        """Write the profile into the lab's readers folder, check it, and return its path.

        Raises
        ------
        QueryInvalid
            If a reader of this name is there already.
        ProfileInvalid
            If the profile breaks a rule.
        """
        target = self._lab.readers / f"{name}.toml"
        if self._is_taken(name):
            raise QueryInvalid(f"a reader {name!r} is there already; give another --name")
        text, kinds = self._written(name), self.of_lab.kinds
        fsio.make_dirs(self._lab.stage, self._lab.readers)
        fsio.publish(target, text.encode(), self._lab.stage, lambda made: _check(made, kinds))
        if self.former is not None:
            self.former.keep(self._lab.stage)
            if target != self.former.path:
                fsio.remove(self.former.path)
        return target

    def take_back(self, target: Path) -> None:
        """Take away a profile that was written; a former one is there again."""
        fsio.remove(target)
        if self.former is not None:
            fsio.publish(self.former.path, self.former.text, self._lab.stage)
            fsio.remove(self.former.kept)


def _check(path: Path, kinds: Mapping[str, Kind]) -> None:
    load_profile(path, kinds)


def explained(path: Path) -> str:
    """Check a profile and say in words what it does.

    Raises
    ------
    ProfileInvalid
        With every key that breaks a rule.
    """
    reader = load_profile(path, load_plugins(None).kinds)
    lines = [f"{path.name} is sound: a reader {reader.name!r} of {reader.kind}."]
    if isinstance(reader, TaughtTable):
        lines += reader.in_words()
    return "\n".join([*lines, ""])
