"""Loading what plugins bring, each on its own: what fails is named and left out.

Kinds, readers and table profiles are loaded to read exports, evaluations to compute results,
figures and pages to write reports, commands when one of them is asked for, and announcers to tell
people. The name of an entry point or of a file says for which: evaluations come from `evaluate_...`
alone, what only reports need from `report_...`, commands from `command_...`, announcers from
`announce_...`, so that reading never waits for scipy, nor a result for pandera or for what draws,
and that the service need not load a plugin to know of announcers.

pluggy and entry points alone would let one bad plugin stop all, a misspelt hook pass unseen, and
the last of two equal names win in silence; none of this may happen to a laboratory.
"""

from __future__ import annotations

import hashlib
import re
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache, partial
from importlib.metadata import Distribution, EntryPoint, entry_points
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, TypeVar

import pluggy

from tiecoat import plugin as door
from tiecoat.disk import fsio
from tiecoat.errors import PluginNotLoaded, ProfileInvalid, SettingInvalid
from tiecoat.lab.ids import canonical
from tiecoat.lab.plugin_choices import NO_READER_SET, PluginChoices
from tiecoat.plugin import Evaluation, Hooks, Kind, Profile, Reader, StudyProperty

if TYPE_CHECKING:
    from collections.abc import Callable

    from tiecoat.contract.columns import ColumnInfo
    from tiecoat.plugin import Event, Export, LabCommand, StudyCourse, StudyFigure, StudyPage

T = TypeVar("T")
GROUP = "tiecoat"
HOOKS = ("tiecoat_kinds", "tiecoat_readers")
REPORT_HOOKS = ("tiecoat_figures", "tiecoat_pages")
EVALUATION_HOOKS = ("tiecoat_evaluations", *REPORT_HOOKS)
COMMAND_HOOKS = ("tiecoat_commands",)
ANNOUNCE_HOOKS = ("tiecoat_announce",)
EVALUATE = "evaluate_"  # how the names of entry points and files with evaluations begin
REPORT = "report_"
COMMAND = "command_"
ANNOUNCE = "announce_"
KIND = "kind_"  # the same of built-in kinds, mostly followed by the name of the kind
_BEGINNINGS: Mapping[tuple[str, ...], str] = {
    EVALUATION_HOOKS: EVALUATE,
    REPORT_HOOKS: REPORT,
    COMMAND_HOOKS: COMMAND,
    ANNOUNCE_HOOKS: ANNOUNCE,
}
_KIND_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
OF_A_FOLDER = "tiecoat_readers_"  # how modules are called that lie in a readers folder
_NOT_MARKED = "@hookimpl is missing above it, so it would never be called"
_OF_OTHER_NAME = (
    f"evaluations come from entry points and files whose name begins with {EVALUATE}, figures and"
    f" pages from these or {REPORT}, commands from {COMMAND}, announcements from {ANNOUNCE}, kinds"
    " and readers from all others"
)


@dataclass(frozen=True)
class Plugins:
    """What is there to read with.

    `sources` maps "reader" or "kind" and a name to where that came from; `problems` are sentences
    about what was left out, and why; `choices` maps the name of a reader to what the lab has set
    for it.
    """

    kinds: dict[str, Kind]
    readers: dict[str, Reader]
    sources: dict[tuple[str, str], str]
    problems: tuple[str, ...]
    choices: dict[str, Any] = field(default_factory=dict)
    own: frozenset[str] = frozenset()

    def hand(self, export: Export, reader: Reader) -> None:
        """Tell an export what the lab has set for a reader, and what its kind lets be empty."""
        from tiecoat.contract.columns import columns_of

        kind = self.kinds.get(reader.kind)
        export.choices = self.choices.get(reader.name)
        export.may_lack = [one.name for one in columns_of(kind) if one.nullable] if kind else ()

    def rank(self, reader: Reader) -> int:
        """Return when a reader is asked: the lab's own first, plugins, then the one of all tables.

        Those of a later rank are asked only where no earlier one claims the file.
        """
        if reader.name in self.own:
            return 0
        return 2 if getattr(reader, "last_resort", False) else 1

    def goes_before(self, name: str) -> tuple[str, ...]:
        """Return the readers that are not asked for a file which this one claims."""
        rank = self.rank(self.readers[name])
        return tuple(sorted(one.name for one in self.readers.values() if self.rank(one) > rank))


@dataclass(frozen=True)
class ReportParts:
    """What reports are written with besides what is their own: figures and pages by name.

    `sources` maps "figure" or "page" and a name to where that came from; `problems` are sentences
    about what was left out, and why.
    """

    figures: dict[str, StudyFigure | StudyCourse] = field(default_factory=dict)
    pages: dict[str, StudyPage] = field(default_factory=dict)
    sources: dict[tuple[str, str], str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()


@dataclass(frozen=True)
class Evaluations:
    """What there is to compute with.

    `sources` maps the name of an evaluation to where it came from; `problems` are sentences about
    what was left out, and why.
    """

    evaluations: dict[str, Evaluation]
    sources: dict[str, str]
    problems: tuple[str, ...]
    of_reports: ReportParts = field(default_factory=ReportParts)


@dataclass(frozen=True)
class BroughtCommands:
    """What may be asked for besides the commands of tiecoat itself.

    `sources` maps the name of a command to where it came from; `problems` are sentences about what
    was left out, and why.
    """

    commands: dict[str, LabCommand]
    sources: dict[str, str]
    problems: tuple[str, ...]


@dataclass(frozen=True)
class Announcers:
    """What tells people of events.

    `announce` maps where an announcer came from to what announces an event by it; `problems` are
    sentences about what was left out, and why.
    """

    announce: Mapping[str, Callable[[Event], object]]
    problems: tuple[str, ...]


@dataclass
class _Loading:
    """Plugins on their way in, and the hooks for which they are loaded."""

    manager: pluggy.PluginManager
    hooks: tuple[str, ...]
    evaluations: dict[str, Evaluation] = field(default_factory=dict)
    figures: dict[str, StudyFigure | StudyCourse] = field(default_factory=dict)
    pages: dict[str, StudyPage] = field(default_factory=dict)
    commands: dict[str, LabCommand] = field(default_factory=dict)
    kinds: dict[str, Kind] = field(default_factory=dict)
    readers: dict[str, Reader] = field(default_factory=dict)
    sources: dict[tuple[str, str], str] = field(default_factory=dict)
    choices: dict[str, Any] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)

    def left_out(self, what: str, *why: str | BaseException) -> None:
        """Note what was left out and why, in parts: words, or what was raised."""
        self.problems.append(f"{what} was left out: {''.join(map(_said, why))}")

    def sources_of(self, sort: str) -> dict[str, str]:
        """Return where all of a sort came from, by name."""
        return {name: where for (of, name), where in self.sources.items() if of == sort}


def load_plugins(
    readers_folder: Path | None,
    choices: PluginChoices = NO_READER_SET,
    *,
    code: bool = True,
    words: Mapping[str, Mapping[str, Sequence[str]]] | None = None,
) -> Plugins:
    """Load the plugins of installed packages, then those of a lab's readers folder.

    Parameters
    ----------
    readers_folder
        Its `*.py` (plugin modules) and `*.toml` (table profiles) are loaded in the order of their
        names; names that begin with a dot, an underscore, `evaluate_`, `report_`, `command_` or
        `announce_` are passed over. None: no such folder.
    choices
        What the lab has set for readers. One whose choices are not allowed is left out.
    code
        False where the settings allow no code of the lab's own: then its profiles alone.
    words
        What the lab calls the columns of kinds: kind -> column -> words.

    Returns
    -------
    Plugins
        With a sentence for everything that could not be loaded; nothing is raised for it.
    """
    from tiecoat.tabular.reader import AnyTable, has_words

    loading = _Loading(_manager(), HOOKS)
    profiles = _load(loading, readers_folder, code=code)
    offered = _registered(loading)
    for where, plugin in offered:
        for kind in _offers(loading, where, plugin, "tiecoat_kinds"):
            _add_kind(loading, where, kind)
    if any(map(has_words, loading.kinds.values())):  # first, so that nobody takes its name
        _add_reader(loading, "tiecoat", AnyTable(loading.kinds, words or {}))
    for where, plugin in offered:
        for reader in _offers(loading, where, plugin, "tiecoat_readers"):
            _add_reader(loading, where, reader)
    for path in profiles:
        _add_reader(loading, str(path), Profile(path))
    _choose(loading, choices)
    problems = tuple(loading.problems)
    return Plugins(
        loading.kinds,
        loading.readers,
        loading.sources,
        problems,
        loading.choices,
        frozenset(_of_the_lab(loading, readers_folder)),
    )


def _of_the_lab(loading: _Loading, readers_folder: Path | None) -> Iterator[str]:
    """Return the readers that lie in the lab's own folder: they win over all others."""
    for name in loading.readers:
        where = loading.sources["reader", name]
        if readers_folder is not None and Path(where).parent == readers_folder:
            yield name


@cache
def load_kind(name: str, readers_folder: Path | None) -> Kind | None:
    """Load one kind, and no reader where it is built in; None where no plugin brings it.

    No other package can take a name of ours, so ours are asked first, and alone if one has it.
    """
    loading = _Loading(_manager(), HOOKS)
    for entry in sorted(_built_in(KIND), key=lambda one: one.name != f"{KIND}{name}"):
        where = _named(entry)
        _register(loading, where, entry.load)
        if plugin := loading.manager.get_plugin(where):
            for kind in _offers(loading, where, plugin, "tiecoat_kinds"):
                _add_kind(loading, where, kind)
        if name in loading.kinds:
            return loading.kinds[name]
    return load_plugins(readers_folder).kinds.get(name)


def built_in_kinds() -> list[Kind]:
    """Return the kinds of this package, without asking any other."""
    loading = _Loading(_manager(), HOOKS)
    for entry in _built_in(KIND):
        _register(loading, _named(entry), entry.load)
    return [
        kind
        for where, plugin in _registered(loading)
        for kind in _offers(loading, where, plugin, "tiecoat_kinds")
    ]


def _built_in(beginning: str) -> list[EntryPoint]:
    """Return our own entry points whose names begin so."""
    return [
        entry
        for entry in entry_points(group=GROUP)
        if entry.name.startswith(beginning) and not _own_first(entry)[0]
    ]


@cache
def load_evaluations(readers_folder: Path | None) -> Evaluations:
    """Load the evaluations of installed packages, then those of a lab's readers folder.

    Only entry points and files are loaded whose name begins with `evaluate_`. What was loaded is
    kept for the life of the process.

    Parameters
    ----------
    readers_folder
        Its `evaluate_*.py` are loaded in the order of their names. None: no such folder.

    Returns
    -------
    Evaluations
        With a sentence for everything that could not be loaded; nothing is raised for it.
    """
    loading = _Loading(_manager(), EVALUATION_HOOKS)
    _load(loading, readers_folder)
    for where, plugin in _registered(loading):
        for evaluation in _offers(loading, where, plugin, "tiecoat_evaluations"):
            _add(loading, where, evaluation, _EVALUATION)
        _add_offered(loading, where, plugin, *REPORT_HOOKS)
    sources = loading.sources_of("evaluation")
    parts = ReportParts(loading.figures, loading.pages, _of_reports(loading))
    return Evaluations(loading.evaluations, sources, tuple(loading.problems), parts)


@cache
def load_report_parts(readers_folder: Path | None) -> ReportParts:
    """Load figures and pages for reports: those that came with evaluations, then all others.

    The others are in entry points and files whose name begins with `report_`; what was loaded is
    kept for the life of the process. Problems are told of these alone.
    """
    before = load_evaluations(readers_folder).of_reports
    loading = _Loading(_manager(), REPORT_HOOKS)
    loading.figures.update(before.figures)
    loading.pages.update(before.pages)
    loading.sources.update(before.sources)
    _load(loading, readers_folder)
    for where, plugin in _registered(loading):
        _add_offered(loading, where, plugin, *REPORT_HOOKS)
    problems = tuple(loading.problems)
    return ReportParts(loading.figures, loading.pages, _of_reports(loading), problems)


@cache
def load_commands(readers_folder: Path | None) -> BroughtCommands:
    """Load the commands of installed packages, then those of a lab's readers folder.

    Only entry points and files are loaded whose name begins with `command_`; what was loaded is
    kept for the life of the process.
    """
    loading = _Loading(_manager(), COMMAND_HOOKS)
    _load(loading, readers_folder)
    for where, plugin in _registered(loading):
        _add_offered(loading, where, plugin, *COMMAND_HOOKS)
    return BroughtCommands(loading.commands, loading.sources_of("command"), tuple(loading.problems))


def announcers_named(readers_folder: Path | None) -> bool:
    """Say whether any entry point or file has the name of an announcer; nothing is loaded."""
    if any(entry.name.startswith(ANNOUNCE) for entry in entry_points(group=GROUP)):
        return True
    try:
        names = fsio.names_in(readers_folder) if readers_folder else []
    except OSError:
        return True  # loading says why
    return any(name.startswith(ANNOUNCE) and name.endswith(".py") for name in names)


@cache
def load_announcers(readers_folder: Path | None) -> Announcers:
    """Load what tells people of events, of installed packages and of a lab's readers folder.

    Only entry points and files are loaded whose name begins with `announce_`; what was loaded is
    kept for the life of the process.
    """
    loading = _Loading(_manager(), ANNOUNCE_HOOKS)
    _load(loading, readers_folder)
    plugins = _registered(loading)
    announce = {where: partial(_announce, loading.manager, plugin) for where, plugin in plugins}
    return Announcers(announce, tuple(loading.problems))


def _announce(manager: pluggy.PluginManager, plugin: object, event: Event) -> None:
    _of_one(manager, plugin, "tiecoat_announce")(event=event)


def _manager() -> pluggy.PluginManager:
    manager = pluggy.PluginManager(GROUP)
    manager.add_hookspecs(Hooks)
    return manager


def _load(loading: _Loading, readers_folder: Path | None, *, code: bool = True) -> list[Path]:
    """Register what the hooks may be found in, and return the table profiles of the folder."""
    for entry in sorted(entry_points(group=GROUP), key=_own_first):
        if _is_wanted(loading, entry.name):
            _register(loading, _named(entry), entry.load)
    return list(_folder(loading, readers_folder, code=code)) if readers_folder else []


def _is_wanted(loading: _Loading, name: str) -> bool:
    beginning = _BEGINNINGS.get(loading.hooks)
    if name.endswith(".toml"):  # a profile is a reader, whatever the file was called that it is of
        return beginning is None
    if beginning:
        return name.startswith(beginning)
    return not name.startswith(tuple(_BEGINNINGS.values()))


def _registered(loading: _Loading) -> list[tuple[str, object]]:
    return [(where, plugin) for where, plugin in loading.manager.list_name_plugin() if plugin]


def _own_first(entry: EntryPoint) -> tuple[bool, str, str]:
    """Sort so that no other package can take a name of ours, and the order is always the same."""
    package = _package(entry.dist)[0] if entry.dist else ""
    return (package != "tiecoat", package, entry.name)


def _named(entry: EntryPoint) -> str:
    package = " ".join(_package(entry.dist)) if entry.dist else "an unknown package"
    return f"{entry.name} of {package}"


def author_of(where: str) -> str:
    """Return who wrote what comes from there, as its package or its file says it; "" for nobody.

    Of a package that is its author, of a file `__author__` and `__version__` in it.
    """
    module = next((one for one in sys.modules.values() if _is_from(one, where)), None)
    if module is not None:
        said = (getattr(module, "__author__", ""), getattr(module, "__version__", ""))
        return " ".join(one for one in said if isinstance(one, str) and one)
    return author_of_package(where)


@lru_cache(maxsize=256)
def author_of_package(where: str) -> str:
    """Return it; it is looked for in the files of all packages, so what was found is kept."""
    for entry in entry_points(group=GROUP):
        if entry.dist and _named(entry) == where:
            told = entry.dist.metadata
            return next((told[one] for one in ("Author", "Author-email") if one in told), "")
    return ""


def _is_from(module: ModuleType, where: str) -> bool:
    name = getattr(module, "__name__", "")
    return name.startswith(OF_A_FOLDER) and getattr(module, "__file__", None) == where


@lru_cache(maxsize=16)
def _package(distribution: Distribution) -> tuple[str, str]:
    """Return name and version, which are read from a file at each asking."""
    return distribution.name, distribution.version


def _said(why: str | BaseException) -> str:
    if isinstance(why, str):
        return why
    from tiecoat.extend.blame import blame

    return blame(why)


def _register(loading: _Loading, where: str, load: Callable[[], object]) -> None:
    """Load one plugin and register it; if any of it fails, nothing of it stays."""
    try:
        plugin = load()
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # noqa: BLE001 - a stranger's code; SystemExit too
        loading.left_out(f"plugin {where}", error)
        return
    manager = loading.manager
    try:
        manager.register(plugin, name=where)
        manager.check_pending()  # else a misspelt hook would never be called, and nobody told
    except Exception as error:  # noqa: BLE001 - pluggy looks at a stranger's attributes
        if manager.get_plugin(where) is plugin:
            manager.unregister(name=where)
        hooks = ", ".join(loading.hooks)
        loading.left_out(f"plugin {where}", error, f"; the hooks are {hooks}")
        return
    called = {caller.name for caller in manager.get_hookcallers(plugin) or ()}
    if elsewhere := sorted(called - set(loading.hooks)):
        loading.left_out(f"{', '.join(elsewhere)} of plugin {where}", _OF_OTHER_NAME)
    unmarked = [hook for hook in loading.hooks if hook not in called and hasattr(plugin, hook)]
    if unmarked:
        loading.left_out(f"{', '.join(unmarked)} of plugin {where}", _NOT_MARKED)
    elif not called:
        hooks = ", ".join(loading.hooks)
        loading.left_out(f"plugin {where}", f"it has none of the hooks {hooks} marked by @hookimpl")
    if not called & set(loading.hooks):
        manager.unregister(name=where)


def _offers(loading: _Loading, where: str, plugin: object, hook: str) -> list[Any]:
    """Call one hook of one plugin and return what it offers."""
    try:
        (offered,) = _of_one(loading.manager, plugin, hook)() or [[]]
        return list(offered)
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # noqa: BLE001 - a stranger's code; SystemExit too
        loading.left_out(f"{hook} of plugin {where}", error)
        return []


def _of_one(manager: pluggy.PluginManager, plugin: object, hook: str) -> Callable[..., Any]:
    """Return what calls a hook of one plugin alone."""
    others = [other for other in manager.get_plugins() if other is not plugin]
    return manager.subset_hook_caller(hook, others)


def _add_kind(loading: _Loading, where: str, kind: object) -> None:
    from tiecoat.contract.columns import columns_of, schema_of

    if not isinstance(kind, Kind):
        loading.left_out(f"a kind of {where}", f"it is {type(kind).__name__}, not a Kind")
        return
    what = f"kind {kind.name!r} of {where}"
    if (
        not isinstance(kind.name, str)
        or not _KIND_NAME.fullmatch(kind.name)
        or not canonical(kind.name)
    ):
        loading.left_out(what, "its name may have lower-case letters, digits and underscores")
    elif kind.per not in ("batch", "panel"):
        loading.left_out(what, f"per is {kind.per!r}; allowed are batch and panel")
    elif type(kind.version) is not int or kind.version < 1:
        loading.left_out(what, f"its version is {kind.version!r}; expected a whole number from 1")
    elif not (kind.migrate is None or callable(kind.migrate)):
        loading.left_out(what, "its migrate cannot be called")
    elif kind.name in loading.kinds:
        loading.left_out(what, f"{loading.sources['kind', kind.name]} has a kind of this name")
    else:
        try:
            schema_of(kind)
            _check_units(columns_of(kind))
        except PluginNotLoaded as error:
            loading.left_out(what, str(error))
        except Exception as error:  # noqa: BLE001 - pandera, on a stranger's model
            loading.left_out(what, error)
        else:
            loading.kinds[kind.name] = kind
            loading.sources["kind", kind.name] = where


def _check_units(columns: Sequence[ColumnInfo]) -> None:
    """Raise where the unit of a column is none: nothing could ever be converted from it."""
    from tiecoat.dialect.units import understand

    for info in columns:
        if understand(info.unit) is None:
            raise PluginNotLoaded(
                f"column {info.name!r}: {info.unit!r} is no unit; write it as pint does, such as"
                ' "ohm" or "g/cm**3", and "" for a plain number, text or time'
            )


def _add_reader(loading: _Loading, where: str, reader: object) -> None:
    if isinstance(reader, Profile):
        where = str(reader.path)
        built = _from_profile(loading, reader.path)
        if built is None:
            return
        reader = built
    from tiecoat.extend.fitness import unfit_reader

    if why := unfit_reader(reader, loading.kinds):
        loading.left_out(f"reader {_name_of(reader)} of {where}", why)
        return
    assert isinstance(reader, Reader)
    if reader.name in loading.readers:
        taken = loading.sources["reader", reader.name]
        loading.left_out(f"reader {reader.name!r} of {where}", f"{taken} has a reader of this name")
    else:
        loading.readers[reader.name] = reader
        loading.sources["reader", reader.name] = where


def _choose(loading: _Loading, choices: PluginChoices) -> None:
    """Check what the lab has set for the readers."""
    models = {n: r.choices for n, r in loading.readers.items() if hasattr(r, "choices")}
    loading.problems.extend(choices.unanswered(models))
    for name, model in models.items():
        try:
            loading.choices[name] = choices.of(name, model)
        except SettingInvalid as error:
            loading.left_out(f"reader {name!r}", str(error))
            del loading.readers[name]
        except Exception as error:  # noqa: BLE001 - pydantic, on a stranger's class
            loading.left_out(f"reader {name!r}", "its choices: ", error)
            del loading.readers[name]


def _unfit_evaluation(evaluation: Evaluation) -> str:
    """Say why nothing can be computed by it; "" if it can."""
    texts = (evaluation.name, evaluation.kind, *evaluation.needs)
    if not all(isinstance(text, str) and text and text.split() == [text] for text in texts):
        return "name, kind and needs must be texts without blanks"
    if not callable(evaluation.compute):
        return "its compute cannot be called"
    found = evaluation.properties
    if not isinstance(found, tuple) or not all(
        isinstance(one, StudyProperty) and isinstance(one.name, str) for one in found
    ):
        return "its properties are no tuple of StudyProperty(name, quantity, ...)"
    return ""


class _Offering(NamedTuple, Generic[T]):
    """What is expected of a sort of thing that plugins offer: what it is called, and why not."""

    one: str
    types: tuple[type[T], ...]
    unfit: Callable[[T], str]


_EVALUATION = _Offering("an evaluation", (Evaluation,), _unfit_evaluation)


def _sort_of(hook: str) -> _Offering[Any]:
    """Return what a hook offers; its type and what is asked of it load when there is one."""
    from tiecoat.extend import fitness

    match hook:
        case "tiecoat_figures":
            sorts = (door.StudyFigure, door.StudyCourse)
            return _Offering("a figure", sorts, fitness.unfit_figure)
        case "tiecoat_pages":
            return _Offering("a page", (door.StudyPage,), fitness.unfit_page)
        case _:
            return _Offering("a command", (door.LabCommand,), fitness.unfit_command)


def _add_offered(loading: _Loading, where: str, plugin: object, *hooks: str) -> None:
    """Add what one plugin offers by some of its hooks."""
    for hook in hooks:
        for offered in _offers(loading, where, plugin, hook):
            _add(loading, where, offered, _sort_of(hook))


def _of_reports(loading: _Loading) -> dict[tuple[str, str], str]:
    return {told: where for told, where in loading.sources.items() if told[0] != "evaluation"}


def _add(loading: _Loading, where: str, offered: object, wanted: _Offering[Any]) -> None:
    """Add what a plugin offers, where it is what is wanted, will do, and has a name of its own."""
    article, sort = wanted.one.split()
    if not isinstance(offered, wanted.types):
        expected = " or ".join(one.__name__ for one in wanted.types)
        it_is = f"it is {type(offered).__name__}, not {article} {expected}"
        loading.left_out(f"{wanted.one} of {where}", it_is)
        return
    what = f"{sort} {_name_of(offered)} of {where}"
    there: dict[str, Any] = getattr(loading, f"{sort}s")
    if why := wanted.unfit(offered):
        loading.left_out(what, why)
    elif offered.name in there:
        taken = loading.sources[sort, offered.name]
        loading.left_out(what, f"{taken} has {wanted.one} of this name")
    else:
        there[offered.name] = offered
        loading.sources[sort, offered.name] = where


def _name_of(reader: object) -> str:
    name = getattr(reader, "name", None)
    return repr(name) if isinstance(name, str) else type(reader).__name__


def _from_profile(loading: _Loading, path: Path) -> Reader | None:
    from tiecoat.extend.profile_file import load_profile

    try:
        return load_profile(path, loading.kinds)
    except ProfileInvalid as error:
        loading.problems.append(f"a table profile was left out: {error}")
    except Exception as error:  # noqa: BLE001 - one profile may not stop the others
        loading.left_out(f"table profile {path}", error)
    return None


def _folder(loading: _Loading, folder: Path, *, code: bool) -> Iterator[Path]:
    """Register the modules of a readers folder, where code is allowed, and return its profiles."""
    from tiecoat.extend.trust import doubt_of, doubt_of_folder

    try:
        there = fsio.is_folder(folder) and _trusted(loading, folder, doubt_of_folder)
        paths = fsio.paths_in(folder) if there else []
    except OSError as error:
        loading.left_out(str(folder), f"it cannot be opened: {error.strerror}")
        return
    for path in paths:
        if path.name.startswith((".", "_")) or path.suffix not in (".py", ".toml"):
            continue
        if path.suffix == ".py" and not code:
            continue
        if not _is_wanted(loading, path.name) or not _is_file(loading, path):
            continue
        if not _trusted(loading, path, doubt_of):
            continue
        if path.suffix == ".toml":
            yield path
        else:
            _register(loading, str(path), partial(_module, path))


def _is_file(loading: _Loading, path: Path) -> bool:
    try:
        return fsio.is_file(path)
    except OSError as error:
        loading.left_out(str(path), f"it cannot be opened: {error.strerror}")
        return False


def _trusted(loading: _Loading, path: Path, doubt: Callable[[Path], str]) -> bool:
    """Say whether nobody else could change it; else it is left out."""
    try:
        why = doubt(path)
    except OSError as error:
        why = f"it cannot be opened: {error.strerror}"
    if why:
        loading.left_out(str(path), why)
    return not why


def _module(path: Path) -> ModuleType:
    """Run a file as a module of its own name; nothing is written beside it."""
    place = hashlib.sha256(str(path.absolute()).encode()).hexdigest()[:8]
    module = ModuleType(f"{OF_A_FOLDER}{place}_{path.stem}")
    module.__file__ = str(path)
    sys.modules[module.__name__] = module  # dataclasses and pandera look their module up
    try:
        exec(compile(path.read_bytes(), str(path), "exec"), module.__dict__)
    except BaseException:
        del sys.modules[module.__name__]
        raise
    return module
