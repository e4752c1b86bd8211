"""A plugin from outside: a package that is installed beside tiecoat adds a kind and a reader.

The code of the plugin is the example that the documentation of `tiecoat.plugin` shows. It is
installed by pip into an environment of its own, which also sees everything of this one. That takes
long; by default the example passes through the kit instead (`tests/testing/test_kit.py`).
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import textwrap
import venv
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import pyarrow.parquet as pq
import pytest

import tiecoat.plugin
from tiecoat.lab.new_lab import new_lab

PYPROJECT = """\
[build-system]
requires = ["setuptools"]
build-backend = "setuptools.build_meta"

[project]
name = "{name}"
version = "0.3"

[project.entry-points.tiecoat]
{entries}

[tool.setuptools]
py-modules = {modules}
"""
MISSPELT = """
from tiecoat.plugin import hookimpl

@hookimpl
def tiecoat_reader():
    return []
"""
TAKEN = """
from tiecoat.plugin import hookimpl

class Mine:
    name, kind, version = "any_table", "impedance", "9"
    def recognise(self, export):
        raise AssertionError("never asked")
    def read(self, export):
        return []

@hookimpl
def tiecoat_readers():
    return [Mine()]
"""
SETTINGS = "[intake]\nsettle_s = 0.1\n"
PENDULUM = """\
Panel;RB-014-3

Pendulum;Damping [min]
König;2.35
König;2.4
König;2.3
"""


def documented_examples() -> list[str]:
    """Return the pieces of code that the documentation of `tiecoat.plugin` shows."""
    text = (tiecoat.plugin.__doc__ or "") + "\n"
    return [textwrap.dedent(found[0]).strip() for found in re.finditer(r"(?:    .*\n|\n)+", text)]


class Environment:
    """A Python environment in a folder, which sees the packages of the one that runs the tests."""

    def __init__(self, folder: Path) -> None:
        venv.create(folder, with_pip=False)
        self._python = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
        shared = [path for path in sys.path if path.endswith("site-packages")]
        (packages,) = folder.glob("Lib/site-packages" if os.name == "nt" else "lib/*/site-packages")
        lines = [f"import site; site.addsitedir({path!r})\n" for path in shared]
        (packages / "shared.pth").write_text("".join(lines), encoding="utf-8")

    def install(self, folder: Path, name: str, **modules: str) -> None:
        """Write a package whose modules are plugins, and install it without the network."""
        folder.mkdir()
        entries = "\n".join(f'{module} = "{module}"' for module in modules)
        text = PYPROJECT.format(name=name, entries=entries, modules=list(modules))
        (folder / "pyproject.toml").write_text(text, encoding="utf-8")
        for module, code in modules.items():
            (folder / f"{module}.py").write_text(code, encoding="utf-8")
        offline = ("--no-index", "--no-build-isolation", "--no-deps", "--quiet")
        done = self._run("-m", "pip", "install", *offline, str(folder))
        assert done.returncode == 0, done.stderr

    def tiecoat(self, *arguments: str, exit_code: int = 0) -> str:
        """Run a command of tiecoat in this environment and return what it says."""
        done = self._run("-m", "tiecoat.cli", *arguments)
        assert done.returncode == exit_code, done.stdout + done.stderr
        assert "Traceback" not in done.stderr
        return done.stdout

    def python(self, code: str) -> str:
        """Run a script in this environment and return what it says."""
        done = self._run("-c", code)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def _run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        wide = {**os.environ, "COLUMNS": "500", "PYTHONUTF8": "1"}
        return subprocess.run(
            [self._python, *arguments], env=wide, check=False, capture_output=True, text=True
        )


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> Environment:
    """An environment with the pendulum plugin: a kind with its reader, and its evaluation."""
    folder = tmp_path_factory.mktemp("outside")
    made = Environment(folder / "environment")
    reader, _, evaluation, *_ = (code for code in documented_examples() if code)
    modules = {"pendulum_of_coatings": reader, "evaluate_pendulum": evaluation}
    made.install(folder / "pendulum", "pendulum-of-coatings", **modules)
    return made


def test_the_documented_function_takes_rows_along() -> None:
    """What it returns has the columns of the later version, in the unit of their name."""
    _, migration, *_ = (code for code in documented_examples() if code)
    found: dict[str, Any] = {"Kind": lambda *said, **more: None, "Pendulum": None}
    exec(migration, found)
    rows = pd.DataFrame({"pendulum": ["König"], "damping_s": [141.0]})
    assert found["migrate"](rows, 1).to_dict("list") == {
        "pendulum": ["König"],
        "damping_ms": [141000.0],
    }


@pytest.mark.thorough
def test_the_documented_plugin_adds_a_kind_with_reader_and_evaluation(
    environment: Environment, tmp_path: Path
) -> None:
    """Its exports are filed with units and meanings in the Parquet metadata, and evaluated."""
    lab = new_lab(tmp_path / "lab", SETTINGS).root
    (lab / "inbox" / "damping.csv").write_text(PENDULUM, encoding="utf-8")
    said = environment.tiecoat("take", "--lab", str(lab))
    assert "filed   damping.csv: pendulum RB-014 (1 measurement), 3 rows" in said
    table = lab / "archive" / "pendulum" / "RB-014" / "data.parquet"
    assert duckdb.sql(
        f"select panel, pendulum, damping_s, source_row, reader from read_parquet('{table}')"
        " order by source_row"
    ).fetchall() == [
        ("RB-014-3", "König", 141.0, 4, "pendulum_table 1"),
        ("RB-014-3", "König", 144.0, 5, "pendulum_table 1"),
        ("RB-014-3", "König", 138.0, 6, "pendulum_table 1"),
    ]
    schema = pq.read_schema(table)
    said_of = {name: schema.field(name).metadata for name in ("pendulum", "damping_s")}
    assert said_of["pendulum"][b"unit"] == b""
    assert said_of["pendulum"][b"meaning"] == b"which pendulum swings"
    assert said_of["damping_s"][b"unit"] == b"s"
    assert said_of["damping_s"][b"meaning"] == b"time until the swing has died down"
    script = f"import tiecoat; print(tiecoat.open({str(lab)!r}).evaluate('pendulum').to_json())"
    results = json.loads(environment.python(script))
    assert results["quantity"] == {"0": "damping_mean"}
    assert results["panel"] == {"0": "RB-014-3"}
    assert results["value"]["0"] == pytest.approx((141 + 144 + 138) / 3)


@pytest.mark.thorough
def test_plugins_with_faults_are_told_and_left_out(
    environment: Environment, tmp_path: Path
) -> None:
    """One that does not import, a misspelt hook, a name that is taken: everything else works."""
    environment.install(
        tmp_path / "faulty",
        "faulty",
        no_import="import a_module_that_is_not_there\n",
        misspelt=MISSPELT,
        taken=TAKEN,
    )
    lab = new_lab(tmp_path / "lab", SETTINGS).root
    said = environment.tiecoat("readers", "--lab", str(lab), exit_code=1)
    left_out = sorted(line for line in said.splitlines() if line.startswith("left out: "))
    # its kind and its reader
    assert said.count("pendulum_of_coatings of pendulum-of-coatings 0.3") == 2
    assert len(left_out) == 3
    assert "plugin misspelt of faulty 0.3 was left out: " in left_out[0]
    assert "tiecoat_reader" in left_out[0]
    assert "the hooks are tiecoat_kinds, tiecoat_readers" in left_out[0]
    assert "plugin no_import of faulty 0.3 was left out: " in left_out[1]
    assert "a_module_that_is_not_there" in left_out[1]
    assert "reader 'any_table' of taken of faulty 0.3 was left out: " in left_out[2]
    assert "tiecoat has a reader of this name" in left_out[2]

    (lab / "inbox" / "damping.csv").write_text(PENDULUM, encoding="utf-8")
    said = environment.tiecoat("take", "--lab", str(lab))
    assert "filed   damping.csv: pendulum RB-014 (1 measurement), 3 rows" in said
