"""Loading evaluations: apart from readers and kinds, and each on its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tiecoat.extend import loading
from tiecoat.extend.loading import Evaluations, load_evaluations, load_plugins

EVALUATION = """
from tiecoat.plugin import Evaluation, hookimpl

@hookimpl
def tiecoat_evaluations():
    return [Evaluation("gloss", "gloss", print)]
"""
READERS_TOO = "\n@hookimpl\ndef tiecoat_readers():\n    return []\n"


@pytest.fixture(autouse=True)
def anew() -> Iterator[None]:
    """Nothing is kept from one test to the next."""
    load_evaluations.cache_clear()
    yield
    load_evaluations.cache_clear()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty readers folder, and no entry points."""
    monkeypatch.setattr(loading, "entry_points", lambda group: ())
    path = tmp_path / "readers"
    path.mkdir(mode=0o755)
    return path


def put(folder: Path, name: str, text: str) -> Path:
    """Write a file into the readers folder."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    path.chmod(0o644)
    return path


def test_the_built_in_evaluations_come_by_the_entry_points() -> None:
    """Everything that tiecoat computes is there, without a problem, and says where it is from."""
    loaded = load_evaluations(None)
    assert loaded.problems == ()
    assert {one.kind for one in loaded.evaluations.values()} == {
        "chamber_record",
        "cross_section",
        "defects",
        "density",
        "exposure_rating",
        "film_thickness",
        "foam",
        "gloss",
        "impedance",
        "pull_off",
        "rust_image",
        "viscosity",
    }
    assert loaded.sources["pull_off"].startswith("evaluate_pull_off of tiecoat ")


def test_they_are_loaded_once(folder: Path) -> None:
    """In one process the same ones are given again."""
    put(folder, "evaluate_gloss.py", EVALUATION)
    assert load_evaluations(folder) is load_evaluations(folder)


def test_only_files_of_that_name_are_loaded(folder: Path) -> None:
    """A reader is not run to find evaluations, nor an evaluation to find readers."""
    put(folder, "evaluate_gloss.py", EVALUATION)
    put(folder, "reader.py", "1 / 0")
    put(folder, "profile.toml", "")
    loaded = load_evaluations(folder)
    assert loaded.problems == ()
    assert list(loaded.evaluations) == ["gloss"]
    (folder / "evaluate_gloss.py").write_text("1 / 0")
    problems = load_plugins(folder).problems
    assert len(problems) == 2
    assert not any("evaluate_gloss" in problem for problem in problems)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("import no_such_package", "ModuleNotFoundError"),
        ("raise SystemExit(3)", "SystemExit: 3"),
        ("", "it has none of the hooks tiecoat_evaluations, tiecoat_figures, tiecoat_pages marked"),
        (
            EVALUATION.replace("tiecoat_evaluations", "tiecoat_evaluation"),
            "the hooks are tiecoat_evaluations",
        ),
        (
            EVALUATION.replace('[Evaluation("gloss", "gloss", print)]', "5"),
            "tiecoat_evaluations of plugin",
        ),
        (
            EVALUATION.replace('[Evaluation("gloss", "gloss", print)]', "['gloss']"),
            "it is str, not an Evaluation",
        ),
        (EVALUATION.replace('"gloss", print', '"gloss", 5'), "its compute cannot be called"),
        (EVALUATION.replace('"gloss", print', '"a b", print'), "must be texts without blanks"),
        (EVALUATION.replace('"gloss", print', "7, print"), "must be texts without blanks"),
        (EVALUATION.replace("print)", "print, needs=('',))"), "must be texts without blanks"),
    ],
)
def test_one_that_fails_is_named_and_stops_nothing(folder: Path, text: str, said: str) -> None:
    """The file and what is wrong with it are told, and the one after it is there."""
    bad = put(folder, "evaluate_a.py", text)
    put(folder, "evaluate_b.py", EVALUATION.replace('"gloss", "gloss"', '"haze", "gloss"'))
    loaded = load_evaluations(folder)
    (problem,) = loaded.problems
    assert str(bad) in problem
    assert said in problem
    assert list(loaded.evaluations) == ["haze"]


def test_of_two_with_one_name_the_second_is_refused(folder: Path) -> None:
    """The problem names both places."""
    one = put(folder, "evaluate_1.py", EVALUATION)
    put(folder, "evaluate_2.py", EVALUATION)
    loaded = load_evaluations(folder)
    assert loaded.sources == {"gloss": str(one)}
    assert f"{one} has an evaluation of this name" in loaded.problems[0]


def test_a_hook_in_a_file_of_the_other_name_is_told(folder: Path) -> None:
    """Nobody waits in vain for an evaluation that is never looked for, or for a reader."""
    put(folder, "gloss.py", EVALUATION)
    (problem,) = load_plugins(folder).problems
    assert "tiecoat_evaluations of plugin" in problem
    assert "whose name begins with evaluate_" in problem
    put(folder, "evaluate_gloss.py", EVALUATION + READERS_TOO)
    loaded = load_evaluations(folder)
    assert list(loaded.evaluations) == ["gloss"]
    assert "tiecoat_readers of plugin" in loaded.problems[0]


def test_no_folder_is_no_problem(folder: Path) -> None:
    """A lab without readers of its own has no evaluations of its own."""
    assert load_evaluations(folder / "none") == Evaluations({}, {}, ())
