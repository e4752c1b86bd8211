"""An upgrade that was cut short keeps its own kind from being asked, and nothing else."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import pytest
from bad_exports import density
from changing_kind import KIND, install, plugin, weighed
from faulty_disk import Killed
from labs import LabAtWork, make_lab

import tiecoat
from tiecoat.archive.lock import write_lock
from tiecoat.ask.query import Archive
from tiecoat.cli import main
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged, QueryInvalid

DO = "complete it: tiecoat upgrade"
TOLD = f"the tables of {KIND} are whole, and not in their place: an upgrade was cut short"


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab whose upgrade was killed when the old tables of a kind had been moved aside."""
    at_work = make_lab(
        tmp_path_factory.mktemp("left") / "lab", readers={"processes": 1, "folder": True}
    )
    install(at_work, plugin(1))
    at_work.drop("a.csv", weighed())
    at_work.drop("b.csv", weighed("RB-015-1", grams="0,25"))
    at_work.drop("c.csv", density())
    assert {one.status for one in at_work.take().values()} == {"filed"}
    install(at_work, plugin(3))
    move = fsio.move_folder

    def killed_after(source: Path, target: Path) -> NoReturn:
        move(source, target)
        raise Killed

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fsio, "move_folder", killed_after)
        with pytest.raises(Killed):
            main(["upgrade", "--lab", str(at_work.root)])
    assert sorted(path.name for path in (at_work.root / "archive").iterdir()) == ["density"]
    return at_work


@pytest.mark.parametrize(
    ("ask", "answer"),
    [
        (Archive.kinds, [KIND, "density"]),
        (Archive.batches, ["RB-014", "RB-015"]),
        (lambda archive: archive.measurements()["kind"].tolist(), [KIND, KIND, "density"]),
        (lambda archive: archive.measurements(batch="RB-015")["kind"].tolist(), [KIND]),
        (lambda archive: [one.kind for one in archive.holds().kinds], [KIND, "density"]),
        (lambda archive: [one.rows for one in archive.holds().kinds], [2, 1]),
    ],
    ids=["kinds", "batches", "measurements", "of a batch", "contents", "rows"],
)
def test_questions_to_all_kinds_are_answered_as_ever(
    left: LabAtWork, ask: Callable[[Archive], object], answer: object
) -> None:
    """Nothing is lost, and the index knows it; the warning names the kind and what to run."""
    with pytest.warns(UserWarning, match=f"^{TOLD}\\.\n.*{DO}$"):
        assert ask(tiecoat.open(left.root)) == answer


def test_questions_to_other_kinds_are_answered_without_a_word(left: LabAtWork) -> None:
    """By rows, by SQL, evaluated, of one batch; the batch of the other kind has none of this."""
    archive = tiecoat.open(left.root)
    assert archive.read("density")["density_g_cm3"].tolist() == [1.3912]
    assert archive.read("density", batch="RB-014")["batch"].tolist() == ["RB-014"]
    assert archive.sql("select count(*) as n from density")["n"].tolist() == [1]
    assert archive.measurements("density")["kind"].tolist() == ["density"]
    assert archive.batches("density") == ["RB-014"]
    assert set(archive.evaluate("density")["batch"]) == {"RB-014"}
    with pytest.raises(QueryInvalid, match="Tables: density"):
        archive.sql("select nothing from density")


@pytest.mark.parametrize(
    "ask",
    [
        lambda archive: archive.read(KIND),
        lambda archive: archive.read(KIND.upper(), batch="RB-014"),
        lambda archive: archive.columns(KIND),
        lambda archive: archive.arrow(KIND),
        lambda archive: archive.batches(KIND),
        lambda archive: archive.measurements(KIND),
        lambda archive: archive.sql(f"select * from {KIND}"),
        lambda archive: archive.sql(f"select * from density join {KIND}_all using (batch)"),
    ],
)
def test_questions_to_the_kind_itself_say_what_to_run(
    left: LabAtWork, ask: Callable[[Archive], object]
) -> None:
    """None is answered without its rows."""
    with pytest.raises(ArchiveDamaged, match=f"^{TOLD}\\.\n.*{DO}$"):
        ask(tiecoat.open(left.root))


@pytest.mark.filterwarnings("always::UserWarning")
def test_contents_shows_all_and_tells_it_once(
    left: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the errors' stream, as a command for scripts does too."""
    for more in ([], ["--json"]):
        assert main(["contents", *more, "--lab", str(left.root)]) == 0
        shown = capsys.readouterr()
        assert KIND in shown.out
        assert "density" in shown.out
        assert shown.err.startswith(f"tiecoat: {TOLD}.\n")
        assert shown.err.count(TOLD) == 1


def test_status_says_which_kind_and_what_to_run(
    left: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """So do `tiecoat` alone, which offers it first, and both for scripts."""
    said = (
        f"cut short: an upgrade of {KIND} (column 'weight': g in the tables, mg now; column"
        " 'temperature': not there in the tables, new now; kind version 1 in the tables, kind"
        f" version 3 now). Nothing is lost; {DO}"
    )
    for command, code in ((["service", "status"], 2), ([], 1)):
        assert main([*command, "--lab", str(left.root)]) == code
        assert f"trouble  {said}\n" in capsys.readouterr().out
        assert main([*command, "--json", "--lab", str(left.root)]) == code
        told = json.loads(capsys.readouterr().out)
        assert told["troubles"] == [said]
    assert told["next"][0]["command"] == "tiecoat upgrade"


def test_nothing_is_told_while_an_upgrade_goes_on(
    left: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """It may be about just these last steps."""
    with write_lock(left.lab):
        other = threading.Thread(
            target=main, args=(["service", "status", "--lab", str(left.root)],)
        )
        other.start()
        other.join()
    shown = capsys.readouterr().out
    assert "not running" in shown
    assert "cut short" not in shown


def test_the_other_kinds_are_published(
    left: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It ends with 1 and says which kind it left; completed, that one follows."""
    pytest.importorskip("deltalake", reason="the extra lake is not installed")
    import tiecoat.lake

    at_work, url = left.copy(tmp_path / "hall"), str(tmp_path / "lake")
    publish = ["publish", url, "--lab", str(at_work.root)]
    assert main(publish) == 1
    shown = capsys.readouterr().out
    assert "density: 1 table: RB-014\n" in shown
    assert f"{KIND}: not published: {TOLD}." in shown
    assert DO in shown
    assert len(tiecoat.lake.open(url).read("density")) == 1

    assert main(["upgrade", "--lab", str(at_work.root)]) == 0
    capsys.readouterr()
    assert main(publish) == 0
    assert capsys.readouterr().out == f"{KIND}: 2 tables: RB-014, RB-015\n"
    assert tiecoat.lake.open(url).read(KIND)["weight"].tolist() == [12500, 250]
    assert main(["--lab", str(at_work.root)]) == 0
    assert "cut short" not in capsys.readouterr().out
    assert tiecoat.open(at_work.root).kinds() == [KIND, "density"]
