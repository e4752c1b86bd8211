"""What whoever publishes this gets checked elsewhere: the same commands as on a desk."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parents[1]
ON_LINUX = ".ci/run"
ANYWHERE = "python .ci/start.py test"


def loaded(path: str) -> Any:
    return yaml.safe_load((ROOT / path).read_text(encoding="utf-8"))


def test_every_system_runs_the_command_of_the_readme() -> None:
    """Linux runs everything, Windows and macOS the tests, each by one command that exists."""
    jobs = loaded(".github/workflows/checks.yml")["jobs"]
    run = {}
    for job in jobs.values():
        (command,) = (step["run"] for step in job["steps"] if "run" in step)
        systems = job.get("strategy", {}).get("matrix", {}).get("system", [job["runs-on"]])
        run |= dict.fromkeys(systems, command)
    assert run == {
        "ubuntu-latest": ON_LINUX,
        "windows-latest": ANYWHERE,
        "macos-latest": ANYWHERE,
    }
    assert (ROOT / ON_LINUX).is_file()
    assert ANYWHERE in (ROOT / "README.md").read_text(encoding="utf-8")
    assert ANYWHERE.replace("python", "python3") in (ROOT / ON_LINUX).read_text(encoding="utf-8")


def test_a_commit_is_held_to_the_same_lint() -> None:
    """Lint and format before a commit are those of the checks, and no other repository is asked."""
    (repo,) = loaded(".pre-commit-config.yaml")["repos"]
    assert repo["repo"] == "local"
    needed = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    (ruff,) = (one for one in needed["project"]["optional-dependencies"]["test"] if "ruff" in one)
    every = (ROOT / ON_LINUX).read_text(encoding="utf-8")
    for hook in repo["hooks"]:
        assert hook["additional_dependencies"] == [ruff]
        program, command, _ = hook["entry"].split()
        assert f'/{program}" {command}' in every
    assert [hook["name"] for hook in repo["hooks"]] == ["ruff check", "ruff format"]
