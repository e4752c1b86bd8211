"""A table profile is checked as a whole, and what is wrong is told by key and line."""

from __future__ import annotations

from pathlib import Path

import pytest

from tiecoat.errors import ProfileInvalid
from tiecoat.extend.profile_file import load_profile
from tiecoat.plugin import Kind
from tiecoat.schemas import density, panels, pull_off, viscosity

KINDS = {kind.name: kind for kind in (density.KIND, panels.KIND, pull_off.KIND, viscosity.KIND)}

GOOD = """\
name = "pycnometer"
kind = "density"
version = "1"

[batch]
titles = ["Paint"]

[columns]
temperature_c = { titles = ["Temp"], unit = "°F" }
density_g_cm3 = { titles = ["Rho"], unit = "lb/gal" }
state = { value = "as mixed" }
elapsed_s = { entry = ["Rest"], unit = "min" }
"""


def problems(tmp_path: Path, text: str, kinds: dict[str, Kind] = KINDS) -> str:
    """Return what load_profile says about this text."""
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ProfileInvalid, match=r"mine\.toml") as caught:
        load_profile(path, kinds)
    return str(caught.value)


def test_a_profile_becomes_a_reader(tmp_path: Path) -> None:
    """A profile in order becomes a reader with its name, kind and version."""
    path = tmp_path / "mine.toml"
    path.write_text(GOOD, encoding="utf-8")
    reader = load_profile(path, KINDS)
    assert (reader.name, reader.kind, reader.version) == ("pycnometer", "density", "1")


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    """A profile saved by a Windows editor with a byte order mark loads too."""
    path = tmp_path / "mine.toml"
    path.write_text(GOOD, encoding="utf-8-sig")
    assert load_profile(path, KINDS).name == "pycnometer"


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ('name = "pycnometer"', 'name = "My reader"', 1, "lower-case letters"),
        ('kind = "density"', 'kind = "densty"', 2, "did you mean 'density'?"),
        ('version = "1"', "version = 1", 3, "version = 1: allowed is a valid string"),
        ("[batch]\ntitles", "[batch]\ntitels", 6, "did you mean 'titles'? allowed are titles"),
        ('["Paint"]', "[]", 6, "at least 1 item"),
        ('["Paint"]', '["Paint"]\nentry = ["Paint"]', 5, "exactly one of titles"),
        ("[batch]", '[recognize]\nfile_name = "*"\n[batch]', 5, "did you mean 'recognise'?"),
        ("temperature_c", "temp_c", 9, "did you mean 'temperature_c'?"),
        ("density_g_cm3", "rho_g", 8, "columns.density_g_cm3: is missing"),
        ('"°F"', '"klingons"', 9, "found 'klingons'; no such unit"),
        ('"lb/gal"', '"MPa"', 10, "found 'MPa'; it does not convert to 'g/cm**3'"),
        ('value = "as mixed"', "value = 3", 11, "found 3; state is a text"),
        ('value = "as mixed"', "value = true", 11, "allowed is a text or a number"),
        ('value = "as mixed"', 'titles = ["S"], unit = "s"', 11, "has no unit"),
        ('value = "as mixed"', 'value = "a", titles = ["S"]', 11, "exactly one of titles"),
        ('value = "as mixed"', 'titles = ["S"], optional = true', 11, "may not be missing"),
        ('entry = ["Rest"]', 'value = "long"', 12, "found 'long'; elapsed_s is a number"),
        ('unit = "min"', 'words = { "long" = "1" }', 12, "words are for columns of text"),
        ('unit = "min"', 'format = "%d.%m.%Y"', 12, "a format is for times"),
        ("[batch]", '[layout]\nencoding = "klingon"\n[batch]', 6, "no such encoding"),
        ("[batch]", '[layout]\ndecimal = ","\n[batch]', 6, "'point' or 'comma'"),
        ("[batch]", '[time]\ndate = { titles = ["D"] }\n[batch]', 5, "date and clock go together"),
        ("[batch]", "[time]\n[batch]", 5, "exactly one of titles"),
        ("[batch]", 'by = ["elapsed"]\n[batch]', 5, "did you mean 'elapsed_s'?"),
        ("[batch]", 'by = ["state"]\n[batch]', 5, "'state' is not a column with titles"),
        ("[batch]", 'each = "row"\nby = ["density_g_cm3"]\n[batch]', 6, "exclude one another"),
        ("[batch]", 'each = "sheet"\n[batch]', 5, "'row', 'table' or 'file'"),
    ],
)
def test_each_rule_names_key_and_line(
    tmp_path: Path, old: str, new: str, line: int, said: str
) -> None:
    """Whoever wrote the profile is told the line, what was found and what is allowed."""
    assert old in GOOD
    lines = problems(tmp_path, GOOD.replace(old, new, 1)).splitlines()
    assert any(f"line {line}: " in told and said in told for told in lines), lines


def test_all_faults_at_once(tmp_path: Path) -> None:
    """Faults of form and faults against the kind are told together, in the order of the lines."""
    text = GOOD.replace('version = "1"', "version = 1").replace("°F", "psi")
    text = text.replace("state =", "stat =")
    said = problems(tmp_path, text).splitlines()[1:]
    assert [told.split(":")[0].strip() for told in said] == [
        "line 3",
        "line 8",
        "line 9",
        "line 11",
    ]


def test_by_what_it_is_recognised(tmp_path: Path) -> None:
    """A profile that no title must show would claim every table, and is refused."""
    text = GOOD.replace('titles = ["Temp"]', 'entry = ["Temp"]')
    text = text.replace('titles = ["Rho"]', 'entry = ["Rho"]')
    assert "line 8: columns: one column at least must have titles" in problems(tmp_path, text)


def test_not_toml(tmp_path: Path) -> None:
    """A typing slip in the TOML itself is told with its line."""
    assert "not valid TOML" in problems(tmp_path, GOOD.replace('"1"', '"1'))
    assert "line 3" in problems(tmp_path, GOOD.replace('"1"', '"1'))


def test_not_utf8_and_not_there(tmp_path: Path) -> None:
    """A profile in another encoding or gone from the disk is told as such."""
    path = tmp_path / "mine.toml"
    path.write_bytes(GOOD.encode("cp1252"))
    with pytest.raises(ProfileInvalid, match="save it as UTF-8"):
        load_profile(path, KINDS)
    with pytest.raises(ProfileInvalid, match="cannot be opened"):
        load_profile(tmp_path / "gone.toml", KINDS)


def test_a_time_is_never_fixed(tmp_path: Path) -> None:
    """A column of times cannot have one value for every file."""
    text = """\
name = "racks"
kind = "panels"
version = "1"
[columns]
substrate = { value = "steel" }
coat_system = { titles = ["System"] }
coated_on = { value = "2026-01-01" }
"""
    assert "line 7: columns.coated_on.value: coated_on is a time" in problems(tmp_path, text)
