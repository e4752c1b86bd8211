"""What `tiecoat publish` tells."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from archive_rows import export, make_lab, wet

pytest.importorskip("deltalake", reason="the extra lake is not installed")

from lakes import file

import tiecoat.lake
from tiecoat.cli import main
from tiecoat.errors import QueryInvalid
from tiecoat.lab.settings import Lab


@pytest.fixture
def lab(tmp_path: Path) -> Lab:
    """A lab with two densities."""
    made = make_lab(tmp_path / "hall")
    file(made, export("a.csv", {"density": [wet(1.31), wet(1.27, "RB-015")]}))
    return made


def test_it_tells_what_was_published(
    tmp_path: Path, lab: Lab, capsys: pytest.CaptureFixture[str]
) -> None:
    """By kind and batch; that nothing has changed; as one object for scripts."""
    command = ["publish", str(tmp_path / "lake"), "--lab", str(lab.root)]
    assert main(command) == 0
    assert capsys.readouterr().out == "density: 2 tables: RB-014, RB-015\n"
    assert main(command) == 0
    assert capsys.readouterr().out == "nothing has changed since hall was published\n"
    file(lab, export("b.csv", {"density": [wet(1.2, "RB-016")]}))
    assert main([*command, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["name"] == "hall"
    assert said["kinds"] == [
        {"kind": "density", "changed": ["RB-016"], "gone": [], "refused": None}
    ]
    assert main(["publish", "s3://a:b@lake", "--lab", str(lab.root)]) == 2
    assert "a:b" not in capsys.readouterr().err


@pytest.mark.parametrize("url", ["", " ", "archive", "../hall/originals/lake"])
def test_a_lake_is_named_and_lies_beside_the_lab(
    lab: Lab, url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """An empty variable of a script is no folder, and nothing foreign comes into a lab."""
    where = str(lab.root / url) if url.strip() else url
    before = sorted(lab.root.rglob("*"))
    assert main(["publish", where, "--lab", str(lab.root)]) == 2
    told = capsys.readouterr().err
    assert ("lies within the lab" if url.strip() else "name a folder or an address") in told
    assert sorted(lab.root.rglob("*")) == before


def test_one_lab_is_named_by_its_text(tmp_path: Path, lab: Lab) -> None:
    """A list of them is refused in a sentence, as is what is no address."""
    assert main(["publish", str(tmp_path / "lake"), "--lab", str(lab.root)]) == 0
    lake = tiecoat.lake.open(tmp_path / "lake")
    with pytest.raises(QueryInvalid, match="one lab, as text"):
        lake.read("density", lab=["hall"])  # type: ignore[arg-type]
    with pytest.raises(QueryInvalid, match="name a folder or an address"):
        tiecoat.lake.open(5)  # type: ignore[arg-type]
