"""The kit for authors of plugins: it passes what is right, and finds each fault that was seeded."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from textwrap import dedent

import pytest
from read_here import read_in_workers
from seeded_faults import COMMAND, COMMAND_LAID_OUT, FAULTS, SeededFault

import tiecoat.plugin
from tiecoat.extend.loading import load_evaluations, load_plugins
from tiecoat.extend.new_plugin import PARTS, new_plugin, new_reader
from tiecoat.testing import Conformance
from tiecoat.testing.checks import CHECKS
from tiecoat.testing.examples import NotAsExpected, expected_rows
from tiecoat.testing.installed import modules_not_packed
from tiecoat.testing.workbench import workbench
from tiecoat.testing.writing import write

pytest_plugins = ["pytester"]

SECOND = (
    "drops.csv",
    "RB-014-3",
    "more.csv",
    "RB-014-5",
)  # an example, and the same of a panel more


def laid_out(folder: Path, parts: Sequence[str] = ()) -> None:
    """Lay out the plugin in a folder, with its tests beside."""
    new_reader("falling", folder, parts)


def handed_over(folder: Path, settings: str = "") -> Conformance:
    """Hand over what lies in a folder."""
    plugins = [folder / "falling.py", folder / "evaluate_falling.py"]
    plugins += [path for path in (folder / COMMAND,) if path.exists()]
    return Conformance(*plugins, exports=folder / "tests" / "falling", settings=settings)


def seeded(folder: Path, fault: SeededFault) -> Conformance:
    """Lay out the plugin with a fault in it."""
    laid_out(folder, fault.parts)
    path = folder / fault.file
    text = COMMAND_LAID_OUT if fault.file == COMMAND else path.read_text(encoding="utf-8")
    for old, new in fault.changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    exports = folder / "tests" / "falling"
    if fault.twice:
        for one in [*exports.glob("drops.csv*")]:
            more = (
                one.read_text(encoding="utf-8")
                .replace(SECOND[1], SECOND[3])
                .replace(";400;", ";390;")
            )
            one.with_name(one.name.replace(SECOND[0], SECOND[2])).write_text(more, encoding="utf-8")
    return handed_over(folder, fault.settings)


@pytest.mark.every(4)
@pytest.mark.parametrize("fault", FAULTS, ids=[fault.what.replace(" ", "_") for fault in FAULTS])
def test_each_seeded_fault_is_found(
    fault: SeededFault, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The check that is there for it tells it in a sentence."""
    monkeypatch.setenv("READ", "")  # one of the faults changes it
    with workbench(seeded(tmp_path, fault)) as bench:
        found = [*CHECKS[fault.check](bench)]
    assert [one for one in found if fault.said in one], found


def test_the_plugin_that_is_laid_out_passes(tmp_path: Path) -> None:
    """A package is tried without being installed, and nothing of it is left behind."""
    new_plugin("falling", tmp_path / "falling")
    asked = Conformance(tmp_path / "falling", exports=tmp_path / "falling" / "tests" / "exports")
    before = list(sys.path)
    with workbench(asked) as bench:
        found = {name: [*check(bench)] for name, check in CHECKS.items()}
        assert {name: one for name, one in found.items() if one} == {}
        assert [kind.name for kind in bench.kinds] == ["falling"]
        assert [reader.name for reader in bench.readers] == ["falling_table"]
        assert [one.name for one in bench.evaluations] == ["falling"]
    assert sys.path == before
    assert "falling" not in load_plugins(None).kinds
    assert "falling" not in load_evaluations(None).evaluations


@pytest.mark.parametrize("parts", [["property"], [*PARTS]], ids=["some parts", "all parts"])
def test_what_is_laid_out_besides_passes_too(parts: list[str], tmp_path: Path) -> None:
    """Whatever is asked for is there, and each check finds nothing."""
    laid_out(tmp_path, parts)
    with workbench(handed_over(tmp_path)) as bench:
        found = {name: [*check(bench)] for name, check in CHECKS.items()}
        assert {name: one for name, one in found.items() if one} == {}
        for there, part in ((bench.figures, "figure"), (bench.pages, "page")):
            assert len(there) == (part in parts)
        assert len(bench.commands) == ("command" in parts)
        assert [len(one.properties) for one in bench.evaluations] == [1]
        (reader,) = bench.readers
        assert hasattr(reader, "companions") == ("pair" in parts)


def test_other_examples_are_no_fault_of_an_evaluation(tmp_path: Path) -> None:
    """Its fingerprint is of rows: of other ones nothing is known, and no version need rise."""
    laid_out(tmp_path)
    exports = tmp_path / "tests" / "falling"
    for one in [*exports.glob("drops.csv*")]:
        more = one.read_text(encoding="utf-8").replace(SECOND[1], SECOND[3])
        one.with_name(one.name.replace(SECOND[0], SECOND[2])).write_text(more, encoding="utf-8")
    with workbench(handed_over(tmp_path)) as bench:
        (said,) = CHECKS["evaluations_tell_their_version"](bench)
        assert "falling is given other rows than those whose results are kept" in said
        write(bench)
        assert [*CHECKS["evaluations_tell_their_version"](bench)] == []


PENDULUM = """\
Panel;RB-014-3

Pendulum;Damping [min]
König;2.35
König;2.4
König;2.3
"""
SECONDS = """\
row,batch,panel,pendulum,damping_s
4,RB-014,RB-014-3,König,141
5,RB-014,RB-014-3,König,144
6,RB-014,RB-014-3,König,138
"""


def test_the_documented_plugin_passes(tmp_path: Path) -> None:
    """The example of `tiecoat.plugin` is all that the kit asks for, but for its fingerprints."""
    text = (tiecoat.plugin.__doc__ or "") + "\n"
    codes = [
        dedent(found[0]) for found in re.finditer(r"(?:    .*\n|\n)+", text) if found[0].strip()
    ]
    door = "from tiecoat.plugin import PageTable, StudyPage, hookimpl\n\n"
    (page,) = (door + one for one in codes if "def tell(" in one)
    (command,) = (one for one in codes if "def run(" in one)
    modules = {"pendulum": codes[0], "evaluate_pendulum": codes[2], "report_pendulum": page}
    modules["command_pendulums"] = command
    for name, code in modules.items():
        (tmp_path / f"{name}.py").write_text(code, encoding="utf-8")
    exports = tmp_path / "exports"
    exports.mkdir()
    (exports / "damping.csv").write_text(PENDULUM, encoding="utf-8")
    (exports / "damping.csv.pendulum.rows.csv").write_text(SECONDS, encoding="utf-8")
    plugins = [tmp_path / f"{name}.py" for name in modules]
    with workbench(Conformance(*plugins, exports=exports)) as bench:
        assert [len(one) for one in (bench.evaluations, bench.pages, bench.commands)] == [1, 1, 1]
        found = {name: [*check(bench)] for name, check in CHECKS.items()}
    assert {name: one for name, one in found.items() if one and "version" not in name} == {}


def test_pytest_tells_each_check_apart_and_what_it_finds_in_sentences(
    pytester: pytest.Pytester,
) -> None:
    """A fault fails the checks that find it, without a traceback into the kit."""
    new_reader("falling", pytester.path)
    plugin = pytester.path / "falling.py"
    text = plugin.read_text(encoding="utf-8")
    plugin.write_text(text.replace("ge=1, le=5000", "ge=1"), encoding="utf-8")
    options = ("-p", "no:cacheprovider", "-p", "no:xdist", "-k", "loaded or bounds or pages")
    found = pytester.runpytest_inprocess(*options, "tests")
    found.assert_outcomes(passed=1, failed=1, skipped=1, deselected=len(CHECKS) - 3)
    took = "[0-9]* s"
    stages = f"loading tiecoat {took}; loading plugins {took}; reading 2 examples {took}"
    found.stdout.fnmatch_lines(
        [
            f"falling: plugins_are_loaded {stages}; {took}*",
            f"falling: bounds_are_sane {took} F",
            "falling: pages_are_told skipped: there is not a page*",
        ]
    )
    said = "- kind falling, column 'height_mm' has no upper bound; give ge= and le=, for what is"
    found.stdout.fnmatch_lines(["*falling: bounds_are_sane*", f"{said}*"])
    found.stdout.no_fnmatch_line("*Traceback*")
    found.stdout.no_fnmatch_line("*kinds_checked.py*")
    silent = pytester.runpytest_inprocess(*options, "-q", "tests")
    silent.stdout.no_fnmatch_line("*loading plugins*")


def test_what_is_missing_is_written_and_must_be_looked_through(
    pytester: pytest.Pytester,
) -> None:
    """Rows of a new export are drafted from what is read; they count once a person has looked."""
    new_reader("falling", pytester.path)
    exports = pytester.path / "tests" / "falling"
    (exports / "fingerprints.json").unlink()
    rows = exports / "drops.csv.falling.rows.csv"
    expected = rows.read_text(encoding="utf-8")
    rows.unlink()
    options = ("-p", "no:cacheprovider", "-p", "no:xdist", "-k", "expected or version", "tests")
    others = len(CHECKS) - 4
    pytester.runpytest_inprocess(*options).assert_outcomes(passed=0, failed=4, deselected=others)
    found = pytester.runpytest_inprocess(*options, "--tiecoat-write")
    found.assert_outcomes(passed=3, failed=1, deselected=others)
    found.stdout.fnmatch_lines(["*nobody has looked it through yet*"])
    first, _, drafted = rows.read_text(encoding="utf-8").partition("\n")
    assert first.startswith("# Not looked through yet")
    rows.write_text(drafted, encoding="utf-8")
    pytester.runpytest_inprocess(*options).assert_outcomes(passed=4, deselected=others)
    assert len(drafted.splitlines()) == len(expected.splitlines())


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("while True: pass", "did not finish within its time"),
        ("import os; os._exit(3)", "ended its process"),
    ],
    ids=["hangs", "ends its process"],
)
def test_a_reader_that_hangs_or_ends_its_process_is_told_too(
    code: str, said: str, tmp_path: Path
) -> None:
    """Examples are read in real workers first: the tests go on, and say what became of them."""
    new_reader("falling", tmp_path)
    path = tmp_path / "falling.py"
    begin = "        for table in export.tables(self.titles):\n"
    text = path.read_text(encoding="utf-8").replace(begin, f"        {code}\n{begin}")
    path.write_text(text, encoding="utf-8")
    settings = "[readers]\nfolder = true\nprocesses = 1\ntime_limit_s = 2\n"
    with read_in_workers(), workbench(handed_over(tmp_path, settings)) as bench:
        assert said in "".join(CHECKS["rows_are_as_expected"](bench))
        assert said in "".join(CHECKS["little_is_taken"](bench))
        assert [*CHECKS["nothing_is_touched"](bench)] == []


PAIR = """\
from tiecoat.plugin import Claim, Companions, Measurement, hookimpl


class Heads:
    name, kind, version = "gloss_heads", "gloss", "1"
    companions = Companions("*.hdr", needed=("{stem}.dat",))

    def recognise(self, export):
        return Claim(0.9, "a head") if export.head.startswith(b"gloss head") else None

    def read(self, export):
        panel = export.entries()["panel"].text()
        data = export.companion("*.dat")
        numbers = [float(line) for line in data.text().split()]
        for row, number in enumerate(numbers, 1):
            yield Measurement(
                columns={"angle_deg": [60.0], "spot": [row], "gloss_gu": [number]},
                rows=[row],
                panel=panel,
                sheet=data.name,
            )


@hookimpl
def tiecoat_readers():
    return [Heads()]
"""


ENTRY = 'evaluate_falling = "evaluate_falling"\n'


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ('evaluate_falling = "evaluate_faling"\n', "No module named 'evaluate_faling'"),
        ('falling_results = "evaluate_falling"\n', "whose name begins with evaluate_"),
        ("", "evaluate_falling.py has hooks, and no line under [project.entry-points.tiecoat]"),
    ],
    ids=["misspelt", "another name", "forgotten"],
)
def test_an_entry_point_that_finds_nothing_is_told(entry: str, said: str, tmp_path: Path) -> None:
    """Else an evaluation would never be computed, and nobody would know why."""
    new_plugin("falling", tmp_path / "falling")
    project = tmp_path / "falling" / "pyproject.toml"
    text = project.read_text(encoding="utf-8")
    assert text.count(ENTRY) == 1
    project.write_text(text.replace(ENTRY, entry), encoding="utf-8")
    with workbench(Conformance(tmp_path / "falling")) as bench:
        assert said in "\n".join(CHECKS["plugins_are_loaded"](bench))


def test_files_of_two_determinations_do_not_pass_for_one(tmp_path: Path) -> None:
    """A companion that says its panel is asked for it."""
    code = PAIR.replace("data.text().split()", "data.text().split()[1:]")
    (tmp_path / "heads.py").write_text(code, encoding="utf-8")
    pair = tmp_path / "exports" / "run 7.hdr"
    pair.mkdir(parents=True)
    (pair / "run 7.hdr").write_text("gloss head\npanel=RB-014-3\n", encoding="utf-8")
    (pair / "run 7.dat").write_text("RB-014-3\n81.2\n80.9\n", encoding="utf-8")
    with workbench(Conformance(tmp_path / "heads.py", exports=pair.parent)) as bench:
        said = "\n".join(CHECKS["what_it_says_is_filed"](bench))
    assert "run 7.hdr with RB-014-7 for RB-014-3 in run 7.dat alone is filed for RB-014-3" in said


def test_an_empty_panel_is_an_empty_cell_of_expected_rows(tmp_path: Path) -> None:
    """What stands for nothing elsewhere is no panel."""
    path = tmp_path / "wet.csv.density.rows.csv"
    kind = load_plugins(None).kinds["density"]
    for told in ("NaN", "None", "-"):
        path.write_text(f"row,batch,panel\n2,RB-014,{told}\n", encoding="utf-8")
        with pytest.raises(NotAsExpected, match=f"'panel': found '{told}'; where there is none"):
            expected_rows(path, kind)
    path.write_text("row,batch,panel\n2,RB-014,\n", encoding="utf-8")
    ((row,), _, _) = expected_rows(path, kind)
    assert row.values == (("batch", "RB-014"),)


def test_an_export_of_several_files_is_an_example_too(tmp_path: Path) -> None:
    """It lies in a folder of the name of its main file, and goes all the way as one."""
    (tmp_path / "heads.py").write_text(PAIR, encoding="utf-8")
    pair = tmp_path / "exports" / "run 7.hdr"
    pair.mkdir(parents=True)
    (pair / "run 7.hdr").write_text("gloss head\npanel=RB-014-3\n", encoding="utf-8")
    (pair / "run 7.dat").write_text("81.2\n80.9\n", encoding="utf-8")
    rows = "row,sheet,panel,batch,angle_deg,spot,gloss_gu\n"
    rows += "1,run 7.dat,RB-014-3,RB-014,60,1,81.2\n2,run 7.dat,RB-014-3,RB-014,60,2,80.9\n"
    (pair.parent / "run 7.hdr.gloss.rows.csv").write_text(rows, encoding="utf-8")
    with workbench(Conformance(tmp_path / "heads.py", exports=pair.parent)) as bench:
        found = {name: [*check(bench)] for name, check in CHECKS.items()}
    assert {name: one for name, one in found.items() if one and "version" not in name} == {}


def test_a_row_is_counted_in_the_companion_that_it_stands_in(tmp_path: Path) -> None:
    """A head is short: a row beyond its end may well be one of the companion."""
    (tmp_path / "heads.py").write_text(PAIR, encoding="utf-8")
    pair = tmp_path / "exports" / "broken" / "out-of-bounds.much.hdr"
    pair.mkdir(parents=True)
    (pair / pair.name).write_text("gloss head\npanel=RB-014-3\n", encoding="utf-8")
    (pair / "out-of-bounds.much.dat").write_text("81\n" * 5 + "81000\n", encoding="utf-8")
    with workbench(Conformance(tmp_path / "heads.py", exports=tmp_path / "exports")) as bench:
        (was,) = bench.was.values()
        assert "sheet 'out-of-bounds.much.dat', row 6" in was.told
        assert [*CHECKS["messages_are_plain"](bench)] == []


def test_rows_of_a_companion_that_are_told_as_of_the_main_file_are_found(tmp_path: Path) -> None:
    """A head with as many lines as the data have would hide it."""
    code = PAIR.replace("                sheet=data.name,\n", "")
    (tmp_path / "heads.py").write_text(code, encoding="utf-8")
    pair = tmp_path / "exports" / "run 7.hdr"
    pair.mkdir(parents=True)
    (pair / "run 7.hdr").write_text("gloss head 3\npanel=RB-014-3\n", encoding="utf-8")
    (pair / "run 7.dat").write_text("81.2\n80.9\n", encoding="utf-8")
    with workbench(Conformance(tmp_path / "heads.py", exports=pair.parent)) as bench:
        (said,) = CHECKS["what_it_says_is_filed"](bench)
        assert [*CHECKS["damage_is_never_filed_wrong"](bench)] == []  # no line of the head has rows
    assert "run 7.hdr: row 1 is told without a sheet" in said
    assert "it follows row 1 of run 7.dat" in said


def test_a_time_that_is_made_up_is_told_once(tmp_path: Path) -> None:
    """It is another one at each reading, and yet nothing that the reader keeps."""
    (fault,) = (one for one in FAULTS if one.what == "it takes the time from the clock")
    with workbench(seeded(tmp_path, fault)) as bench:
        (said,) = CHECKS[fault.check](bench)
        assert fault.said in said
        assert [*CHECKS["nothing_is_kept"](bench)] == []


@pytest.mark.parametrize("imported", [True, False], ids=["imported", "entry point"])
def test_a_module_that_would_not_be_packed_is_told(imported: bool, tmp_path: Path) -> None:
    """It is there as long as the package is installed editable, and missing elsewhere."""
    new_plugin("falling", tmp_path)
    project = tmp_path / "pyproject.toml"
    assert modules_not_packed(tmp_path) == []
    text = project.read_text(encoding="utf-8")
    packed = 'py-modules = ["falling", "evaluate_falling"]'
    assert text.count(packed) == 1
    if imported:
        (tmp_path / "constants.py").write_text("G = 9.80665\n", encoding="utf-8")
        (tmp_path / "unused.py").write_text("", encoding="utf-8")
        with (tmp_path / "evaluate_falling.py").open("a", encoding="utf-8") as code:
            code.write("\n\nfrom constants import G\n")
        assert modules_not_packed(tmp_path) == ["constants"]
    else:
        project.write_text(text.replace(packed, 'py-modules = ["falling"]'), encoding="utf-8")
        assert modules_not_packed(tmp_path) == ["evaluate_falling"]
