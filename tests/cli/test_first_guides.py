"""The guides for beginners: what they have people write and type does what they say."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from tiecoat.cli import main
from tiecoat.cli.commands import _parser
from tiecoat.extend.loading import load_evaluations

STEP = re.compile(
    r"into `(?P<name>[^`]+)`:?[^\n]*\n\n```\w+\n(?P<text>.*?)^```$"
    r"|^    tiecoat (?P<command>[^\n]+)$"
    r"|In `(?P<where>[^`]+)`, `(?P<was>[^`]+)` becomes `(?P<now>[^`]+)`",
    re.MULTILINE | re.DOTALL,
)


def guide(topic: str, capsys: pytest.CaptureFixture[str]) -> str:
    """Return what `tiecoat guide TOPIC` says."""
    capsys.readouterr()
    assert main(["guide", topic]) == 0
    return capsys.readouterr().out


def done(text: str, capsys: pytest.CaptureFixture[str]) -> Iterator[tuple[int, str]]:
    """Do what a guide says, in its order, here; return the code of each command and its words."""
    for step in STEP.finditer(text):
        if step["name"]:
            Path(step["name"]).write_text(step["text"], encoding="utf-8")
        elif step["where"]:
            path = Path(step["where"])
            before = path.read_text(encoding="utf-8")
            assert step["was"] in before or step["now"] in before
            path.write_text(before.replace(step["was"], step["now"]), encoding="utf-8")
        else:
            load_evaluations.cache_clear()  # each command is a process of its own to a beginner
            code = main(shlex.split(step["command"]))
            told = capsys.readouterr()
            yield code, told.out + told.err


@pytest.mark.parametrize("topic", ["first-lab", "first-instrument", "first-analysis"])
def test_every_command_named_is_one(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Those within the sentences too, and each is one line that fits the program."""
    named = re.findall(r"`tiecoat ([^`]+)`|^    tiecoat (.+)$", guide(topic, capsys), re.MULTILINE)
    assert len(named) > 5
    for words in {one or other for one, other in named}:
        _parser().parse_args(shlex.split(words))


@pytest.mark.parametrize("topic", ["first-lab", "first-instrument", "first-analysis"])
def test_what_is_to_be_copied_is_not_broken(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    """In a terminal of 80 columns a line that is longer would be copied as two."""
    text = guide(topic, capsys)
    for found in re.finditer(r"^```\w+\n(.*?)^```$", text, re.MULTILINE | re.DOTALL):
        assert [line for line in found[1].splitlines() if len(line) > 78] == []


def test_they_do_what_they_say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """All three, one after the other, in one folder, as a beginner does them."""
    monkeypatch.chdir(tmp_path)
    texts = [guide(f"first-{one}", capsys) for one in ("lab", "instrument", "analysis")]

    laid, register, held, shown, taken, discarded, contents, evaluated = done(texts[0], capsys)
    assert [one[0] for one in (laid, register, shown, discarded, contents, evaluated)] == [0] * 6
    assert "2 filed" in register[1]
    assert held[0] == 1
    assert "row 16, column 'strength_mpa': found 101 MPa" in held[1]
    assert "found 101 MPa; expected between 0 and 100 MPa" in shown[1]
    assert "filed" in taken[1]
    assert "strength_mean" in evaluated[1]

    tried, learnt, filed, laid, readers, drops, height = done(texts[1], capsys)
    assert tried[0] == 1
    assert "no reader knows this file" in tried[1]
    assert [one[0] for one in (learnt, filed, laid, readers, drops, height)] == [0] * 6
    assert "film_thickness RB-001" in filed[1]
    assert "falling_weight" in readers[1]
    assert "height_without_crack" in height[1]
    assert "300" in height[1]

    results, study, compared, spread = done(texts[2], capsys)
    assert [one[0] for one in (results, study, compared, spread)] == [0] * 4
    assert "strength_mean" in Path("results.csv").read_text(encoding="utf-8")
    assert "strength_range" in spread[1]
    script = Path("analysis.py").read_text(encoding="utf-8")
    exec(compile(script, "analysis.py", "exec"), {})
    said = capsys.readouterr().out
    assert "talc" in said
    assert "8.05" in said  # mean of the six tests of RB-001, by hand
