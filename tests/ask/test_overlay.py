"""`tiecoat overlay` draws what was found on the picture it was found on: contest it if you must."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from bad_exports import density, picture
from labs import LabAtWork
from PIL import Image
from read_here import read_in_workers

from tiecoat.cli import main

READER = """
from tiecoat.plugin import Claim, Measurement, hookimpl

class Meter:
    name, kind, version = "meter", "density", "1"

    def recognise(self, export):
        return Claim(0.9, "a picture") if export.is_picture else None

    def read(self, export):
        level = float(export.picture().pixels.mean()) / 100
        columns = {"temperature_c": [23.0], "density_g_cm3": [level], "state": ["rested"],
                   "elapsed_s": [60.0]}
        return [Measurement(columns=columns, rows=[1], batch=export.name[:6])]

    def draw(self, export):
        if "broken" in export.name:
            raise RuntimeError("no pen")
        pixels = export.picture().pixels.copy()
        pixels[10:20] = (255, 0, 0)
        pixels[22:27] = export.notes.get("blue", 0)
        pixels[30:35] = len(export.folder)
        if "leaves" in export.name:
            raise SystemExit(3)
        return pixels.astype(float) if "real" in export.name else pixels

@hookimpl
def tiecoat_readers():
    return [Meter()]
"""


@pytest.fixture
def at_work(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """A lab with three pictures filed, of which one cannot be drawn on, and a density."""
    made = lab(readers={"folder": True})
    (made.root / "readers" / "meter.py").write_text(READER)
    made.drop("RB-014 grey.png", picture(130))
    made.drop("RB-015 grey.png", picture(140))
    made.drop("RB-016 broken.png", picture(150))
    made.drop("density.csv", density(batch="RB-014"))
    assert {outcome.status for outcome in made.take().values()} == {"filed"}
    return made


def drawn(at_work: LabAtWork) -> list[Path]:
    """The overlays there are."""
    return sorted((at_work.root / "overlays").rglob("*.jpg"))


def test_what_was_found_is_drawn(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """Each picture has an overlay under its batch, the original is as it was, and gaps are told."""
    assert main(["overlay", "--lab", str(at_work.root)]) == 1
    assert [path.parent.name for path in drawn(at_work)] == ["RB-014", "RB-015"]
    seen = np.asarray(Image.open(drawn(at_work)[0]))
    assert np.abs(seen[15].astype(int) - (255, 0, 0)).max() < 20
    assert np.abs(seen[40].astype(int) - 130).max() < 5
    assert at_work.original(picture(130)) is not None
    told = capsys.readouterr().out
    assert "overlays/density/RB-014/RB-014 grey" in told
    assert "the reader meter broke down: RuntimeError: no pen" in told
    assert "2 pictures in " in told
    assert at_work.sound()


def test_only_what_was_asked_for(at_work: LabAtWork) -> None:
    """One batch gives the overlay of its picture, and a second run replaces it."""
    for _ in range(2):
        assert main(["overlay", "--batch", "RB-015", "--lab", str(at_work.root)]) == 0
    assert [path.parent.name for path in drawn(at_work)] == ["RB-015"]


def test_a_picture_is_drawn_as_it_was_filed(at_work: LabAtWork) -> None:
    """With the folder and the notes of then: notes that came later changed no number either."""
    content, folder = picture(160), "sixteen letters."
    at_work.drop("RB-017 grey.png.toml", "blue = 200", folder)
    at_work.drop("RB-017 grey.png", content, folder)
    at_work.take()
    at_work.drop("RB-017 again.png.toml", "blue = 90")
    at_work.drop("RB-017 again.png", content)
    assert [outcome.status for outcome in at_work.take().values()] == ["known"]
    assert main(["overlay", "--batch", "RB-017", "--lab", str(at_work.root)]) == 0
    seen = np.asarray(Image.open(drawn(at_work)[0])).astype(int)
    assert np.abs(seen[25] - 200).max() < 5
    assert np.abs(seen[32] - len(folder)).max() < 5


def test_overlays_are_told_in_the_order_of_the_batches(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not in that of what their files happen to hash to."""
    for number in range(20, 26):
        at_work.drop(f"RB-0{number}.png", picture(100 + number))
    at_work.take()
    main(["overlay", "--lab", str(at_work.root)])
    told = [line for line in capsys.readouterr().out.splitlines() if line.startswith("RB-0")]
    assert told == sorted(told)
    assert len(told) == 9


def test_whatever_a_reader_does_costs_its_own_picture_only(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """One ends its process, one gives no picture: the others are drawn, and why not is told."""
    at_work.drop("RB-018 leaves.png", picture(131))
    at_work.drop("RB-019 real.png", picture(132))
    at_work.take()
    with read_in_workers():
        assert main(["overlay", "--lab", str(at_work.root)]) == 1
    assert [path.name[:11] for path in drawn(at_work)] == ["RB-014 grey", "RB-015 grey"]
    told = capsys.readouterr().out
    assert told.count("not drawn; ") == 3


def test_a_later_version_says_so(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """What another version of the reader would find may differ from what was filed."""
    path = at_work.root / "readers" / "meter.py"
    path.write_text(READER.replace('"density", "1"', '"density", "2"'))
    assert main(["overlay", "--batch", "RB-014", "--lab", str(at_work.root)]) == 0
    assert "read by version 1 of meter, drawn by 2" in capsys.readouterr().out


def test_nothing_to_draw_on_is_said(
    lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str]
) -> None:
    """An archive without pictures gives a sentence."""
    made = lab()
    made.drop("density.csv", density(batch="RB-014"))
    made.take()
    assert main(["overlay", "--lab", str(made.root)]) == 2
    assert "none of these measurements come from a picture" in capsys.readouterr().err
