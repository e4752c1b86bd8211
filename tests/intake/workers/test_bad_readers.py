"""Readers that misbehave in every way cost their own file only."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable

import psutil
import pytest
from bad_exports import BAD, HOSTILE, PROFILE, density, hostile, own_density
from labs import LabAtWork, Service, wait_until

from tiecoat.cli import main
from tiecoat.errors import PluginNotLoaded

HOSTILE_NAMES = [name for name in BAD if name.startswith("h ")]


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_reader_is_held_with_its_reason(name: str, bad_lab: LabAtWork) -> None:
    """Whatever a reader does, its file is held, and the reason says what it did."""
    record, bad = bad_lab.held()[name], BAD[name]
    told = " ".join(record["told"].split())
    assert record["reason"] == bad.code, told
    assert [word for word in bad.words if word not in told] == [], told
    assert bad_lab.original(bad.content) is not None


def test_reader_that_prints_is_no_trouble(
    bad_lab: LabAtWork, capfd: pytest.CaptureFixture[str]
) -> None:
    """A reader may print as much as it likes: its file is filed."""
    rows = [row for row in bad_lab.rows("density") if row["source_name"] == "h prints.txt"]
    assert [row["batch"] for row in rows] == ["RB-099"]
    assert rows[0]["reader"] == "hostile 1"


def test_service_outlives_its_readers(
    lab: Callable[..., LabAtWork], serve: Callable[..., Service]
) -> None:
    """While readers die, hang and break, the service goes on and files what comes after."""
    at_work = lab(readers={"folder": True, "time_limit_s": 4.0, "processes": 2})
    service = serve(at_work)
    # added while it runs: a reader, a profile with a mistake, and what an editor leaves behind
    readers = at_work.root / "readers"
    (readers / "hostile.py").write_text(HOSTILE, encoding="utf-8")
    (readers / ".#hostile.py").symlink_to("somebody@host.1234")
    (readers / "gone.py").symlink_to("nowhere.py")
    for what in ("dies", "segfaults", "hangs", "raises", "prints"):
        at_work.drop(f"{what}.txt", hostile(what))
    at_work.drop("good.csv", density())
    service.expect("hangs.txt")
    wait_until(lambda: len(at_work.held()) == 4, "four held files")
    at_work.drop("after all of it.csv", density(at="15.09.2026;08:00"))
    service.expect("filed   after all of it.csv")
    assert {name: record["reason"] for name, record in at_work.held().items()} == {
        "dies.txt": "reader-died",
        "segfaults.txt": "reader-died",
        "hangs.txt": "reader-too-slow",
        "raises.txt": "reader-failed",
    }
    names = {row["source_name"] for row in at_work.rows("density")}
    assert names == {"good.csv", "prints.txt", "after all of it.csv"}
    assert "is not for the screen" not in service.output
    assert "Traceback" not in service.output
    # a profile with a mistake is told when it is added, not at the next start
    profile = PROFILE.format(name="new", title="Column X", layout="").replace("titles", "titels")
    (readers / "new.toml").write_text(profile, encoding="utf-8")
    at_work.drop("new.csv", own_density("Column X"))
    service.expect("new.toml")
    service.expect("titels")
    service.expect("held    new.csv: a column holds values, and nothing says what they are")
    (readers / "new.toml").write_text(profile.replace("titels", "titles"), encoding="utf-8")
    at_work.drop("new too.csv", own_density("Column X", "1.40"))
    service.expect("filed   new too.csv")
    # the system ends every process that reads, or may read, as it does when memory is short
    for child in psutil.Process(service.process.pid).children(recursive=True):
        if "forkserver" in " ".join(child.cmdline()):
            child.kill()
    at_work.drop("at last.csv", density(at="16.09.2026;08:00"))
    service.expect("filed   at last.csv")
    assert "Traceback" not in service.output
    assert service.stop(signal.SIGTERM) == 0


def test_reader_that_ends_the_process_without_a_word(lab: Callable[..., LabAtWork]) -> None:
    """A reader that leaves with code 0 looks like success to the system; its file is held too."""
    at_work = lab(readers={"folder": True, "time_limit_s": 3.0})
    quiet = HOSTILE.replace("os._exit(3)", "os._exit(0)")
    (at_work.root / "readers" / "hostile.py").write_text(quiet, encoding="utf-8")
    at_work.drop("dies.txt", hostile("dies"))
    at_work.take()
    assert at_work.held()["dies.txt"]["reason"] in {"reader-died", "reader-too-slow"}


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("raise RuntimeError('not today')", "RuntimeError: not today"),
        ("import no_such_package", "no_such_package"),
        ("def broken(:", "SyntaxError"),
        ("import sys; sys.exit('bye')", "SystemExit: bye"),
        ("answer = 42", "none of the hooks"),
    ],
    ids=["raises", "imports", "syntax", "exits", "no hook"],
)
def test_reader_that_does_not_load_is_left_out(
    source: str, words: str, lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str]
) -> None:
    """A reader that does not load is named with the cause; the others go on."""
    at_work = lab(readers={"folder": True})
    (at_work.root / "readers" / "faulty.py").write_text(source)
    at_work.drop("good.csv", density())
    assert main(["take", "--lab", str(at_work.root)]) == 0
    printed = capsys.readouterr().out
    assert "left out" in printed
    assert "faulty.py" in printed
    assert words in printed
    assert "filed   good.csv" in printed


def test_reader_that_kills_the_process_when_it_loads(
    lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str]
) -> None:
    """A reader that ends the process at import stops the command and holds nothing."""
    at_work = lab(readers={"folder": True})
    (at_work.root / "readers" / "faulty.py").write_text("import os\nos._exit(5)\n")
    dropped = at_work.drop("good.csv", density())
    assert main(["take", "--lab", str(at_work.root)]) == 2
    printed = capsys.readouterr().err
    assert "the plugins could not be loaded" in printed
    assert f"Take the last reader that was added out of {at_work.root / 'readers'}" in printed
    assert issubclass(PluginNotLoaded, ImportError)
    assert dropped.exists()
    assert at_work.held() == {}
    os.unlink(at_work.root / "readers" / "faulty.py")  # noqa: PTH108
    assert at_work.take()["good.csv"].status == "filed"


def test_folder_of_readers_is_off_by_default(lab: Callable[..., LabAtWork]) -> None:
    """No code from the lab folder runs unless the settings say so."""
    at_work = lab()
    (at_work.root / "readers" / "hostile.py").write_text(HOSTILE, encoding="utf-8")
    at_work.drop("prints.txt", hostile("prints"))
    at_work.take()
    assert at_work.held()["prints.txt"]["reason"] == "no-reader"
