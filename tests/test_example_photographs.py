"""The story of the example's photographs: from the inbox to rates and rusted areas."""

from __future__ import annotations

from pathlib import PurePosixPath

import pandas as pd
import pytest
from example_formats import INVENTED
from example_photographs import (
    BY_BATCH,
    FILM_MM,
    LIT,
    PANEL_MM,
    PANEL_PIXEL_MM,
    SPRAYED,
    defects,
    exports,
    rust,
    sprayed,
)
from labs import LabAtWork, make_lab
from photographs import exposed

import tiecoat
from tiecoat.cli import main
from tiecoat.picture.rust import find_rust
from tiecoat.picture.rust_choices import RustChoices

MARGIN_MM = 5.0


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    """The photographs, made once."""
    return exports()


@pytest.fixture(scope="module")
def taken(tmp_path_factory: pytest.TempPathFactory, files: dict[str, bytes]) -> LabAtWork:
    """A lab that has taken them all in."""
    lab = make_lab(tmp_path_factory.mktemp("photographs") / "lab")
    for name, content in files.items():
        path = PurePosixPath(name)
        lab.drop(path.name, content, str(path.parent))
        # a folder that appears while the observer stops makes a thread of watchdog raise
        (lab.done / path.parent).mkdir(parents=True, exist_ok=True)
    outcomes = lab.take()
    assert {outcome.status for outcome in outcomes.values()} == {"filed"}, lab.held()
    return lab


@pytest.mark.thorough
def test_they_are_small_and_the_same_every_time(files: dict[str, bytes]) -> None:
    """A repository can hold them, whoever doubts them can make them again, and they say so."""
    again = exports(LIT[:1], SPRAYED[:1])
    assert again == {name: files[name] for name in again}
    assert max(map(len, files.values())) < 60_000
    assert all(INVENTED.encode() in content for content in files.values())


def test_every_defect_of_the_truth_is_counted(taken: LabAtWork) -> None:
    """Holes inside of the margin, class by class; those at the margin may fall on either side."""
    rows = {row["panel"]: row for row in taken.rows("defects")}
    assert set(rows) == {f"{batch}-{place}" for batch, place in LIT}
    for batch, place in LIT:
        found = rows[f"{batch}-{place}"]
        spots = defects(BY_BATCH[batch], place)
        depth = [
            min(spot.x_mm, FILM_MM[0] - spot.x_mm, spot.y_mm, FILM_MM[1] - spot.y_mm)
            for spot in spots
        ]
        for column, chosen in (
            ("pinholes", [spot.light > 3 for spot in spots]),
            ("craters", [spot.rim < 1 for spot in spots]),
            ("thin_spots", [spot.light < 3 and spot.rim == 1 for spot in spots]),
        ):
            least, most = (
                sum(d > MARGIN_MM + off for d, is_one in zip(depth, chosen, strict=True) if is_one)
                for off in (0.2, -0.2)
            )
            assert least <= found[column] <= most, (batch, place, column)
        inside = (FILM_MM[0] - 2 * MARGIN_MM) * (FILM_MM[1] - 2 * MARGIN_MM)
        assert found["evaluated_mm2"] == pytest.approx(inside, rel=0.02)
    regions = taken.rows("defect_regions")
    counts = ("pinholes", "craters", "bare_spots", "thin_spots")
    assert len(regions) == sum(row[name] for row in rows.values() for name in counts)


def test_the_scale_may_stand_in_the_file_or_beside_it(taken: LabAtWork) -> None:
    """Metadata of three photographs, notes of the fourth; each row says which."""
    sources = {row["panel"]: row["scale_source"] for row in taken.rows("defects")}
    assert sources.pop("RB-018-2") == "notes"
    assert set(sources.values()) == {"metadata of the file"}


def test_the_rusted_area_of_the_truth_lies_within_the_bounds(taken: LabAtWork) -> None:
    """What the limits of colour leave open holds the truth on the area that was judged."""
    rows = {(row["panel"], row["exposure_h"]): row for row in taken.rows("rust_image")}
    assert set(rows) == {(f"{batch}-{place}", float(hours)) for batch, place, hours in SPRAYED}
    for batch, place, hours in SPRAYED:
        found = rows[f"{batch}-{place}", float(hours)]
        assert "scribe: 1 found" in found["remarks"]
        picture = exposed(
            rust(BY_BATCH[batch], place, hours),
            PANEL_MM,
            pixel_mm=PANEL_PIXEL_MM,
            border_mm=8.0,
            angle_deg=2.0 * place - 3,
            seed=BY_BATCH[batch].number * 1000 + place * 100,
        )
        judged = find_rust(
            sprayed(BY_BATCH[batch], place, hours), 1000 * PANEL_PIXEL_MM, RustChoices()
        ).evaluated
        truth = 100 * float((picture.rust & judged).sum() / judged.sum())
        low, high = found["rusted_area_low_percent"], found["rusted_area_high_percent"]
        assert low <= found["rusted_area_percent"] <= high
        assert low <= truth <= high, (batch, place, hours)


def test_the_evaluation_tells_batches_apart(taken: LabAtWork) -> None:
    """More air, more pinholes; fewer pores, less rust; and who decides is said."""
    archive = tiecoat.open(taken.root)
    lit, rusted = archive.evaluate("defects"), archive.evaluate("rust_image")

    def of_batch(table: pd.DataFrame, quantity: str, condition: str = "") -> pd.DataFrame:
        rows = table[(table["quantity"] == quantity) & (table["panel"] == "")]
        return rows[rows["condition"] == condition].set_index("batch")

    pinholes = of_batch(lit, "defects_per_dm2", "pinhole")
    assert pinholes.loc["RB-018", "value"] > 2 * pinholes.loc["RB-010", "value"]
    assert pinholes.loc["RB-018", "low"] > pinholes.loc["RB-010", "value"]
    assert set(of_batch(lit, "defects_dispersion", "pinhole")["n"]) == {2}
    areas = of_batch(rusted, "rusted_area_photographed")
    at_480 = areas[areas["exposure_h"] == 480.0]["value"]
    assert at_480["RB-016"] < 0.6 * at_480["RB-010"]
    assert rusted["flags"].str.contains("the rating is the inspector's").all()
    grades = rusted[rusted["quantity"] == "rust_grade_photographed"]
    assert (grades["low"] <= grades["high"]).all()
    clear = grades["low"] == grades["high"]
    assert (grades["value"] == grades["high"])[clear].all()
    assert grades["value"][~clear].isna().all()


def test_an_overlay_shows_what_was_counted(taken: LabAtWork) -> None:
    """`tiecoat overlay` draws on every photograph."""
    assert main(["overlay", "--lab", str(taken.root)]) == 0
    drawn = list((taken.root / "overlays").rglob("*.jpg"))
    assert len(drawn) == len(LIT) + len(SPRAYED)
