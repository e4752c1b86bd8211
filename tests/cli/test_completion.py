"""Commands are completed in a shell, by a script made from what they take."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from tiecoat.cli import main

ASKED = {  # words of a line, the last of which is completed -> what is offered
    ("con",): ["contents"],
    ("--lab", "x", "held", "sh"): ["show"],
    ("guide", "first-a"): ["first-analysis"],
    ("completion", ""): ["bash", "zsh", "fish"],
    ("merge", "--sh"): ["--show"],
    ("held", "--lab", ""): [],  # a folder
    ("take", ""): [],  # a file
}
ASK = """
asked() {
    COMP_WORDS=("$@")
    COMP_CWORD=$(($# - 1))
    _tiecoat
    echo "${COMPREPLY[*]}"
}
"""


def script(shell: str, capsys: pytest.CaptureFixture[str]) -> str:
    """Return what `tiecoat completion SHELL` prints."""
    assert main(["completion", shell]) == 0
    return capsys.readouterr().out


def said_by(shell: str, lines: str) -> str:
    """Return what a shell prints when it is given these lines; of one that is not here, nothing."""
    if (path := shutil.which(shell)) is None:
        pytest.skip(f"there is no {shell} here")
    done = subprocess.run([path], input=lines, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_bash_completes_commands_options_and_choices(capsys: pytest.CaptureFixture[str]) -> None:
    """What is no command and begins with no hyphen is left to the names of files."""
    lines = [" ".join(["asked tiecoat", *(word or "''" for word in words)]) for words in ASKED]
    said = said_by("bash", "\n".join([script("bash", capsys), ASK, *lines]))
    assert said.splitlines() == [" ".join(offered) for offered in ASKED.values()]


def test_fish_completes_commands_options_and_choices(capsys: pytest.CaptureFixture[str]) -> None:
    """Each with what it means."""
    asked = [
        'complete -C "tiecoat con"',
        'complete -C "tiecoat --lab x held sh"',
        'complete -C "tiecoat merge --sh"',
    ]
    said = said_by("fish", "\n".join([script("fish", capsys), *asked])).splitlines()
    assert "contents\tshow what the archive holds" in said
    assert any(line.startswith("show\t") for line in said)
    assert "--show\tshow what would come, change nothing" in said


def test_zsh_understands_its_script(capsys: pytest.CaptureFixture[str]) -> None:
    """It is read without a complaint, and defines what completes."""
    lines = ["compdef() { echo $*; }", script("zsh", capsys), "whence -w _tiecoat"]
    assert said_by("zsh", "\n".join(lines)) == "_tiecoat tiecoat\n_tiecoat: function\n"
