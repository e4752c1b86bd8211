"""Photographs on their whole way: filed with their panel, or held with a reason that helps."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from labs import LabAtWork
from photographs import Spot, exposed, film, saved
from PIL import Image

HOLES = [Spot(x, 15.0, 1.0, 1e4) for x in (10.0, 16.0, 22.0)]
LIT = film(HOLES, (32.0, 26.0), pixel_mm=0.1, border_mm=3.0)
SPRAYED = exposed([Spot(30.0, 40.0, 8.0, 1)], (50.0, 70.0), pixel_mm=0.3, border_mm=4.0).pixels
DPI = (254, 254)  # 100 µm a pixel
SCALE = "um_per_pixel = 100\n"
LIT_PLACE, SPRAYED_PLACE = "transmitted light", "salt spray"


@pytest.fixture
def take(lab: Callable[..., LabAtWork]) -> Callable[..., LabAtWork]:
    """Drops pictures into a lab, each with notes or None, and takes them in."""

    def taken(
        files: dict[str, bytes], notes: dict[str, str] | None = None, **settings: Any
    ) -> LabAtWork:
        at_work = lab(**settings)
        for name, content in {**(notes or {}), **files}.items():
            folder, _, file = name.rpartition("/")
            at_work.drop(file, content, folder)
            # a folder that appears while the observer stops makes a thread of watchdog raise
            (at_work.done / folder).mkdir(parents=True, exist_ok=True)
        at_work.take()
        return at_work

    return taken


def test_pictures_of_any_form_give_the_same_rows(take: Callable[..., LabAtWork]) -> None:
    """8 and 16 bits, grey, palette, with alpha, TIFF: what was done stands in the remarks."""
    grey = LIT[..., 0]
    as_palette = io.BytesIO()
    Image.fromarray(grey).convert("P").save(as_palette, "PNG", dpi=DPI)
    forms = {
        "colour": saved(LIT, dpi=DPI),
        "grey": saved(grey, dpi=DPI),
        "16 bits": saved(grey.astype(np.uint16) * 257, dpi=DPI),
        "alpha": saved(np.dstack([LIT, np.full(grey.shape, 255, np.uint8)]), dpi=DPI),
        "palette": as_palette.getvalue(),
        "tiff": saved(LIT, "TIFF", dpi=DPI),
    }
    files = {f"{LIT_PLACE}/RB-014-{n} {form}.png": b for n, (form, b) in enumerate(forms.items())}
    at_work = take(files)
    assert at_work.held() == {}
    rows = at_work.rows("defects")
    assert sorted(row["panel"] for row in rows) == [f"RB-014-{n}" for n in range(6)]
    assert {row["craters"] for row in rows} == {3.0}
    assert {row["scale_source"] for row in rows} == {"metadata of the file"}
    remarks = {row["photograph"].partition(" ")[2]: row["remarks"] for row in rows}
    assert remarks["16 bits"] == "more than 8 bits, scaled by the largest value"
    assert remarks["alpha"] == "transparency laid on white"
    assert remarks["grey"] is None
    assert at_work.sound()


def test_notes_and_settings_rule(take: Callable[..., LabAtWork]) -> None:
    """Notes name the panel, the photograph and the hours; settings move the limits."""
    name = f"{SPRAYED_PLACE}/IMG_0815.png"
    notes = 'panel = "RB-014-2"\nphotograph = "front"\nexposure_h = 480\num_per_pixel = 300\n'
    at_work = take(
        {name: saved(SPRAYED)},
        {f"{name}.toml": notes},
        **{"read.rust_photograph": {"edge_mm": 5.0}},
    )
    (row,) = at_work.rows("rust_image")
    assert (row["batch"], row["panel"], row["photograph"]) == ("RB-014", "RB-014-2", "front")
    assert (row["exposure_h"], row["um_per_pixel"], row["scale_source"]) == (480, 300, "notes")
    assert row["parameters"].startswith("edge 5 mm, ")
    true = 100 * np.pi * 16 / (40 * 60)
    assert row["rusted_area_low_percent"] < true < row["rusted_area_high_percent"]


def test_notes_may_name_the_kind(take: Callable[..., LabAtWork]) -> None:
    """Then neither name nor folder has to, and another kind is not taken for this one."""
    lit, gloss = "RB-014-2.png", f"{LIT_PLACE}/RB-014-3.png"
    at_work = take(
        {lit: saved(LIT), gloss: saved(LIT) + b"."},  # its own bytes: a picture twice is known
        {f"{lit}.toml": f'kind = "defects"\n{SCALE}', f"{gloss}.toml": 'kind = "gloss"'},
    )
    assert [row["panel"] for row in at_work.rows("defects")] == ["RB-014-2"]
    (held,) = at_work.held().values()
    assert "its notes say gloss" in held["told"]


def test_the_hours_come_from_the_name(take: Callable[..., LabAtWork]) -> None:
    """The file's, else the folder's; two, none, or what may be a thousand leave them open."""
    hours = {
        "salt spray/RB-014-1 480 h.png": 480.0,
        "salt spray/RB-014-2_240h.png": 240.0,
        "RB-014-3 exposed 1.000,5 h.png": None,
        "salt spray/RB-014-4 168,5 h.png": 168.5,
        "salt spray/720 h/RB-014-5.png": 720.0,
        "salt spray/RB-014-6 480 h or 500 h.png": None,
        "salt spray/RB-014-7 480 hours.png": None,
        "salt spray/RB-014-8 1,000 h.png": None,
        "salt spray/RB-014-9_1 440 h.png": None,
    }
    # each its own bytes: the same photograph twice is known
    at_work = take({name: saved(SPRAYED) + bytes(n) for n, name in enumerate(hours)})
    assert at_work.held() == {}
    rows = {row["panel"]: row for row in at_work.rows("rust_image")}
    assert {panel: row["exposure_h"] for panel, row in sorted(rows.items())} == {
        f"RB-014-{n}": value for n, value in enumerate(hours.values(), 1)
    }
    assert {row["scale_source"] for row in rows.values()} == {None}
    assert all(row["parameters"].startswith("edge 10 %, ") for row in rows.values())


def test_two_photographs_of_a_panel_do_not_conflict(take: Callable[..., LabAtWork]) -> None:
    """They have names of their own; the same name with another picture does conflict."""
    other = film(HOLES[:2], (32.0, 26.0), pixel_mm=0.1, border_mm=3.0, seed=5)
    at_work = take(
        {
            f"{LIT_PLACE}/RB-014-1 left.png": saved(LIT, dpi=DPI),
            f"{LIT_PLACE}/RB-014-1 right.png": saved(other, dpi=DPI),
        }
    )
    assert {row["photograph"] for row in at_work.rows("defects")} == {
        "RB-014-1 left",
        "RB-014-1 right",
    }
    assert len(at_work.rows("defect_regions")) == 5
    at_work.drop("RB-014-1 left.png", saved(other, dpi=DPI, compress_level=1), LIT_PLACE)
    at_work.take()
    assert [record["reason"] for record in at_work.held().values()] == ["conflict"]


NOISE = np.random.default_rng(1).integers(0, 255, (90, 120, 3), np.uint8)
LONG = {"notes": 'exposure_h = "long"'}
BAD: tuple[tuple[str, bytes, dict[str, str], str, str], ...] = (
    ("lit no scale", saved(LIT), {}, "no-scale", "um_per_pixel in notes beside it"),
    ("lit absurd", saved(LIT), {"notes": "um_per_pixel = 1e5"}, "scale-absurd", "1 to 500 µm"),
    ("lit black", saved(LIT * 0, dpi=DPI), {}, "nothing-to-measure", "black"),
    ("lit white", saved(LIT * 0 + 255, dpi=DPI), {}, "nothing-to-measure", "white"),
    ("lit noise", saved(NOISE, dpi=DPI), {}, "nothing-to-measure", "an even film with"),
    ("lit cut off", saved(LIT, dpi=DPI)[:-9000], {}, "damaged-picture", "a picture that opens"),
    ("salt spray grey", saved(SPRAYED[..., 0]), {}, "nothing-to-measure", "only greys: rust"),
    ("salt spray black", saved(SPRAYED * 0), {}, "nothing-to-measure", "black"),
    ("salt spray long", saved(SPRAYED), LONG, "notes-invalid", "exposure_h = 'long' in RB-014-1"),
    ("no word", saved(LIT), {}, "no-reader", "none of 'transmitted'"),
)


def test_what_cannot_be_measured_is_held_with_a_reason(take: Callable[..., LabAtWork]) -> None:
    """The code of the reason, and the words that help; nothing of it is filed."""
    names = {f"RB-014-1 {case.replace('lit', LIT_PLACE)}.png": case for case, *_ in BAD}
    by_case = {case: rest for case, *rest in BAD}
    # each its own bytes: the same picture twice is known
    files = {name: by_case[case][0] + bytes(n) for n, (name, case) in enumerate(names.items())}
    notes = {
        f"{name}.toml": by_case[case][1]["notes"]
        for name, case in names.items()
        if by_case[case][1]
    }
    at_work = take(files, notes)
    held = at_work.held()
    assert set(held) == set(files)
    for name, case in names.items():
        _, _, code, words = by_case[case]
        assert held[name]["reason"] == code, case
        assert words in held[name]["told"], case
    assert at_work.sound()
    assert at_work.every_row() == []
