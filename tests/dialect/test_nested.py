"""JSON, XML and texts outside of tables: values with their places and units; faults say where."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

SWEEPS = {
    "panel": "RB-001-2",
    "at": "2026-09-14 08:12",
    "sweeps": [{"f": 0.1, "z": [1.5, -2.25]}, {"f": "1,5 kHz", "z": ["n/a", "x"]}],
    "a/b~c": {"d": None},
}
XML = b"""<?xml version="1.0"?>
<run xmlns="urn:lab" panel="RB-001-2"><when>14.09.2026 08:12</when>
<point f="0.1"><z unit="ohm">1.5</z></point><point f="1"><z>two</z></point></run>"""


@pytest.fixture
def export(tmp_path: Path) -> Callable[..., Export]:
    """Makes an export of some bytes."""

    def made(content: bytes | str, habits: Habits = Habits()) -> Export:
        path = tmp_path / "export"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return Export(path, path.name, "", habits)

    return made


def faults(export: Export) -> list[str]:
    """What has been noted, in sentences."""
    return [fault.sentence for fault in export.faults]


def test_values_of_json_know_their_places(export: Callable[..., Export]) -> None:
    """Numbers come in the unit that is asked for; a fault names the place as a JSON Pointer."""
    file = export(json.dumps(SWEEPS))
    root = file.json()
    assert root["panel"].text() == "RB-001-2"
    assert f"{root['at'].time()}" == "2026-09-14 08:12:00+00:00"
    sweeps = root.every("sweeps")
    assert [one["f"].number("Hz", "Hz") for one in sweeps] == [0.1, 1500.0]
    assert sweeps[0]["z"].numbers("kohm", "ohm") == [0.0015, -0.00225]
    assert all(map(math.isnan, sweeps[1]["z"].numbers("ohm", "ohm")))
    assert faults(file) == ["at /sweeps/1/z/1: found 'x'; expected a number"]
    assert root["a/b~c"].at == "/a~1b~0c"
    assert "d" not in root["a/b~c"]
    assert root.every("none") == []


def test_whole_numbers_and_truths_of_nested_files(export: Callable[..., Export]) -> None:
    """As columns of tables give them: what is none of these is a fault at its place."""
    said = {"counts": [3, "4", 2.5, "n/a", "x"], "lit": [True, "nein", 1, None, "perhaps"]}
    file = export(json.dumps(said))
    root = file.json()
    assert root["counts"].whole_numbers() == [3, 4, None, None, None]
    assert root["lit"].truths() == [True, False, True, None, None]
    assert faults(file) == [
        "at /counts/2: found 2.5; expected a whole number",
        "at /counts/4: found 'x'; expected a number",
        "at /lit/4: found 'perhaps'; expected yes or no",
    ]
    xml = export(b"<run><n>12</n><dry>yes</dry></run>").xml()
    assert (xml["n"].whole_number(), xml["dry"].truth()) == (12, True)


def test_whole_numbers_and_truths_of_tables(export: Callable[..., Export]) -> None:
    """What is none of these is a fault of its row."""
    file = export("spot;dry\n3;ja\n2,5;no\nn/a;\n4;perhaps\n")
    (table,) = file.tables({"spot": ("spot",), "dry": ("dry",)})
    assert table.whole_numbers("spot") == [3, None, None, 4]
    assert table.truths("dry") == [True, False, None, None]
    assert faults(file) == [
        "row 3, column 'spot': found 2.5; expected a whole number",
        "row 5, column 'dry': found 'perhaps'; expected yes or no",
    ]


def test_values_of_xml_know_their_places(export: Callable[..., Export]) -> None:
    """Namespaces stand in no name; attributes begin with @, children of one name are counted."""
    file = export(XML)
    run = file.xml()
    assert run["@panel"].text() == "RB-001-2"
    assert f"{run['when'].time()}" == "2026-09-14 08:12:00+00:00"
    points = run.every("point")
    assert [one["@f"].number("Hz", "Hz") for one in points] == [0.1, 1.0]
    first = points[0]["z"]
    assert first.number("ohm", first["@unit"].text()) == 1.5
    assert math.isnan(points[1]["z"].number("ohm", "ohm"))
    assert faults(file) == ["at /run/point[2]/z: found 'two'; expected a number"]
    assert [one.at for one in run] == ["/run/when", "/run/point[1]", "/run/point[2]"]


@pytest.mark.parametrize(
    ("content", "ask", "reason", "told"),
    [
        ('{"a": 1, "a": 2}', lambda e: e.json(), Reason.DAMAGED_NESTED, "the name 'a' twice"),
        ('{"a": [1,\n', lambda e: e.json(), Reason.DAMAGED_NESTED, "row 2: found Expecting value"),
        ("[" * 100_000, lambda e: e.json(), Reason.DAMAGED_NESTED, "nested deeper"),
        ("<a><b></a>", lambda e: e.xml(), Reason.DAMAGED_NESTED, "row 1: found mismatched tag"),
        ("<a>" * 300 + "</a>" * 300, lambda e: e.xml(), Reason.DAMAGED_NESTED, "nested deeper"),
        (
            '{"a": {}}',
            lambda e: e.json()["a"]["b"],
            Reason.MISSING_COLUMN,
            "at /a: expected an ent",
        ),
        ('{"a": {}}', lambda e: e.json().every("a"), Reason.INCONSISTENT, "expected a list"),
        ('{"a": []}', lambda e: e.json()["a"].number(), Reason.INCONSISTENT, "a single value"),
        ("<a><b/><b/></a>", lambda e: e.xml()["b"], Reason.INCONSISTENT, "found 2 entries 'b'"),
    ],
)
def test_what_cannot_be_read_holds_the_file(
    content: str,
    ask: Callable[[Export], object],
    reason: Reason,
    told: str,
    export: Callable[..., Export],
) -> None:
    """Damage, a name twice, what is missing and what is of another sort are told with the place."""
    with pytest.raises(FileHeld, match=r".") as held:
        ask(export(content))
    assert held.value.reason is reason
    assert told in held.value.faults[0].sentence


@pytest.mark.parametrize(
    ("text", "to", "unit", "expected"),
    [
        ("12,5", "", None, 12.5),
        ("12.5 kHz", "Hz", None, 12500.0),
        ("3", "mm", "cm", 30.0),
        (2.5, "mm", "cm", 25.0),
        ("20 °C", "kelvin", None, 293.15),
    ],
)
def test_texts_outside_of_tables_are_numbers(
    text: str | float, to: str, unit: str | None, expected: float, export: Callable[..., Export]
) -> None:
    """The decimal mark and the unit are read as in tables."""
    file = export("x")
    assert file.number(text, to, unit) == pytest.approx(expected, rel=1e-12)
    assert faults(file) == []


@pytest.mark.parametrize(
    ("text", "to", "told"),
    [
        ("1,250", "", "row 3: found 1,250, which may be 1.25 or 1250; expected a number with one"),
        ("red", "", "row 3: found 'red'; expected a number"),
        ("5", "Hz", "row 3: found no unit; expected"),
        ("5 mm", "Hz", "row 3: found the unit 'mm'; expected"),
    ],
)
def test_a_text_that_is_no_number_is_a_fault(
    text: str, to: str, told: str, export: Callable[..., Export]
) -> None:
    """It says where, what was found and what was expected; nothing is guessed."""
    file = export("x")
    assert math.isnan(file.number(text, to, row=3))
    assert faults(file)[0].startswith(told)


def test_times_outside_of_tables(export: Callable[..., Export]) -> None:
    """They are read as in tables, and a fault says where."""
    file = export("x")
    assert f"{file.time('2026-09-14 08:12+02:00')}" == "2026-09-14 06:12:00+00:00"
    assert file.time(" ") is None
    assert file.time("09/14/26", column="Date", row=2) is None
    assert faults(file)[0].startswith("row 2, column 'Date': found '09/14/26'; expected a date")


def test_a_fault_in_the_authors_own_words(export: Callable[..., Export]) -> None:
    """It stands as it was said, with its place; noted twice it is told once."""
    file = export(b"\0\1")
    assert file.bytes() == b"\0\1"
    for _ in range(2):
        file.fault("the lamp was off", row=7, found="0 lx")
    assert faults(file) == ["row 7: the lamp was off; found 0 lx"]
    with pytest.raises(FileHeld) as held:
        file.hold("the cell leaked", at="/cell")
    assert held.value.reason is Reason.READER_SAYS
    assert held.value.faults[-1].sentence == "at /cell: the cell leaked"


@given(st.recursive(st.floats(allow_nan=False) | st.text(), st.lists))
def test_any_json_is_walked(value: object) -> None:
    """Every list and value that can be written is read back, each with a pointer that finds it."""
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        path = Path(folder) / "x.json"
        path.write_text(json.dumps(value), encoding="utf-8")
        root = Export(path, path.name).json()
        left = [root]
        while left:
            one = left.pop()
            there = value
            for step in one.at.split("/")[1:]:
                there = there[int(step)]  # type: ignore[index]
            assert one.value == there
            left += [*one] if isinstance(one.value, list) else []
