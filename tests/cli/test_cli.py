"""The commands: what they print, their exit codes, and that they load nothing heavy too early."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from bad_exports import density, impedance
from labs import LabAtWork

from tiecoat.cli import main

Make = Callable[..., LabAtWork]
HEAVY = {"pandas", "pandera", "pint", "duckdb", "scipy", "pyarrow", "numpy"}
COMMANDS = ["new", "serve", "take", "try", "held", "supersede", "retract", "contents", "readers"]
NEED_A_LAB = [
    ["serve"],
    ["take"],
    ["try", "x.csv"],
    ["held"],
    ["held", "show", "x"],
    ["held", "assign", "x", "--batch", "RB-014"],
    ["held", "retry"],
    ["held", "discard", "x", "--why", "y"],
    ["supersede", "x", "--why", "y"],
    ["retract", "x", "--why", "y"],
    ["contents"],
    ["readers"],
    ["reindex"],
    ["service"],
    ["service", "install"],
    ["service", "status"],
    ["verify"],
    ["rebuild"],
    ["rebuild", "--accept"],
]


def python(*arguments: str, **options: object) -> subprocess.CompletedProcess[str]:
    """Run a Python process."""
    return subprocess.run(
        [sys.executable, *arguments],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        cwd=str(options.get("cwd", ".")),
    )


@pytest.mark.parametrize(
    "what",
    [
        "import tiecoat.cli",
        "import tiecoat, tiecoat.lab.settings, tiecoat.plugin, tiecoat.errors",
        "from tiecoat.cli import main\ntry: main(['--help'])\nexcept SystemExit: pass",
        "from tiecoat.cli import main\ntry: main(['held', '--help'])\nexcept SystemExit: pass",
    ],
    ids=["cli", "face", "help", "help of a command"],
)
def test_commands_start_light(what: str) -> None:
    """Importing the package and asking for help load no heavy library."""
    show = "import json, sys\nprint()\nprint(json.dumps(sorted(sys.modules)))"
    done = python("-c", f"{what}\n{show}")
    assert done.returncode == 0, done.stderr
    loaded = {name.split(".")[0] for name in json.loads(done.stdout.splitlines()[-1])}
    assert HEAVY & loaded == set()


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    """The help lists the commands in plain words and says what tiecoat does not replace."""
    with pytest.raises(SystemExit, match="0"):
        main(["--help"])
    printed = capsys.readouterr().out
    assert [name for name in COMMANDS if f"    {name}" not in printed] == []
    assert "nor the\nperson who answers for a release" in printed


@pytest.mark.parametrize("arguments", NEED_A_LAB, ids=lambda arguments: " ".join(arguments[:2]))
def test_wrong_folder_is_told(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A command on a folder that is no lab ends with code 2 and says how to name or make one."""
    assert main([*arguments, "--lab", str(tmp_path)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith(f"tiecoat: {tmp_path} is not a lab: it holds no tiecoat.toml.\n")
    assert "--lab" in printed.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("arguments", NEED_A_LAB, ids=lambda arguments: " ".join(arguments[:2]))
def test_wrong_settings_are_told(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A wrong setting ends every command with code 2, and is named by key, line and value."""
    (tmp_path / "tiecoat.toml").write_text("[numbers]\ndecimal = ','\n")
    assert main([*arguments, "--lab", str(tmp_path)]) == 2
    printed = capsys.readouterr()
    assert "line 2: numbers.decimal = ',': allowed is" in printed.err
    assert printed.out == ""


@pytest.mark.parametrize(
    "arguments",
    [["nonsense"], ["supersede", "x"], ["held", "discard", "x"], ["retract", "--why", "y"]],
    ids=["unknown", "supersede without why", "discard without why", "retract nothing"],
)
def test_wrong_usage(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """A command that is not complete ends with code 2 and shows its usage."""
    with pytest.raises(SystemExit, match="2"):
        main(arguments)
    assert "usage: tiecoat" in capsys.readouterr().err


def test_first_hour_with_a_lab(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """New, try, take, contents, held, readers, reindex, verify: each says what is expected."""
    root = tmp_path / "my lab"

    def run(*arguments: str | Path) -> tuple[int, str]:
        code = main([str(argument) for argument in arguments])
        printed = capsys.readouterr()
        assert printed.err == ""
        return code, printed.out

    code, out = run("new", root)
    assert code == 0
    assert f"Laid out {root}" in out
    assert "tiecoat serve" in out
    settings = (root / "tiecoat.toml").read_text()
    (root / "tiecoat.toml").write_text(settings.replace("settle_s = 5.0", "settle_s = 0.1"))
    assert run("take", "--lab", root) == (0, "nothing to take in\n")
    assert run("held", "--lab", root) == (0, "nothing is held\n")
    code, out = run("contents", "--lab", root)
    assert (code, out) == (0, "nothing has been filed yet\n")

    export = tmp_path / "RB-014.csv"
    export.write_text(density())
    code, out = run("try", export, "--lab", root)
    assert code == 0
    assert "any_table" in out
    assert "1.3912" in out
    assert "1 row would be filed. Nothing was filed now." in out
    assert not (root / "archive" / "density").exists()
    bad = tmp_path / "bad.csv"
    bad.write_text(density("x"))
    code, out = run("try", bad, "--lab", root)
    assert code == 1
    assert "It would be held: there is text where a number belongs." in out
    assert "row 5" in out
    assert "Correct or empty the cell in a copy" in out
    assert run("held", "--lab", root)[0] == 0

    (root / "inbox" / "good.csv").write_text(density())
    (root / "inbox" / "bad.csv").write_text(density("x"))
    (root / "inbox" / "spectrum.csv").write_text(impedance())
    code, out = run("take", "--lab", root)
    assert code == 1
    odd = "; remarked: unregistered-{0}: the {0} is not in the register\n".format
    assert f"filed   good.csv: density RB-014 (1 measurement), 1 row{odd('batch')}" in out
    assert f"filed   spectrum.csv: impedance RB-014 (1 measurement), 3 rows{odd('panel')}" in out
    assert "held    bad.csv: there is text where a number belongs (row 5, column" in out
    code, out = run("contents", "--lab", root)
    assert code == 0
    assert [line.split()[:5] for line in out.splitlines()[1:3]] == [
        ["density", "1", "0", "1", "1"],
        ["impedance", "1", "1", "1", "3"],
    ]
    code, out = run("readers", "--lab", root)
    assert code == 0
    assert "any_table 1\tany\t\ttiecoat" in out.splitlines()
    assert "rust_photograph of tiecoat 0.1.0" in out
    assert "gloss\tpanel\tangle_deg (deg), spot, gloss_gu\tkind_gloss of tiecoat 0.1.0" in out
    assert "left out" not in out
    code, out = run("reindex", "--lab", root)
    assert code == 0
    assert "indexed 2 measurements in 2 tables" in out
    code, out = run("verify", "--lab", root)
    assert code == 0
    assert "the lab is sound" in out
    code, out = run("held", "--lab", root)
    assert code == 1
    assert "bad.csv" in out


def test_what_is_told_of_many_files_is_told_once(
    lab: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    """Five with one remark, two held for one reason: once each, with the count and the files."""
    at_work = lab()
    for place in range(5):
        at_work.drop(f"day {place}.csv", density(batch=f"RB-02{place}"))
    for name in ("no 1.csv", "no 2.csv"):
        at_work.drop(name, density("x", batch=f"RB-03{name[3]}"))
    assert main(["take", "--lab", str(at_work.root)]) == 1
    lines = capsys.readouterr().out.splitlines()
    whole = "\n".join(lines)
    assert whole.count("the batch is not in the register") == 1
    assert whole.count("there is text where a number belongs") == 1
    filed = [one for one in lines if one.startswith("filed ")]
    first = filed[0].removeprefix("filed   ").partition(":")[0]
    assert all(one.endswith(f"1 row; remarked: as {first}") for one in filed[1:])
    assert len(filed) == 5
    held = [one for one in lines if one.startswith("held ")]
    assert [": as no 1.csv; see: tiecoat held show" in one for one in held] == [False, True]
    names = ", ".join(one.removeprefix("filed   ").partition(":")[0] for one in filed[:3])
    assert f"5 files remarked alike, as {first} says: {names} and 2 more" in lines
    assert "2 files held alike, as no 1.csv says: no 1.csv, no 2.csv" in lines
    assert lines[-1] == "in all: 5 filed, 2 held"


def test_try_says_what_it_cannot_find(lab: Make, capsys: pytest.CaptureFixture[str]) -> None:
    """Trying a file that is not there, or a folder, ends with code 2 and its name."""
    at_work = lab()
    for path, words in ((at_work.root / "no.csv", "No such file"), (at_work.inbox, "is a folder")):
        assert main(["try", str(path), "--lab", str(at_work.root)]) == 2
        printed = capsys.readouterr().err
        assert str(path) in printed
        assert words in printed


def test_lab_is_the_current_folder(lab: Make) -> None:
    """Without --lab a command looks for the lab where it is called, and --lab stands anywhere."""
    at_work = lab()
    module = ["-m", "tiecoat.cli"]
    assert python(*module, "held", cwd=at_work.root).returncode == 0
    assert python(*module, "held", cwd=at_work.root.parent).returncode == 2
    root = str(at_work.root)
    assert python(*module, "held", "--lab", root, "show", "x").stderr.startswith("tiecoat: no held")
    assert python(*module, "held", "show", "x", "--lab", root).stderr.startswith("tiecoat: no held")


def test_new_lab_where_there_can_be_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A lab in a folder that is in use, or below a file, is refused plainly."""
    (tmp_path / "file").touch()
    for place in (tmp_path, tmp_path / "file", tmp_path / "file" / "lab"):
        assert main(["new", str(place)]) == 2
        printed = capsys.readouterr().err
        assert printed.startswith("tiecoat: ")
        assert "Traceback" not in printed
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_reader_of_the_output_goes_away(lab: Make) -> None:
    """A pipe that is closed early (`tiecoat held | head -1`) is no error of the command."""
    at_work = lab()
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "tiecoat.cli", "held", "--lab", str(at_work.root)],
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        timeout=60,
        check=False,
    )
    os.close(writing)
    assert "Traceback" not in done.stderr
