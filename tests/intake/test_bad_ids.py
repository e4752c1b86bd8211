"""Ids that are no ids: held, told, and never a path. In this lab the patterns allow everything."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from bad_exports import density, pull_off
from labs import LabAtWork, make_lab

BAD_IDS = {
    "up": "../RB-014",
    "far up": "../../../../../../tmp/RB-014",
    "two dots": "..",
    "one dot": ".",
    "slash": "RB/014",
    "absolute": "/tmp/RB-014",
    "backslash": r"RB\014",
    "share": r"\\server\share",
    "colon": "RB:014",
    "drive": "C:RB-014",
    "trailing dot": "RB-014.",
    "trailing dots": "RB-014...",
    "leading hyphen": "-rf",
    "too long": "R" * 300,
    "just too long": "R" * 65,
    "control character": "RB\x07014",
    "bell and escape": "RB\x1b[31m014",
    "blank inside": "RB 014",
    "non-breaking hyphen": "RB\u2011014",
    "right to left": "RB\u202e014",
    "zero width": "RB\u200b-014",
    "cyrillic": "\u0420\u0412-014",
    "percent": "RB%2F014",
    "star": "RB*014",
    "pipe": "RB|014",
    "question": "RB?014",
    "device": "CON",
    "device in lower case": "nul",
    "device with an ending": "Aux.2026",
    "serial device": "com1",
    "printer device": "LPT9.csv",
}
GOOD_IDS = {"longest": "R" * 64, "dots inside": "RB.014.B", "underscore": "RB_014", "digit": "7"}


@pytest.fixture(scope="module")
def odd_lab(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab whose patterns let every id pass, with each odd id as a batch and as a panel."""
    lab = make_lab(
        tmp_path_factory.mktemp("ids") / "around" / "lab",
        ids={"batch": "(?s).*", "panel": "(?s)(?P<batch>.*)"},
        intake={"settle_s": 0.1},
    )
    for what, identity in (BAD_IDS | GOOD_IDS).items():
        lab.drop(f"batch {what}.csv", density(batch=identity))
    for what, identity in BAD_IDS.items():
        lab.drop(f"panel {what}.csv", pull_off(panel=identity))
    lab.take()
    return lab


@pytest.mark.parametrize("per", ["batch", "panel"])
@pytest.mark.parametrize("what", BAD_IDS)
def test_bad_id_is_held(per: str, what: str, odd_lab: LabAtWork) -> None:
    """An id that is not allowed holds its file, and is shown with what is odd about it."""
    record = odd_lab.held()[f"{per} {what}.csv"]
    assert record["reason"] == "bad-id", record["told"]
    (fault,) = record["faults"]
    identity = BAD_IDS[what]
    if len(identity) <= 80:
        assert repr(identity) in fault["found"]
    if odd := [char for char in identity if not "!" <= char <= "~"]:
        assert f"U+{ord(odd[0]):04X}" in fault["found"]
    assert "letters, digits, dot, hyphen and underscore" in fault["expected"]
    assert len(fault["found"]) < 130
    assert "tiecoat held assign" in record["told"]
    assert not set(re.findall(r"[\x00-\x09\x0b-\x1f\x7f\x1b]", record["told"]))


@pytest.mark.parametrize("what", GOOD_IDS)
def test_allowed_id_is_filed(what: str, odd_lab: LabAtWork) -> None:
    """The longest and the oddest allowed ids have a table of their own."""
    assert (odd_lab.root / "archive" / "density" / GOOD_IDS[what] / "data.parquet").is_file()


def test_no_id_leads_out_of_the_archive(odd_lab: LabAtWork) -> None:
    """Nothing but the allowed ids has become a folder, and nothing was made outside of the lab."""
    folders = {path.name for path in (odd_lab.root / "archive" / "density").iterdir()}
    assert folders == set(GOOD_IDS.values())
    assert [path.name for path in (odd_lab.root / "archive").iterdir()] == ["density"]
    assert [path.name for path in odd_lab.root.parent.iterdir()] == ["lab"]
    assert odd_lab.sound()


def test_a_panel_may_be_numbered_behind_a_number_sign(lab: Callable[..., LabAtWork]) -> None:
    """RB-014#3 is a panel of batch RB-014, also typed with a blank; a batch is never called so."""
    at_work = lab(
        ids={"batch": "[A-Z]{2}-[0-9]{3}#?", "panel": "(?P<batch>[A-Z]{2}-[0-9]{3})#[1-9]"}
    )
    at_work.drop("a.csv", pull_off(panel="rb-014#3", number=1))
    at_work.drop("b.csv", pull_off(panel="RB-014 #3", number=2))
    at_work.drop("c.csv", density(batch="RB-014#"))
    at_work.take()
    assert [row["panel"] for row in at_work.rows("pull_off")] == ["RB-014#3"] * 2
    assert {row["batch"] for row in at_work.rows("pull_off")} == {"RB-014"}
    assert at_work.held().keys() == {"c.csv"}
    assert at_work.sound()


def test_case_does_not_matter(lab: Callable[..., LabAtWork]) -> None:
    """rb-014, Rb-014 and RB-014 are one batch with one table; so are panels, and file names."""
    at_work = lab()
    at_work.drop("a.csv", density(batch="rb-014", at="14.09.2026;08:00"))
    at_work.drop("b.csv", density(batch="Rb-014", at="14.09.2026;09:00"))
    at_work.drop("c.csv", density(batch=" RB-014 ", at="14.09.2026;10:00"))
    at_work.drop("d.csv", pull_off(panel="rb-014-3", number=1))
    at_work.drop("e.csv", pull_off(panel="RB-014-3", number=2))
    at_work.take()
    assert at_work.held() == {}
    assert [row["batch"] for row in at_work.rows("density")] == ["RB-014"] * 3
    assert {(row["batch"], row["panel"]) for row in at_work.rows("pull_off")} == {
        ("RB-014", "RB-014-3")
    }
    # the same determination under another case is the same determination
    at_work.drop("d again.csv", pull_off(panel="Rb-014-3", number=1, strength="9.99"))
    at_work.take()
    assert at_work.held()["d again.csv"]["reason"] == "conflict"
