"""Sheets of inspections and chamber records on their way from the inbox into the archive."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from labs import LabAtWork, make_lab

MakeLab = Callable[..., LabAtWork]

HEAD = (
    "Exposure: neutral salt spray\n\nPanel,Date,Hours,Ri,Rusted area [%],Blisters,d1 [mm],w [mm]\n"
)
FIRST = "RB-014-1,2026-10-19 08:00,168,0,,0,,\n"
LATER = "RB-014-1,2026-11-01 07:00,480,Ri 2,,2(S2),3.0,1.0\n"
SAME = "RB-014-2,2026-11-01 07:00,480,"
BOOK = "Date,Time,Chamber temp. [°C],Collected [ml/h],pH\n2026-10-12,09:15,35.1,1.52,6.84\n"

BAD = {  # name -> the sheet, and what must be told
    "rating 6": (HEAD + LATER + SAME + "6,,,,\n", "row 5, column 'rating': found '6'"),
    "area": (HEAD + LATER + SAME + ",120,,,\n", "row 5, column 'area_percent': found 120"),
    "degree and area": (HEAD + LATER + SAME + "1,40,,,\n", "Ri 1, which is 0 to 0.5 %"),
    "size 9": (HEAD + LATER + SAME + ",,3(S9),,\n", "column 'rating': found '3(S9)'; expected a q"),
    "width": (HEAD + LATER + SAME + ",,,-3,1\n", "found -3 mm; expected between 0 and 500 mm"),
    "scribe": (HEAD + LATER + SAME + ",,,3,-1\n", "found -1 mm; expected between 0 and 10 mm"),
    "wide": (HEAD + LATER + SAME + ",,,0.5,1\n", "at least the width of the scribe, 1 mm"),
    "back": (
        HEAD + LATER + "RB-014-1,2026-11-08 07:00,366,,,0,,\n",
        "found 366 h, fewer than the 480 h of row 4 although it is later",
    ),
    "ahead": (
        HEAD + FIRST + "RB-014-1,2026-10-20 08:00,480,,,0,,\n",
        "found 480 h, and 168 h in row 4, 24 h before; expected hours that rise no faster than",
    ),
    "air": (
        (HEAD + LATER).replace("neutral salt spray", "sea air"),
        "found 'sea air'; expected one of: neutral salt spray, condensation",
    ),
    "nobody": (BOOK, "neither the file nor its name nor the register says which batch"),
}


@pytest.fixture(scope="module")
def bad_sheets(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab into which all bad sheets were dropped at once."""
    at_work = make_lab(tmp_path_factory.mktemp("bad sheets") / "lab")
    for name, (content, _) in BAD.items():
        at_work.drop(f"{name}.csv", content)
    at_work.take()
    return at_work


@pytest.mark.parametrize("name", BAD)
def test_a_bad_rating_holds_its_sheet(bad_sheets: LabAtWork, name: str) -> None:
    """The reason says where it stands, what was found and what is expected; nothing is filed."""
    told = " ".join(bad_sheets.held()[f"{name}.csv"]["told"].split())
    assert BAD[name][1] in told
    assert "Traceback" not in told
    assert bad_sheets.rows("exposure_rating") == bad_sheets.rows("chamber_record") == []


def test_a_sheet_kept_by_hand_grows(lab: MakeLab) -> None:
    """Blanks are no ratings, what is known is known, and what was changed is a conflict."""
    at_work = lab()
    at_work.drop("sheet.csv", HEAD + FIRST)
    at_work.take()
    at_work.drop("sheet.csv", HEAD + LATER + FIRST)  # the order is no matter
    at_work.drop("changed.csv", HEAD + FIRST.replace(",0,,0", ",1,,0"))
    outcomes = at_work.take()
    assert outcomes["sheet.csv"].status == "filed"
    assert at_work.held()["changed.csv"]["reason"] == "conflict"
    rows = at_work.rows("exposure_rating")
    found = sorted((row["exposure_h"], row["property"], row["rating"] or "") for row in rows)
    assert found == [
        (168.0, "blisters", "0(S0)"),
        (168.0, "rust", "Ri 0"),
        (480.0, "blisters", "2(S2)"),
        (480.0, "rust", "Ri 2"),
        (480.0, "scribe delamination", ""),
    ]
    assert [row["creep_mm"] for row in rows if row["creep_mm"] is not None] == [1.0]
    assert {row["panel"] for row in rows} == {"RB-014-1"}
    assert at_work.sound()


def test_a_chamber_record_is_filed_under_each_batch_that_was_in_it(lab: MakeLab) -> None:
    """One reading, two batches: two rows, each with the row of the original."""
    at_work = lab()
    at_work.drop("book.csv", "Batches: RB-010 RB-011\n\n" + BOOK)
    at_work.take()
    rows = at_work.rows("chamber_record")
    assert [(row["batch"], row["panel"], row["source_row"]) for row in rows] == [
        ("RB-010", None, 4),
        ("RB-011", None, 4),
    ]
    assert {row["collected_ml_h"] for row in rows} == {1.52}
    assert {row["salt_g_l"] for row in rows} == {None}
