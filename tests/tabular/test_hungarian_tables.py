"""Tables with Hungarian titles, and dates with the year first and a point behind the day.

Words of the trade from memory; layouts of our own invention.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from lines_read import column, read_lines

from tiecoat.dialect.times import NoTime
from tiecoat.plugin import Measurement
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.panels import KIND as PANELS
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.moments import DayOrder, moment
from tiecoat.tabular.reader import AnyTable

KINDS = (DENSITY, FILM, FOAM, GLOSS, PANELS, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})
ZONE = ZoneInfo("Europe/Vienna")


def read(folder: Path, *lines: str) -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / "meres.csv", *lines)


def test_gloss_is_read_by_its_angle(tmp_path: Path) -> None:
    """One reading a row, the day in a line by itself."""
    found = read(
        tmp_path, "Fényességmérés", "2026.03.27.", "Lemez;Szög (°);Mérés;Fényesség (GU)",
        "K1-07.b2;20;1;24,5", "K1-07.b2;60;1;55,3",
    )  # fmt: skip
    assert column(found, "gloss_gu") == [24.5, 55.3]
    assert column(found, "angle_deg") == [20, 60]


def test_an_average_is_no_determination(tmp_path: Path) -> None:
    """`Átlag` below sums up those above."""
    found = read(
        tmp_path, "Dátum:;2026.03.13.", "", "Minta;Sorszám;Hőmérséklet [°C];Sűrűség [g/ml]",
        "K1-07;1;23,1;1,4483", "K1-07;2;22,9;1,4522", "", "Átlag K1-07;;;1,4503",
    )  # fmt: skip
    assert column(found, "density_g_cm3") == [1.4483, 1.4522]
    assert column(found, "temperature_c") == [23.1, 22.9]


def test_a_register_tells_both_coats(tmp_path: Path) -> None:
    """The second under its own title."""
    found = read(
        tmp_path,
        "Lemez;Tétel;Alapfelület;Bevonatrendszer;Száraz rétegvastagság (µm);1. réteg felhordva;"
        "2. réteg felhordva;Megjegyzés",
        "K1-07.b2;K1-07;acél;két réteg;151;2026.03.23.;2026.03.24.;",
        "K1-07.b3;K1-07;acél;két réteg;148;2026.03.23.;2026.03.24.;",
    )
    assert column(found, "thickness_um") == [151, 148]
    days = zip(column(found, "coated_on"), column(found, "coat_2_on"), strict=True)
    assert all(isinstance(one, datetime) and two > one for one, two in days)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("lines", "name", "values"),
    [
        (("Lemez;Száraz rétegvastagság (µm)", "K1-07.b2;82,5"), "thickness_um", [82.5]),
        (("Tétel;Idő (min);Habmagasság (mm)", "K1-07;0;34", "K1-07;5;21"),
         "foam_height_mm", [34, 21]),
        (("Minta;Nyírási sebesség (1/s);Viszkozitás (Pa.s);Hőmérséklet (°C)", "K1-07;10;2,5;23"),
         "viscosity_pa_s", [2.5]),
    ],
)  # fmt: skip
def test_other_kinds_have_their_words_too(
    tmp_path: Path, lines: tuple[str, ...], name: str, values: list[float]
) -> None:
    """A film, foam and a flow curve."""
    assert column(read(tmp_path, *lines), name) == values


@pytest.mark.parametrize(
    "text", ["2026.03.13.", "2026. 03. 13.", "2026. március 13.", "2026-03-13"]
)
def test_a_day_with_its_year_first_has_one_reading(text: str) -> None:
    """Whatever stands behind the day."""
    read_as = moment([text], ZONE, (), DayOrder(None))
    assert not isinstance(read_as, NoTime)
    assert read_as.astimezone(ZONE).date().isoformat() == "2026-03-13"
