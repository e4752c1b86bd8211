"""A kind changes: its tables follow as a whole, or they stay and nothing of it is filed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pyarrow.parquet as pq
import pytest
from bad_exports import density
from changing_kind import KIND, file_of, install, plugin, weighed
from labs import LabAtWork, Service, make_lab

import tiecoat
from tiecoat.cli import main
from tiecoat.verify.verify import verify


@pytest.fixture
def at_work(tmp_path: Path) -> LabAtWork:
    """A lab with two tables of the kind in its first version."""
    at_work = make_lab(tmp_path / "lab", readers={"processes": 1, "folder": True})
    install(at_work, plugin(1))
    at_work.drop("a.csv", weighed())
    at_work.drop("b.csv", weighed("RB-015-1", grams="0,25"))
    assert {one.status for one in at_work.take().values()} == {"filed"}
    return at_work


def schemas(at_work: LabAtWork) -> set[tuple[tuple[str, bytes], ...]]:
    """The names and units of the tables of the kind."""
    found = (pq.read_schema(file_of(at_work.root, batch)) for batch in ("RB-014", "RB-015"))
    return {tuple((one.name, one.metadata[b"unit"]) for one in schema) for schema in found}


def test_a_new_column_is_carried_through_all_tables_before_anything_is_filed(
    at_work: LabAtWork,
) -> None:
    """Without a step by anybody; every table has it, the originals are as they were."""
    install(at_work, plugin(2))
    at_work.drop("c.csv", weighed("RB-014-2"))
    assert at_work.take()["c.csv"].status == "filed"
    (schema,) = schemas(at_work)
    assert ("temperature", b"degC") in schema
    assert f"upgrading {KIND}: 2 of 2 tables" in at_work.said
    assert verify(at_work.lab).findings == ()
    records = [one for one in at_work.journal() if one["event"] == "upgraded"]
    assert [(one["kind"], one["versions_before"], one["version"]) for one in records] == [
        (KIND, [1], 2)
    ]


def test_another_unit_is_taken_along_by_the_kind(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """`upgrade --show` says it and changes nothing; then every row is in the new unit."""
    install(at_work, plugin(3))
    before = file_of(at_work.root, "RB-014").read_bytes()
    assert main(["upgrade", "--show", "--lab", str(at_work.root)]) == 0
    said = capsys.readouterr().out
    assert f"{KIND}: 2 tables" in said
    assert "column 'weight': g in the tables, mg now" in said
    assert "would follow: rows are taken along by its function migrate" in said
    assert file_of(at_work.root, "RB-014").read_bytes() == before

    assert main(["upgrade", "--lab", str(at_work.root)]) == 0
    assert "upgraded: rows are taken along" in capsys.readouterr().out
    assert tiecoat.open(at_work.root).read(KIND)["weight"].tolist() == [12500, 250]
    assert verify(at_work.lab).findings == ()
    assert main(["upgrade", "--lab", str(at_work.root)]) == 0
    assert "all tables are as their kinds are today" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (plugin(3, migrate=""), "give the kind a function migrate(frame, from_version)"),
        (plugin(1, columns=3, migrate=""), "raises the version of the kind"),
        (plugin(3, migrate="def migrate(frame, from_version):\n    return frame\n"), "expected"),
    ],
    ids=["no migrate", "same version", "wrong migrate"],
)
def test_what_cannot_follow_is_not_filed_any_more(
    at_work: LabAtWork, changed: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its tables stay, its exports are held with what differs, and nothing else is hurt.

    Once the kind is mended, what was held is filed by itself.
    """
    before = file_of(at_work.root, "RB-014").read_bytes()
    install(at_work, changed)
    at_work.drop("c.csv", weighed("RB-014-2"))
    at_work.drop("d.csv", density())
    found = at_work.take()
    assert found["c.csv"].status == "held"
    assert found["d.csv"].status == "filed", at_work.held()["d.csv"]["told"]
    assert file_of(at_work.root, "RB-014").read_bytes() == before
    held = at_work.held()["c.csv"]
    assert held["reason"] == "kind-changed"
    assert "column 'weight': found mg; expected g, as in the tables" in held["told"]
    assert any(said in line for line in at_work.said), at_work.said
    assert verify(at_work.lab).findings == ()
    assert tiecoat.open(at_work.root).read(KIND)["weight"].tolist() == [12.5, 0.25]

    install(at_work, plugin(3))
    assert at_work.take()["c.csv"].status == "filed"
    assert tiecoat.open(at_work.root).read(KIND)["weight"].tolist() == [12500, 12500, 250]
    assert verify(at_work.lab).findings == ()


def test_a_plugin_that_changes_under_the_running_service(
    at_work: LabAtWork, serve: Callable[..., Service]
) -> None:
    """Tables follow before the next export is filed, or it is held: no table is of two kinds."""
    service = serve(at_work)
    install(at_work, plugin(2))
    at_work.drop("c.csv", weighed("RB-014-2"))
    service.expect("filed   c.csv")
    (schema,) = schemas(at_work)
    assert ("temperature", b"degC") in schema
    install(at_work, plugin(3, migrate=""))
    at_work.drop("d.csv", weighed("RB-014-3"))
    service.expect("held    d.csv")
    assert schemas(at_work) == {schema}
    assert service.stop() == 0
    install(at_work, plugin(3))
    service = serve(at_work)
    service.expect("filed   d.csv")
    assert service.stop() == 0
    assert sorted(row["weight"] for row in at_work.rows(KIND)) == [250, 12500, 12500, 12500]
    assert verify(at_work.lab).findings == ()


def test_an_upgrade_waits_for_no_service(
    at_work: LabAtWork, serve: Callable[..., Service], capsys: pytest.CaptureFixture[str]
) -> None:
    """While one runs, the command says who serves; `take` beside it holds what differs."""
    service = serve(at_work)
    at_work.drop("s.csv", weighed("RB-014-3"))
    service.expect("filed   s.csv")
    install(at_work, plugin(3))
    assert main(["upgrade", "--lab", str(at_work.root)]) == 2
    assert "another process serves" in capsys.readouterr().err
    (at_work.root / "c.csv").write_text(weighed("RB-014-2"))
    assert at_work.take(at_work.root / "c.csv")["c.csv"].status == "held"
    assert service.stop() == 0
    assert verify(at_work.lab).findings == ()
