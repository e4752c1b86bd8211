"""Notes beside a file go its way with it: kept, read, held, mended."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bad_exports import HOSTILE, density, picture
from labs import LabAtWork, look_at_all_again

from tiecoat.cli import main


@pytest.fixture
def at_work(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """A lab with a reader of pictures that must know their scale."""
    made = lab(readers={"folder": True})
    (made.root / "readers" / "photograph.py").write_text(HOSTILE)
    return made


def retry(at_work: LabAtWork, name: str) -> int:
    """Run `tiecoat held retry` for a held file."""
    return main(["held", "retry", name, "--lab", str(at_work.root)])


def kept(at_work: LabAtWork) -> list[str]:
    """The notes among the originals, oldest first."""
    return [path.read_text() for path in sorted(at_work.root.glob("originals/*/*.notes/*"))]


def test_notes_give_what_the_file_lacks(at_work: LabAtWork) -> None:
    """A picture is filed with the scale that stands beside it, and both leave the inbox."""
    at_work.drop("a.png.toml", "um_per_pixel = 2.0")
    at_work.drop("a.png", picture())
    assert [o.status for o in at_work.take().values()] == ["filed"]
    assert kept(at_work) == ["um_per_pixel = 2.0"]
    assert at_work.waiting() == []
    assert sorted(p.name for p in at_work.done.iterdir()) == ["a.png", "a.png.toml"]
    assert at_work.original(picture()) is not None
    assert at_work.sound()


def test_what_a_file_grows_into_has_its_notes(at_work: LabAtWork) -> None:
    """A picture to which its camera adds something after it was filed is read with its scale."""
    at_work.drop("a.png.toml", "um_per_pixel = 2.0")
    at_work.drop("a.png", picture())
    at_work.take()
    with (at_work.done / "a.png").open("ab") as file:
        file.write(b"made by a camera")
    look_at_all_again(at_work)
    assert [o.status for o in at_work.take().values()] == ["known"]
    assert kept(at_work) == ["um_per_pixel = 2.0", "um_per_pixel = 2.0"]
    assert at_work.held() == {}


def test_a_held_file_is_mended_by_notes_in_its_folder(at_work: LabAtWork) -> None:
    """Who puts the scale beside the held picture and tries again has it filed."""
    at_work.drop("a.png", picture())
    at_work.take()
    place: Path = at_work.held()["a.png"]["place"]
    (place / "a.png.toml").write_text("um_per_pixel = 2000")
    assert retry(at_work, "a.png") != 0
    assert at_work.held()["a.png"]["reason"] == "scale-absurd"
    (place / "a.png.toml").write_text("um_per_pixel = 2")
    assert retry(at_work, "a.png") == 0
    assert at_work.held() == {}
    assert kept(at_work) == ["um_per_pixel = 2000", "um_per_pixel = 2"]


def test_held_notes_lie_beside_their_file(at_work: LabAtWork) -> None:
    """Notes that are wrong are found where the reason says, and not in the inbox any more."""
    at_work.drop("a.png.toml", "um_per_pixel = 'two'")
    at_work.drop("a.png", picture())
    at_work.take()
    held = at_work.held()["a.png"]
    assert held["reason"] == "notes-invalid"
    assert "um_per_pixel = 'two' in a.png.toml" in " ".join(held["told"].split())
    assert (held["place"] / "a.png.toml").read_text() == "um_per_pixel = 'two'"
    assert at_work.waiting() == []


def test_dropping_both_again_tries_again(at_work: LabAtWork) -> None:
    """A held picture that comes again with notes is read with them."""
    at_work.drop("a.png", picture())
    at_work.take()
    at_work.drop("a.png.toml", "um_per_pixel = 2.0")
    at_work.drop("a.png", picture())
    assert [o.status for o in at_work.take().values()] == ["filed"]
    assert at_work.held() == {}
    assert at_work.waiting() == []


def test_notes_without_their_file_are_held(at_work: LabAtWork) -> None:
    """Nothing is lost: notes that lie alone are an export that nobody knows."""
    at_work.drop("gone.png.toml", "um_per_pixel = 2.0")
    at_work.take()
    assert at_work.held()["gone.png.toml"]["reason"] == "no-reader"


def test_what_is_too_long_for_notes_is_a_file_of_its_own(at_work: LabAtWork) -> None:
    """A file of more than 64 KiB is no notes, whatever lies beside it."""
    at_work.drop("d.csv.toml", "x" * 70_000)
    at_work.drop("d.csv", density())
    outcomes = at_work.take()
    assert outcomes["d.csv"].status == "filed"
    assert outcomes["d.csv.toml"].status == "held"


def test_trying_a_file_sees_its_notes(
    at_work: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`tiecoat try` reads with the notes that lie beside the file, and files nothing."""
    path = tmp_path / "RB-099 a.png"
    path.write_bytes(picture())
    assert main(["try", str(path), "--lab", str(at_work.root)]) != 0
    path.with_name(f"{path.name}.toml").write_text("um_per_pixel = 2.0")
    assert main(["try", str(path), "--lab", str(at_work.root)]) == 0
    assert "density" in capsys.readouterr().out
    assert kept(at_work) == []


def test_the_folder_of_a_named_file_counts_as_in_an_inbox(
    at_work: LabAtWork, tmp_path: Path
) -> None:
    """`tiecoat take` and `tiecoat try` say the same: it belongs to the batch of its folder."""
    path = tmp_path / "RB-099" / "a.png"
    path.parent.mkdir()
    path.write_bytes(picture())
    path.with_name("a.png.toml").write_text("um_per_pixel = 2.0")
    assert main(["try", str(path), "--lab", str(at_work.root)]) == 0
    assert at_work.take(path)["a.png"].status == "filed"
    assert {row["batch"] for row in at_work.rows("density")} == {"RB-099"}
