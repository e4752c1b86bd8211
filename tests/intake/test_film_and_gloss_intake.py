"""Film thickness and gloss on their way in: what is held and why, and what contradicts what."""

from __future__ import annotations

from typing import Any

import pytest
from labs import LabAtWork, make_lab

HEAD = "Date;Time;Panel;Spot;Coat;State;Thickness [{unit}]\n"
ROW = "18.09.2026;{time};RB-014-1;{spot};{coat};{state};{value}\n"
GLOSS = "Panel;Measured;Angle;Spot;Gloss\nRB-014-1;18.09.2026 13:00;{angle};{spot};{value}\n"


def reading(**changes: object) -> str:
    """One row of a list of film thickness."""
    given = {"time": "09:00", "spot": 1, "coat": "system", "state": "dry", "value": "182,5"}
    return ROW.format(**{**given, **changes})


def thickness(*rows: str, unit: str = "µm") -> str:
    """A list of film thickness."""
    return HEAD.format(unit=unit) + "".join(rows or (reading(),))


def gloss(angle: object = 60, value: object = "41,2", spot: object = 1) -> str:
    """A list of gloss with one reading."""
    return GLOSS.format(angle=angle, value=value, spot=spot)


BAD: dict[str, tuple[str, str, tuple[str, ...]]] = {  # name -> content, reason, words told
    "negative.csv": (
        thickness(reading(value="-182,5")),
        "out-of-bounds",
        ("row 2, column 'thickness_um'", "found -182.5 um", "between 1 and 5000 um"),
    ),
    "zero.csv": (thickness(reading(value="0")), "out-of-bounds", ("found 0 um",)),
    "ten millimetres.csv": (
        thickness(reading(value="10"), unit="mm"),
        "out-of-bounds",
        ("found 10000 um", "between 1 and 5000 um"),
    ),
    "no state.csv": (
        thickness(reading(state="")),
        "missing-value",
        ("row 2, column 'state'", "whether the film was dry or still wet"),
    ),
    "other state.csv": (
        thickness(reading(state="tacky")),
        "out-of-bounds",
        ("found 'tacky'", "one of: dry, wet"),
    ),
    "unknown unit.csv": (
        thickness(unit="thumbs"),
        "unknown-unit",
        ("row 1, column 'Thickness [thumbs]'", "a unit that can be turned into um"),
    ),
    "a unit of something else.csv": (thickness(unit="kg"), "unknown-unit", ("the unit 'kg'",)),
    "one spot twice.csv": (
        thickness(reading(), reading(value="181,0")),
        "given-twice",
        ("row 3", "RB-014-1", "spot 1, coat system, state dry"),
    ),
    "45 degrees.csv": (
        gloss(angle=45),
        "out-of-bounds",
        ("found 45 deg", "one of: 20.0, 60.0, 85.0"),
    ),
    "more than a mirror.csv": (
        gloss(angle=85, value="171,5"),
        "out-of-bounds",
        ("found 171.5 at 85 degrees", "at most 162, which a mirror has at this angle"),
    ),
    "more than any mirror.csv": (
        gloss(angle=20, value="2500"),
        "out-of-bounds",
        ("row 2, column 'gloss_gu'", "found 2500 at 20 degrees"),
    ),
    "negative gloss.csv": (gloss(value="-0,2"), "out-of-bounds", ("found -0.2",)),
}


@pytest.fixture(scope="module")
def held(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """What is held of all bad files that were dropped at once."""
    lab = make_lab(tmp_path_factory.mktemp("bad films") / "lab")
    for name, (content, _, _) in BAD.items():
        lab.drop(name, content)
    lab.take()
    assert lab.every_row() == []
    return lab.held()


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_held_with_its_reason(name: str, held: dict[str, dict[str, Any]]) -> None:
    """Under the right reason, in words that name row, column, what was found and expected."""
    _, reason, words = BAD[name]
    told = " ".join(held[name]["told"].split())
    assert held[name]["reason"] == reason, told
    assert [word for word in words if word not in told] == [], told
    assert "Traceback" not in told


@pytest.fixture(scope="module")
def filed(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab that holds one dry reading of a spot, and one gloss."""
    lab = make_lab(tmp_path_factory.mktemp("films") / "lab")
    lab.drop("first.csv", thickness())
    lab.drop("gloss.csv", gloss())
    assert {name: outcome.status for name, outcome in lab.take().items()} == {
        "first.csv": "filed",
        "gloss.csv": "filed",
    }
    return lab


@pytest.mark.parametrize(
    ("name", "content", "status"),
    [
        ("the same.csv", thickness(reading(value="182,50")), "known"),
        ("other value.csv", thickness(reading(value="184,0")), "held"),
        ("in words.csv", thickness(reading(coat="gesamt", state="Trocken", value="7,3")), "held"),
        ("a minute later.csv", thickness(reading(time="09:01", value="184,0")), "filed"),
        ("other spot.csv", thickness(reading(spot=2, value="184,0")), "filed"),
        ("other coat.csv", thickness(reading(coat=1, value="84,0")), "filed"),
        ("wet.csv", thickness(reading(state="wet", value="300")), "filed"),
        ("gloss other value.csv", gloss(value="42,0"), "held"),
        ("gloss other angle.csv", gloss(angle=20, value="12,0"), "filed"),
        ("gloss other spot.csv", gloss(spot=2, value="42,0"), "filed"),
    ],
    ids=lambda value: value if str(value).endswith(".csv") else "",
)
def test_only_the_same_reading_can_contradict(
    filed: LabAtWork, name: str, content: str, status: str
) -> None:
    """Panel, time, spot, coat and state tell readings apart; with other values it is a conflict."""
    filed.drop(name, content)
    assert filed.take()[name].status == status
    if status == "held":
        assert filed.held()[name]["reason"] == "conflict"
