"""The readers of pictures that are built in pass through the kit; what is wrong with one is found.

What they measure is held against the truth of invented pictures in tests/plugins.
"""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from photographs import Spot, exposed, film, saved
from PIL import Image
from section_pictures import Cut

from tiecoat.testing import Conformance
from tiecoat.testing.checks import CHECKS, lacking
from tiecoat.testing.pictures import with_twice_the_resolution
from tiecoat.testing.workbench import workbench
from tiecoat.testing.writing import write

READERS = ("cross_section", "rust_photograph", "transmitted_light")
SECTION = "section RB-014-3 1.png"
UNSCALED = """\
from tiecoat.plugin import Claim, Measurement, hookimpl


class Edges:
    name, kind, version = "edges", "film_thickness", "1"
    noted = {}

    def recognise(self, export):
        return Claim(1.0, "a picture") if export.is_picture else None

    def read(self, export):
        panel = self.noted.setdefault(export.name, export.notes.get("panel"))
        picture = export.picture()
        columns = {"spot": [1], "thickness_um": [picture.pixels.shape[0] / 2]}
        columns |= {"coat": ["system"], "state": ["dry"]}
        yield Measurement(columns, [1], panel=panel)


@hookimpl
def tiecoat_readers():
    return [Edges()]
"""


def dots_an_inch(um_per_pixel: float) -> tuple[float, float]:
    """Return the resolution of a picture in dots an inch."""
    return (25400 / um_per_pixel, 25400 / um_per_pixel)


def laid_out(folder: Path) -> Path:
    """Write small pictures: scales in the file and in notes, and one without any."""
    (folder / "broken").mkdir(parents=True)
    cut = Cut(rows=150, columns=200, surface=35.0, substrate=115.0).with_pores(0.05).pixels()
    section = saved(cut[..., 0], dpi=dots_an_inch(2))
    (folder / SECTION).write_bytes(section)
    (folder / "broken" / f"no-scale.{SECTION}").write_bytes(saved(cut[..., 0]))
    spots = [Spot(x, 15.0, 1.0, 1e4) for x in (10.0, 16.0, 22.0)]
    lit = film(spots, (32.0, 26.0), pixel_mm=0.1, border_mm=3.0)[..., 0]
    (folder / "lamp.png").write_bytes(saved(lit))
    noted = 'kind = "defects"\npanel = "RB-014-1"\num_per_pixel = 100\n'
    (folder / "lamp.png.toml").write_text(noted)
    rusty = exposed([Spot(30.0, 40.0, 8.0, 1)], (50.0, 70.0), pixel_mm=0.3, border_mm=4.0)
    photograph = saved(rusty.pixels, "JPEG", quality=95, dpi=dots_an_inch(300))
    (folder / "salt spray RB-014-2 480 h.jpg").write_bytes(photograph)
    return folder


@pytest.mark.thorough
def test_the_readers_of_pictures_pass(tmp_path: Path) -> None:
    """Each check that there is something for finds nothing; rows and versions stay what they were.

    That is: they are cut and zeroed as bytes, said of another scale by file and notes, and read
    without their notes.
    """
    asked = Conformance(*READERS, exports=laid_out(tmp_path / "pictures"))
    with workbench(asked) as bench:
        assert [one.name for one in bench.readers] == [*READERS]
        assert {one.name for one in bench.sound} == {one.name for one in bench.good}
        assert {variant.what for _, variant, _ in bench.damaged} >= {"cut after 50 % of its bytes"}
        write(bench)
        there = [name for name in CHECKS if not lacking(bench, name)]
        found = {name: [*CHECKS[name](bench)] for name in there}
    told = [one for of_check in found.values() for one in of_check]
    assert [one for one in told if "nobody has looked it through yet" not in one] == []
    assert {"what_it_says_is_filed", "damage_is_never_filed_wrong", "rebuilt_alike"} <= {*found}


def test_a_reader_that_takes_pixels_for_lengths_is_found(tmp_path: Path) -> None:
    """By the file and by the notes; and one that keeps the panel of notes that are gone."""
    (tmp_path / "edges.py").write_text(UNSCALED)
    asked = Conformance(tmp_path / "edges.py", exports=laid_out(tmp_path / "pictures"))
    with workbench(asked) as bench:
        said = "\n".join(CHECKS["what_it_says_is_filed"](bench))
    for what in (
        f"{SECTION} with twice the resolution gives rows of film_thickness in which nothing is",
        "salt spray RB-014-2 480 h.jpg with twice the resolution gives rows of film_thickness",
        "lamp.png with half the um_per_pixel in its notes gives rows of film_thickness",
        "lamp.png without its notes is filed for RB-014-1, which they alone say: the reader keeps",
    ):
        assert what in said


@pytest.mark.parametrize("form", ["PNG", "JPEG"])
def test_twice_the_resolution_is_one_that_others_read(form: str) -> None:
    """By Pillow; a picture that says none has none that could be doubled."""
    pixels = Cut(rows=40, columns=40, surface=10.0, substrate=30.0).pixels()[..., 0]
    doubled = with_twice_the_resolution(saved(pixels, form, dpi=(300, 300)))
    assert doubled is not None
    with Image.open(io.BytesIO(doubled)) as picture:
        picture.load()
        assert picture.info["dpi"] == pytest.approx((600, 600), rel=1e-3)
    assert with_twice_the_resolution(saved(pixels, form)) is None
