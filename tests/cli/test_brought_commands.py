"""Commands of plugins: what is wrong with one is told as its own fault, and hinders no other."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tiecoat.cli import main
from tiecoat.extend.loading import load_commands
from tiecoat.lab.new_lab import new_lab

COUNT = """\
from tiecoat.plugin import CommandAnswer, LabCommand, hookimpl

def add(parser):
    parser.add_argument("--most", type=int, default=3)

def run(lab, options, told):
    told("counting", 1, options.most)
    return CommandAnswer(0, [f"{options.most} in {lab.name}"], ["one is odd"], {"most": 3})

@hookimpl
def tiecoat_commands():
    return [LabCommand("count", "count what is there", run, add, {"most": ("whole", "of it")})]
"""


def with_command(folder: Path, text: str = COUNT, name: str = "command_count.py") -> str:
    """Lay out a lab with a command of its own, and return its folder."""
    root = folder / "bench"
    if not root.exists():
        new_lab(root, "[readers]\nfolder = true\nprocesses = 1\n[intake]\nfree_mb = 0\n")
    (root / "readers" / name).write_text(text, encoding="utf-8")
    return str(root)


def test_it_is_told_and_answers_as_ours_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Lines for a person, problems on the errors' stream, one object for a script, its fields."""
    root = with_command(tmp_path)
    assert main(["count", "--most", "5", "--lab", root]) == 0
    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("5 in bench\n", "one is odd\n")
    assert main(["--lab", root, "-q", "count"]) == 0
    assert capsys.readouterr().out == ""
    assert main(["count", "--json", "--lab", root]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert {name: answer[name] for name in ("command", "exit_code", "most")} == {
        "command": "count",
        "exit_code": 0,
        "most": 3,
    }
    with pytest.raises(SystemExit, match="0"):
        main(["count", "--help", "--lab", root])
    printed = capsys.readouterr()
    assert "most whole of it" in [" ".join(line.split()) for line in printed.out.splitlines()]


def test_what_it_answers_otherwise_than_it_says_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A script gets all of it; who wrote the plugin is told of each field once."""
    text = COUNT.replace('{"most": 3})', '{"most": "3", "rest": [1, 2]})')
    root = with_command(tmp_path, text)
    assert main(["count", "--json", "--lab", root]) == 0
    printed = capsys.readouterr()
    answer = json.loads(printed.out)
    assert (answer["most"], answer["rest"]) == ("3", [1, 2])
    whose = f"command 'count' of {Path(root) / 'readers' / 'command_count.py'} answers with"
    assert printed.err.splitlines() == [
        f"{whose} 'most' '3'; its `answers` say whole",
        f"{whose} 'rest[]', which is none of its `answers`",
    ]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("    told(", "    1 / 0\n    told(", "ZeroDivisionError: division by zero (command_count"),
        ("    told(", "    raise SystemExit(5)\n    told(", "SystemExit: 5 (command_count"),
        ("    return CommandAnswer", "    return str", "TypeError: str() takes at most 3"),
        ("    return CommandAnswer(0,", "    return 7\n    (", "it returns int, not a CommandAns"),
        ("CommandAnswer(0", "CommandAnswer(5", "it exits with 5; a command has 0, 1 or 2"),
        ('"--most"', '"--lab"', "ArgumentError: argument --lab: conflicting option string"),
    ],
    ids=["raises", "exits", "misuses", "returns another", "exits oddly", "takes what is taken"],
)
def test_a_fault_of_it_is_its_own(
    tmp_path: Path, old: str, new: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """In one line, with the file and the line of it; also for a script."""
    root = with_command(tmp_path, COUNT.replace(old, new))
    assert main(["count", "--lab", root]) == 2
    printed = capsys.readouterr()
    where = Path(root) / "readers" / "command_count.py"
    assert printed.err.startswith(f"tiecoat: command 'count' of {where} broke down: {said}")
    assert len(printed.err.splitlines()) == 1
    assert printed.out == ""


def test_what_is_left_out_is_told_and_the_rest_is_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Names that are taken, a file that does not load: `readers` says so, and whoever asks."""
    with_command(tmp_path)
    with_command(tmp_path, COUNT.replace('"count"', '"take"'), "command_take.py")
    with_command(tmp_path, COUNT.replace('"count"', '"plate"'), "command_plate.py")
    with_command(tmp_path, COUNT.replace('"count"', '"Sums"'), "command_sums.py")
    root = with_command(tmp_path, "import no_such_module\n", "command_zero.py")
    found = load_commands(Path(root) / "readers")
    assert sorted(found.commands) == ["count", "plate"]
    assert [one.partition(" was left out: ")[2] for one in found.problems] == [
        "ModuleNotFoundError: No module named 'no_such_module' (command_zero.py, line 1)",
        f"{found.sources['plate']} has a command of this name",
        "its name may have lower-case letters, digits and hyphens, and has two at least",
        "tiecoat has a command of this name itself",
    ]
    assert main(["readers", "--json", "--lab", root]) == 1
    told = json.loads(capsys.readouterr().out)
    assert set(found.problems) <= set(told["left_out"])
    assert [one["name"] for one in told["commands"]] == ["count", "plate"]
    with pytest.raises(SystemExit, match="2"):
        main(["sums", "--lab", root])
    assert f"tiecoat: {found.problems[0]}\n" in capsys.readouterr().err
    assert main(["count", "--lab", root]) == 0


def test_without_leave_for_code_a_lab_has_none_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As with readers, the settings say whether what lies in `readers/` runs."""
    root = with_command(tmp_path)
    (Path(root) / "tiecoat.toml").write_text("", encoding="utf-8")
    with pytest.raises(SystemExit, match="2"):
        main(["count", "--lab", root])
    assert "invalid choice: 'count'" in capsys.readouterr().err
