"""Loading plugins: what is good comes in, what fails is named and stops nothing else."""

import os
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import Distribution, EntryPoint
from pathlib import Path

import pytest

from tiecoat.extend import loading
from tiecoat.extend.loading import Plugins, load_plugins

KIND = '''
import pandera.pandas as pa
from tiecoat.plugin import Claim, Kind, Measurement, column, hookimpl

class Gloss(pa.DataFrameModel):
    """Specular gloss."""
    gloss_gu: float = column("", "gloss units", ge=0, le=2000)

@hookimpl
def tiecoat_kinds():
    return [Kind("gloss", Gloss, per="panel")]
'''
READER = """
from tiecoat.plugin import Claim, hookimpl

class Table:
    name, kind, version = "{name}", "{kind}", "1"
    def recognise(self, export):
        return Claim(0.1, "no")
    def read(self, export):
        return []

@hookimpl
def tiecoat_readers():
    return [Table()]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty readers folder."""
    path = tmp_path / "readers"
    path.mkdir(mode=0o755)
    return path


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """No entry points: only what the folder holds."""
    monkeypatch.setattr(loading, "entry_points", lambda group: ())


def put(folder: Path, name: str, text: str) -> Path:
    """Write a file into the readers folder."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    path.chmod(0o644)
    return path


def only_problem(plugins: Plugins) -> str:
    """The one problem there is."""
    (problem,) = plugins.problems
    return problem


def test_the_built_in_kinds_and_readers_come_by_the_entry_points() -> None:
    """Everything that tiecoat brings is there, without a problem, and says where it is from."""
    plugins = load_plugins(None)
    assert plugins.problems == ()
    assert set(plugins.kinds) == {
        "batches",
        "chamber_record",
        "cross_section",
        "defect_regions",
        "defects",
        "density",
        "exposure_rating",
        "film_thickness",
        "foam",
        "gloss",
        "impedance",
        "panels",
        "pores",
        "pull_off",
        "rust_image",
        "viscosity",
    }
    assert set(plugins.readers) == {
        "any_table",
        "cross_section",
        "rust_photograph",
        "transmitted_light",
    }
    assert plugins.sources["kind", "impedance"].startswith("kind_impedance of tiecoat ")


def test_importing_the_loader_is_light() -> None:
    """Nothing heavy is imported before plugins are loaded, so that commands start at once."""
    script = (
        "import sys, tiecoat.extend.loading, tiecoat.intake.workers.reading\n"
        "import tiecoat.contract.columns\n"
        "print({'pandas', 'pandera', 'numpy', 'pyarrow', 'pint', 'duckdb'} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout == "set()\n"


@pytest.mark.usefixtures("alone")
def test_a_folder_brings_kinds_and_readers(folder: Path) -> None:
    """A reader may use a kind that a later file brings; both say which file they are from."""
    kind = put(folder, "z_kind.py", KIND)
    reader = put(folder, "a_reader.py", READER.format(name="gloss_table", kind="gloss"))
    plugins = load_plugins(folder)
    assert plugins.problems == ()
    assert list(plugins.kinds) == ["gloss"]
    assert list(plugins.readers) == ["gloss_table"]
    assert plugins.sources == {
        ("kind", "gloss"): str(kind),
        ("reader", "gloss_table"): str(reader),
    }


@pytest.mark.usefixtures("alone")
def test_a_missing_folder_is_no_problem(tmp_path: Path) -> None:
    """A lab without readers of its own has no such folder."""
    assert load_plugins(tmp_path / "readers") == Plugins({}, {}, {}, ())


@pytest.mark.usefixtures("alone")
def test_nothing_is_written_into_the_folder(folder: Path) -> None:
    """Loading leaves no byte code behind, which somebody else could change."""
    put(folder, "kind.py", KIND)
    load_plugins(folder)
    assert [path.name for path in folder.iterdir()] == ["kind.py"]


@pytest.mark.usefixtures("alone")
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("import no_such_package", "ModuleNotFoundError: No module named 'no_such_package'"),
        ("def broken(:", "SyntaxError"),
        ("raise SystemExit(3)", "SystemExit: 3 (bad.py, line 1)"),
        ("raise BaseException('out')", "BaseException: out (bad.py, line 1)"),
        ("1 / 0", "ZeroDivisionError: division by zero (bad.py, line 1)"),
        ("", "it has none of the hooks tiecoat_kinds, tiecoat_readers"),
        (
            "def tiecoat_readers(): return []",
            "tiecoat_readers of plugin {place} was left out: @hookimpl is missing above it",
        ),
        (
            (
                "from tiecoat.plugin import hookimpl\n@hookimpl\ndef tiecoat_kinds(): return []\n"
                "def tiecoat_readers(): return []"
            ),
            "tiecoat_readers of plugin {place} was left out: @hookimpl is missing above it",
        ),
        (
            "from tiecoat.plugin import hookimpl\n@hookimpl\ndef tiecoat_reader(): return []",
            "the hooks are tiecoat_kinds, tiecoat_readers",
        ),
        (
            "from tiecoat.plugin import hookimpl\n@hookimpl\ndef tiecoat_kinds(lab): return []",
            "the hooks are tiecoat_kinds, tiecoat_readers",
        ),
        (
            "from tiecoat.plugin import hookimpl\n@hookimpl\ndef tiecoat_kinds(): return 1 / 0",
            "ZeroDivisionError",
        ),
        (
            "from tiecoat.plugin import hookimpl\n@hookimpl\ndef tiecoat_readers(): yield exit(1)",
            "SystemExit",
        ),
        (
            "from tiecoat.plugin import hookimpl\n@hookimpl\ndef tiecoat_kinds(): return 5",
            "TypeError",
        ),
        (
            "from tiecoat.plugin import hookimpl\n@hookimpl\ndef tiecoat_kinds(): return ['gloss']",
            "it is str, not a Kind",
        ),
    ],
)
def test_a_plugin_that_fails_is_named_and_stops_nothing(folder: Path, text: str, said: str) -> None:
    """The file and what is wrong with it are told, and the plugin after it is there."""
    bad = put(folder, "bad.py", text)
    put(folder, "kind.py", KIND)
    plugins = load_plugins(folder)
    problem = only_problem(plugins)
    assert str(bad) in problem
    assert said.replace("{place}", str(bad)) in problem
    assert list(plugins.kinds) == ["gloss"]


def changed(text: str, old: str, new: str) -> str:
    """The text with one thing changed."""
    assert old in text
    return text.replace(old, new)


@pytest.mark.usefixtures("alone")
@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('Kind("gloss"', 'Kind("Gloss"', "its name may have lower-case letters"),
        ('Kind("gloss"', 'Kind("con"', "its name may have lower-case letters"),
        ('Kind("gloss"', 'Kind("../gloss"', "its name may have lower-case letters"),
        ('per="panel"', 'per="panel", version="2"', "its version is '2'; expected a whole"),
        ('per="panel"', 'per="panel", migrate=2', "its migrate cannot be called"),
        ('per="panel"', 'per="wall"', "per is 'wall'; allowed are batch and panel"),
        ('per="panel"', 'per="panel", order=("haze",)', "order names ['haze']: no column"),
        ("gloss_gu: float", "gloss_gu: complex", "type complex128; allowed are float, int"),
        ('column("", "gloss', 'column("furlongz", "gloss', "'gloss_gu': 'furlongz' is no unit"),
        ("gloss_gu: float", "panel: float", "every table has a column of this name"),
        ('column("", "gloss units", ge=0, le=2000)', "pa.Field(ge=0)", "declare it by"),
        ('    gloss_gu: float = column("", "gloss units", ge=0, le=2000)', "", "has no column"),
        ("Gloss, per", "dict, per", "AttributeError"),
        ('per="panel"', 'per="panel", identity=["gloss_gu"]', "TypeError"),
    ],
)
def test_a_kind_that_breaks_a_rule_is_left_out(folder: Path, old: str, new: str, said: str) -> None:
    """What no table could be made of is refused with the rule that it breaks."""
    put(folder, "kind.py", changed(KIND, old, new))
    plugins = load_plugins(folder)
    assert said in only_problem(plugins)
    assert plugins.kinds == {}


@pytest.mark.usefixtures("alone")
@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("def read(", "def reed(", "it has no read"),
        ('version = "t", "gloss", "1"', 'kind_of = "t", "gloss", "1"', "it has no version"),
        ('"gloss", "1"', '"haze", "1"', "its kind 'haze' is not known; there are gloss"),
        ('"gloss", "1"', '"gloss", 1', "its version is 1; expected a text without blanks"),
        ('"t", ', '"t t", ', "its name is 't t'; expected a text without blanks"),
        ("[Table()]", "[Table]", "it is a class, not an object: return Table()"),
        ("[Table()]", "[None]", "it has no name, no kind, no version, no recognise, no read"),
        ("def read(self, export):\n        return []", "read = 5", "its read cannot be called"),
    ],
)
def test_a_reader_that_is_none_is_left_out(folder: Path, old: str, new: str, said: str) -> None:
    """What could not read a file is refused before it meets one."""
    put(folder, "kind.py", KIND)
    put(folder, "reader.py", changed(READER.format(name="t", kind="gloss"), old, new))
    plugins = load_plugins(folder)
    assert said in only_problem(plugins)
    assert plugins.readers == {}


@pytest.mark.usefixtures("alone")
def test_of_two_with_one_name_the_second_is_refused(folder: Path) -> None:
    """A name means one kind and one reader; the problem names both places."""
    one = put(folder, "1.py", KIND)
    put(folder, "2.py", KIND)
    three = put(folder, "3.py", READER.format(name="t", kind="gloss"))
    put(folder, "4.py", READER.format(name="t", kind="gloss"))
    plugins = load_plugins(folder)
    assert plugins.sources == {("kind", "gloss"): str(one), ("reader", "t"): str(three)}
    kind, reader = plugins.problems
    assert "2.py" in kind
    assert f"{one} has a kind of this name" in kind
    assert "4.py" in reader
    assert f"{three} has a reader of this name" in reader


def test_a_folder_cannot_replace_what_is_built_in(folder: Path) -> None:
    """A reader in the lab's folder does not take over the name of a built-in one."""
    put(folder, "reader.py", READER.format(name="any_table", kind="batches"))
    plugins = load_plugins(folder)
    assert "has a reader of this name" in only_problem(plugins)
    assert type(plugins.readers["any_table"]).__name__ != "Table"


@pytest.mark.usefixtures("alone")
@pytest.mark.skipif(sys.platform == "win32", reason="POSIX rights")
def test_what_everybody_may_write_is_not_run(folder: Path) -> None:
    """A file or folder that anybody can change would let anybody run code here."""
    open_to_all = put(folder, "open.py", KIND)
    open_to_all.chmod(0o666)
    assert f"chmod o-w '{open_to_all}'" in only_problem(load_plugins(folder))
    open_to_all.chmod(0o644)
    folder.chmod(0o777)
    plugins = load_plugins(folder)
    assert f"chmod o-w '{folder}'" in only_problem(plugins)
    assert plugins.kinds == {}


@pytest.mark.usefixtures("alone")
def test_a_folder_that_cannot_be_opened_is_named(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder without the right to look into it is a problem, not an end."""

    def refuse(path: Path) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(os, "listdir", refuse)
    assert f"{folder} was left out: it cannot be opened" in only_problem(load_plugins(folder))


@pytest.mark.usefixtures("alone")
def test_other_files_in_the_folder_are_passed_over(folder: Path) -> None:
    """Notes, hidden files, helpers and folders are no plugins."""
    for name in ("notes.txt", ".#kind.py", "_helper.py", "kind.py.bak", "kind.pyc"):
        put(folder, name, "1 / 0")
    (folder / "dir.py").mkdir()
    assert load_plugins(folder) == Plugins({}, {}, {}, ())


@pytest.mark.usefixtures("alone")
def test_two_files_of_one_stem_in_two_labs_do_not_meet(tmp_path: Path) -> None:
    """Each file is a module of its own, even if another lab has one of the same name."""
    folders = [tmp_path / "one", tmp_path / "two"]
    for folder, name in zip(folders, ("gloss", "haze"), strict=True):
        folder.mkdir(mode=0o755)
        put(folder, "kind.py", changed(KIND, 'Kind("gloss"', f'Kind("{name}"'))
    assert [list(load_plugins(folder).kinds) for folder in folders] == [["gloss"], ["haze"]]


def test_a_table_profile_in_the_folder_becomes_a_reader(folder: Path) -> None:
    """A profile needs no code; what is wrong with one is told by key."""
    good = put(
        folder,
        "bench.toml",
        'name = "bench"\nkind = "density"\nversion = "1"\n'
        '[columns]\ntemperature_c = { titles = ["T"], unit = "°C" }\n'
        'density_g_cm3 = { titles = ["Rho"] }\n'
        'state = { value = "as mixed" }\nelapsed_s = { value = 0.0 }\n',
    )
    bad = put(folder, "bad.toml", 'name = "bad"\nkind = "densety"\nversion = "1"\n')
    plugins = load_plugins(folder)
    assert plugins.sources["reader", "bench"] == str(good)
    assert plugins.readers["bench"].kind == "density"
    problem = only_problem(plugins)
    assert str(bad) in problem
    assert "densety" in problem


class Installed(Distribution):
    """An installed package of a stranger."""

    def read_text(self, filename: str) -> str | None:
        """Return its metadata."""
        return "Name: gloss-lab\nVersion: 2.1\n" if filename == "METADATA" else None

    def locate_file(self, path: str | os.PathLike[str]) -> Path:
        """Not needed here."""
        return Path(path)


@pytest.fixture
def install(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Give the stranger's package an entry point."""

    def give(value: str) -> None:
        entry = EntryPoint("gloss", value, "tiecoat")
        vars(entry)["dist"] = Installed()
        monkeypatch.setattr(loading, "entry_points", lambda group: (entry,))

    return give


def test_a_package_that_fails_is_named_with_its_version(install: Callable[[str], None]) -> None:
    """Who runs the lab reads which package to mend or to remove."""
    install("no_such_module_of_gloss_lab")
    problem = only_problem(load_plugins(None))
    assert problem.startswith("plugin gloss of gloss-lab 2.1 was left out: ModuleNotFoundError")


def test_a_plugin_that_lacks_a_name_in_its_module_is_named(
    install: Callable[[str], None],
) -> None:
    """An entry point that points at nothing is a problem, not an end."""
    install("tiecoat.schemas.density:NO_SUCH_THING")
    assert "gloss-lab 2.1" in only_problem(load_plugins(None))
