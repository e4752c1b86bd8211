"""A kind changes: its tables follow as a whole, or they stay and nothing of it is filed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pyarrow.parquet as pq
import pytest
from bad_exports import density
from changing_kind import KIND, file_of, install, plugin, weighed
from labs import LabAtWork, Service, make_lab, wait_until

import tiecoat
from tiecoat.archive.upgrade import in_place
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
    assert "    such as a.csv, row 5: weight 12.5 g -> 12500 mg\n" in said
    assert "    such as b.csv, row 5: weight 0.25 g -> 250 mg\n" in said
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
    capsys.readouterr()
    assert main(["upgrade", "--show", "--lab", str(at_work.root)]) == 1
    shown = capsys.readouterr().out
    assert said in shown
    assert "would follow" not in shown
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


def told_by_status(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> str:
    """Return what `tiecoat service status` prints."""
    capsys.readouterr()
    main(["service", "status", "--lab", str(at_work.root)])
    return capsys.readouterr().out


def test_a_plugin_that_changes_under_the_running_service(
    at_work: LabAtWork, serve: Callable[..., Service], capsys: pytest.CaptureFixture[str]
) -> None:
    """Tables follow before the next export is filed, or it is held: no table is of two kinds.

    The status says that nothing is filed; once the plugin is mended, the service follows by itself.
    """
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
    trouble = f"trouble  nothing is filed of {KIND}: "
    wait_until(lambda: trouble in told_by_status(at_work, capsys), "the status tells it")
    install(at_work, plugin(3))  # and nothing arrives
    service.expect("filed   d.csv")
    wait_until(lambda: trouble not in told_by_status(at_work, capsys), "it is over")
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
    install(at_work, plugin(3, migrate=""))  # which the service cannot follow meanwhile
    assert main(["upgrade", "--lab", str(at_work.root)]) == 2
    told = capsys.readouterr().err
    assert "another process serves" in told
    assert "A service that runs follows by itself: see tiecoat service status" in told
    (at_work.root / "c.csv").write_text(weighed("RB-014-2"))
    assert at_work.take(at_work.root / "c.csv")["c.csv"].status == "held"
    assert service.stop() == 0
    assert verify(at_work.lab).findings == ()


def test_an_upgrade_that_was_cut_short_is_completed_with_a_word(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not by `--show`, which says what there is to complete and by which command."""
    install(at_work, plugin(3))
    with monkeypatch.context() as patch:
        patch.setattr(in_place, "finish_upgrade", lambda lab: None)
        assert main(["upgrade", "--lab", str(at_work.root)]) == 0
    before = file_of(at_work.root, "RB-014").read_bytes()
    capsys.readouterr()
    assert main(["upgrade", "--show", "--lab", str(at_work.root)]) == 2
    what = f"an upgrade of {KIND} (column 'weight': g in the tables, mg now; "
    told = capsys.readouterr().err
    assert told.startswith(f"tiecoat: {what}")
    assert "complete it: tiecoat upgrade" in told
    assert file_of(at_work.root, "RB-014").read_bytes() == before
    assert main(["upgrade", "--lab", str(at_work.root)]) == 0
    told = capsys.readouterr()
    assert "all tables are as their kinds are today" in told.out
    assert told.err.startswith(f"completed what was cut short: {what}")
    assert tiecoat.open(at_work.root).read(KIND)["weight"].tolist() == [12500, 250]


def test_exports_of_a_kind_whose_plugin_is_gone_wait_for_it(at_work: LabAtWork) -> None:
    """They are not taken for a register, and say what is lacking; the plugin put back, they come.

    What is of another kind is filed as ever.
    """
    plugin_file = at_work.root / "readers" / "coat.py"
    text = plugin_file.read_text(encoding="utf-8")
    plugin_file.unlink()
    at_work.drop("c.csv", weighed("RB-014-2"))
    at_work.drop("d.csv", density())
    found = at_work.take()
    assert (found["c.csv"].status, found["d.csv"].status) == ("held", "filed")
    held = at_work.held()["c.csv"]
    assert held["reason"] == "kind-gone"
    assert [fault["expected"] for fault in held["faults"]] == [
        f"the plugin that brings kind {KIND!r}"
    ]
    install(at_work, text)
    assert at_work.take()["c.csv"].status == "filed"


def test_less_than_before_in_a_column_is_told_and_refused_where_rows_break_it(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of the same version no table changes; the first row that breaks it is named.

    What all rows keep to is told and goes on.
    """
    assert at_work.take() == {}
    tighter = plugin(1).replace("ge=0", "ge=1")
    install(at_work, tighter)
    at_work.drop("c.csv", weighed("RB-014-2"))
    assert at_work.take()["c.csv"].status == "held"
    said = (
        "column 'weight': 'at least 0 g, never empty' before, 'at least 1 g, never empty' now."
        " b.csv, row 5, column 'weight': found 0.25 g; expected at least 1 g. What is filed would"
    )
    assert said in " ".join(at_work.held()["c.csv"]["told"].split())
    assert any(said in line for line in at_work.said)
    capsys.readouterr()
    assert main(["upgrade", "--show", "--lab", str(at_work.root)]) == 1
    assert f"{KIND}\n  nothing is filed: {said}" in capsys.readouterr().out
    at_work.said.clear()
    install(at_work, tighter.replace("ge=1", "ge=0.2").replace("of the wet coat", "of wet coat"))
    assert at_work.take()["c.csv"].status == "filed"
    assert (
        f"the kind {KIND} has changed, and what is filed follows: column 'weight': 'weight of the"
        " wet coat' in the tables, 'weight of wet coat' now; column 'weight': 'at least 0 g, never"
        " empty' before, 'at least 0.2 g, never empty' now"
    ) in at_work.said


def test_a_reader_asks_for_the_unit_of_its_kind(at_work: LabAtWork) -> None:
    """Numbers that it had turned into another unit are not taken for those of the column."""
    other = plugin(1).replace('numbers("weight", "g")', 'numbers("weight", "mg")')
    install(at_work, other)
    at_work.drop("c.csv", weighed("RB-014-2"))
    assert at_work.take()["c.csv"].status == "held"
    assert "column 'weight' was asked for in mg, and its kind keeps it in g" in " ".join(
        at_work.held()["c.csv"]["told"].split()
    )
