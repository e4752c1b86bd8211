"""`tiecoat plugin new`: a plugin to begin with, in a package or in a lab."""

from __future__ import annotations

from pathlib import Path

import pytest
from labs import make_lab

from tiecoat.cli import main


def test_a_package_is_laid_out_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a folder of its name, with what to do next; what is there already stays as it is."""
    monkeypatch.chdir(tmp_path)
    assert main(["plugin", "new", "falling_weight"]) == 0
    said = capsys.readouterr().out
    for name in ("pyproject.toml", "falling_weight.py", "tests/test_falling_weight.py"):
        assert (tmp_path / "falling_weight" / name).is_file()
        assert f"  {Path(name)} " in said
    assert "pytest falling_weight" in said
    assert "pip install -e falling_weight" in said
    assert main(["plugin", "new", "falling_weight"]) == 2
    assert "exists and is not empty; name a new folder" in capsys.readouterr().err


def test_a_lab_gets_files_that_are_read_by_once_it_allows_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its tests lie in a folder where nothing is loaded from."""
    lab = make_lab(tmp_path / "lab", readers={"folder": True, "processes": 1})
    assert main(["plugin", "new", "falling", "--in-lab", "--lab", str(lab.root)]) == 0
    assert main(["readers", "--lab", str(lab.root)]) == 0
    capsys.readouterr()
    export = lab.root / "readers" / "tests" / "falling" / "drops.csv"
    assert main(["try", str(export), "--lab", str(lab.root)]) == 0
    assert "5 rows would be filed" in capsys.readouterr().out


def test_parts_are_laid_out_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each with a word of what stands in it; what is no part is told with those there are."""
    new = ["plugin", "new", "falling_weight", "--to", str(tmp_path / "new")]
    assert main([*new, "--with", "pair, page,command"]) == 0
    said = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert "evaluate_falling_weight.py the evaluation and page" in said
    assert "command_falling_weight.py tiecoat falling-weight" in said
    assert (tmp_path / "new" / "tests" / "exports" / "drops.fwh" / "drops.fwd").is_file()
    assert "tiecoat_figures" not in (tmp_path / "new" / "evaluate_falling_weight.py").read_text()
    with pytest.raises(SystemExit, match="2"):
        main([*new, "--with", "picture"])
    expected = "found 'picture'; expected all, or some of pair, property, figure, page, command"
    assert expected in " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize(
    "name",
    ["Falling", "fa", "evaluate_it", "density", "json", "a b", "class", "report", "verdicts"],
)
def test_a_name_that_will_not_do_is_refused(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is written for it."""
    assert main(["plugin", "new", name, "--to", str(tmp_path / "new")]) == 2
    assert repr(name) in capsys.readouterr().err
    assert not (tmp_path / "new").exists()


def test_without_an_action_it_says_which_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    """It is told what may be done."""
    assert main(["plugin"]) == 2
    assert "tiecoat plugin new NAME" in capsys.readouterr().err
