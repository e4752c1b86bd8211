"""`tiecoat plate`: which picture stands for each batch, at which scale, with which number."""

from __future__ import annotations

import json
import statistics
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from example_study import example_data
from PIL import Image
from shared_work import SharedWork

import tiecoat
from tiecoat.ask.pictures import FiledPicture
from tiecoat.ask.study_data import StudyData, read_study, study_data
from tiecoat.cli import main
from tiecoat.report.plate_figure import layout_of, length_words, round_length
from tiecoat.report.plate_files import write_plates
from tiecoat.report.plates import (
    Plate,
    PlateChoice,
    PlateSubject,
    SeenPicture,
    Shot,
    nearest_median,
    plates_of,
)

EXAMPLE = Path(__file__).parents[2] / "archive_example"
CUT = "cross_section"
PRINT_CM = 18.03  # 7.1 inches


def example_with_pictures(shared_work: SharedWork) -> StudyData:
    """Return the study of the example, with what pictures show of its batches."""
    pictures = shared_work.once("pictured", lambda _: _pictured()).pictures
    return replace(example_data(shared_work), pictures=pictures)


def _pictured() -> StudyData:
    """Return the batches of the study and what pictures show of them, and nothing compared."""
    study = read_study(EXAMPLE / "study.toml")
    return study_data(tiecoat.open(EXAMPLE), study, with_pictures=True, with_results=False)


@pytest.fixture(scope="module")
def data(shared_work: SharedWork) -> StudyData:
    """What `tiecoat plate` draws on."""
    return shared_work.once("pictured", lambda _: _pictured())


def example_plates(shared_work: SharedWork) -> list[Plate]:
    """Return its plates, a picture for each batch."""
    data = shared_work.once("pictured", lambda _: _pictured())
    return shared_work.once("plates", lambda _: plates_of(data))


@pytest.fixture(scope="module")
def typical(shared_work: SharedWork) -> list[Plate]:
    """The same."""
    return example_plates(shared_work)


def plate_of(plates: list[Plate], kind: str) -> Plate:
    """The one plate of a kind."""
    (found,) = (one for one in plates if one.subject.kind == kind)
    return found


def test_the_control_stands_first_and_nobody_without_a_picture(typical: list[Plate]) -> None:
    """In a row: control, then candidates in the order of the study."""
    assert [one.subject.kind for one in typical] == ["cross_section", "defects", "rust_image"]
    rows = {one.subject.kind: [seen.shot.batch for seen in one.seen] for one in typical}
    assert rows == {
        "cross_section": ["RB-010", "RB-016", "RB-018"],
        "defects": ["RB-010", "RB-018"],
        "rust_image": ["RB-010", "RB-016"],
    }


def test_the_picture_is_the_one_nearest_the_median_of_its_panel(typical: list[Plate]) -> None:
    """Found again from the filed rows alone, by the median of the standard library."""
    rows = tiecoat.open(EXAMPLE).read(CUT)
    for seen in plate_of(typical, CUT).seen:
        mine = rows[rows["panel"] == seen.shot.panel].set_index("field")["void_fraction_percent"]
        middle = statistics.median(mine.tolist())
        away = {str(field): abs(value - middle) for field, value in mine.items()}
        assert away[seen.shot.field] == pytest.approx(min(away.values()), rel=1e-9)
        assert seen.shot.own == mine[seen.shot.field]
        assert seen.shot.fields == len(mine)


@pytest.mark.parametrize("factor", [1.0, 1 / 3, 0.1, 7e4])
def test_of_two_equally_near_the_median_the_nearer_to_the_mean_is_shown(factor: float) -> None:
    """Four panels: 2.2 and 3.3 are each 0.55 from 2.75, and the mean is 11.65; of two, the name."""
    panels = {"1": 1.1, "2": 2.2, "3": 3.3, "4": 40.0}
    assert nearest_median({name: factor * value for name, value in panels.items()}) == "3"
    low = {"1": 1.1, "2": 2.2, "3": 3.3, "4": 3.4}
    assert nearest_median({name: factor * value for name, value in low.items()}) == "2"
    assert nearest_median({"b": factor * 4.1, "a": factor * 4.7}) == "a"


def test_the_numbers_are_the_results_of_the_archive(typical: list[Plate]) -> None:
    """Value and interval below a picture are those that `evaluate` prints for panel and batch."""
    results = tiecoat.open(EXAMPLE).evaluate(CUT, quantity="void_fraction")
    results = results.set_index(["batch", "panel"])
    for seen in plate_of(typical, CUT).seen:
        for panel, told in ((seen.shot.panel, seen.shot.of_panel), ("", seen.shot.of_batch)):
            assert told is not None
            row = results.loc[(seen.shot.batch, panel)]
            assert (told.value, told.low, told.high) == (row["value"], row["low"], row["high"])
            assert told.unit == "%"


def test_the_smallest_size_counted_stands_with_the_numbers(typical: list[Plate]) -> None:
    """From 0.3 mm where three pixels are as wide, though the setting says 0.1."""
    filed = tiecoat.open(EXAMPLE).read("defects").set_index("photograph")
    for seen in plate_of(typical, "defects").seen:
        assert seen.shot.least == filed.loc[seen.shot.field, "least_diameter_mm"] > 0.1


def test_what_was_found_is_drawn_on_the_second_and_nothing_on_the_first(
    typical: list[Plate],
) -> None:
    """The plain one is the original, pixel by pixel; the other differs by outlines alone."""
    originals = {path.name: path for path in (EXAMPLE / "exports").rglob("*.png")}
    for plate in typical:
        for seen in plate.seen:
            with Image.open(originals[seen.shot.filed.name]) as image:
                taken = np.asarray(image.convert("RGB"))
            assert seen.plain is not None
            assert seen.marked is not None
            np.testing.assert_array_equal(seen.plain, taken)
            assert 0 < (seen.marked != seen.plain).any(axis=2).mean() < 0.1


def test_others_are_there_on_request(data: StudyData) -> None:
    """Each panel with its typical field, or every field, a row of pictures a plate."""
    filed = tiecoat.open(EXAMPLE).read(CUT)
    panels = plates_of(data, PlateChoice("panel", CUT))
    assert [(one.number, one.of) for one in panels] == [(1, 2), (2, 2)]
    assert {seen.shot.panel for one in panels for seen in one.seen} == set(filed["panel"])
    fields = plates_of(data, PlateChoice("field", CUT))
    assert {seen.shot.field for one in fields for seen in one.seen} == set(filed["field"])
    early = plates_of(data, PlateChoice(kind="rust_image", exposure_h=240))
    assert [seen.shot.field for one in early for seen in one.seen] == ["RB-010-1 240 h"]


def shot(um_per_pixel: float) -> Shot:
    """A picture of which only the scale matters."""
    filed = FiledPicture("a.png", "0" * 64, CUT, "RB-010", "m", "reader 1")
    return Shot(
        filed, "RB-010", "RB-010-1", "a", 1, 1, True, True, 1.0, None, None, 1.0, {}, um_per_pixel
    )


def seen(rows: int, columns: int, um_per_pixel: float) -> SeenPicture:
    """An empty picture."""
    plain = np.zeros((rows, columns, 3), dtype=np.uint8)
    return SeenPicture(shot(um_per_pixel), plain, None, um_per_pixel)


SMALL = seen(20, 40, 5.0)


def test_all_pictures_have_one_scale() -> None:
    """An inch is as many micrometres on each, whatever its pixels; the bar is that long."""
    pictures = [seen(100, 200, 2.0), seen(50, 300, 1.0), seen(80, 80, 4.0)]
    layout = layout_of(pictures, 3, width=7.0, edge=0.0, gap=0.5, highest=9.0)
    for one, (wide, high) in zip(pictures, layout.sizes, strict=True):
        assert one.plain is not None
        assert wide / (one.plain.shape[1] * one.um_per_pixel) == pytest.approx(layout.inch_per_um)
        assert high / (one.plain.shape[0] * one.um_per_pixel) == pytest.approx(layout.inch_per_um)
    assert max(wide for wide, _ in layout.sizes) == pytest.approx(2.0)
    assert layout.bar_um == 100.0  # the narrowest picture is 300 µm wide
    unknown = layout_of(
        [*pictures, seen(10, 10, float("nan"))], 4, width=7, edge=0, gap=0, highest=9
    )
    assert np.isnan(unknown.inch_per_um)


@pytest.mark.parametrize(("um", "words"), [(50.0, "50 µm"), (1000.0, "1 mm"), (50_000.0, "50 mm")])
def test_a_bar_is_told_in_the_unit_that_suits_it(um: float, words: str) -> None:
    """Micrometres below a millimetre."""
    assert length_words(round_length(um * 1.9)) == words


def test_files_for_slides_and_print(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """PNG and TIFF of one size with their dots in an inch; the lines say which picture stands."""
    command = ["plate", str(EXAMPLE / "study.toml"), "--lab", str(EXAMPLE), "--kind", CUT]
    code = main([*command, "--to", str(tmp_path / "out"), "--dpi", "200", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert code == 0
    (one,) = told["plates"]
    assert [line.partition(":")[0] for line in one["pictures"]] == ["RB-010", "RB-016", "RB-018"]
    chosen = "picture nearest the median of 2 (both as near: the first by name)"
    assert chosen in one["pictures"][0]
    for key in ("png", "tiff"):
        with Image.open(one[key]) as image:
            assert image.info["dpi"] == pytest.approx((200, 200), abs=0.1)
            assert image.width / 200 * 2.54 == pytest.approx(PRINT_CM, abs=0.1)
            assert len(np.unique(np.asarray(image.convert("L")))) > 50


def test_the_pictures_told_of_a_file_are_those_on_it(
    data: StudyData, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seven batches take two files, each with the control: neither tells what the other shows."""
    batches = ["RB-010", *(f"RB-0{number}" for number in range(11, 17))]
    row = [replace(SMALL, shot=replace(SMALL.shot, batch=name)) for name in batches]
    plate = Plate(PlateSubject(CUT, "", float("nan")), row)
    monkeypatch.setattr("tiecoat.report.plate_files.plates_of", lambda *_: [plate])
    written = write_plates(data, tmp_path, PlateChoice(), 72)
    told = [[line.partition(":")[0] for line in one.pictures] for one in written]
    assert told == [batches[:5], ["RB-010", *batches[5:]]]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--kind", "pores"], "plates are made of cross_section, defects, rust_image"),
        (["--dpi", "5"], "--dpi: found 5; expected 72 to 1200"),
        (["--kind", "rust_image", "--hours", "9000"], "no pictures (rust_image) near 9000 h"),
    ],
)
def test_what_cannot_be_made_is_told(
    words: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A kind without pictures, dots that are no print, a time that nobody photographed."""
    command = ["plate", str(EXAMPLE / "study.toml"), "--lab", str(EXAMPLE)]
    assert main([*command, "--to", str(tmp_path), *words]) == 2
    assert said in capsys.readouterr().err
