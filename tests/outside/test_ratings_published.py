"""36 coating systems after two years outdoors, as published, taken in as a laboratory's own sheet.

A. Forsgren and M. Steihed, J. Corros. Sci. Eng. 2 (1999) paper 12, tables 5 and 6: degree of
rusting, greatest creep from the scribe to one side in mm, blisters, cracking and flaking. The
figures stand in published/forsgren_scab.csv; the paper prints spellings such as `Ri: 0`, `Ri 4.`
and `2(S4).`, in which the sheets here are set. Of its table of variances, whose sum does not follow
from its data, nothing is used.
"""

from __future__ import annotations

import csv
import math
from collections import Counter
from pathlib import Path

import pandas as pd
import pytest
from labs import LabAtWork, make_lab

import tiecoat
from tiecoat.schemas.rating_notation import defects_of, rust_grade

PUBLISHED = Path(__file__).parent / "published" / "forsgren_scab.csv"
TWO_YEARS_H = 17520.0
SYSTEMS = list(csv.DictReader(PUBLISHED.read_text(encoding="utf-8").splitlines()))
PANELS = {f"RB-{number:03}-1": row for number, row in enumerate(SYSTEMS, 1)}


def as_printed(number: int, row: dict[str, str]) -> list[str]:
    """One system as a line of the sheet, its ratings in the spellings of the paper by turns."""
    rust = ("Ri: {}", "Ri {}.", "Ri {}")[number % 3].format(row["ri"])
    defects = [
        f"{row[name]}." if number % 2 and row[name] else row[name] or "0"
        for name in ("blisters", "cracking", "flaking")
    ]
    return [f"RB-{number:03}-1", "17520", rust, *defects, row["creep_max_mm"]]


@pytest.fixture(scope="module")
def rated(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab that was fed the ratings of all 36 systems in one sheet."""
    lab = make_lab(tmp_path_factory.mktemp("outdoors") / "lab", checks={"unregistered": "off"})
    head = "Panel;Hours;Rust;Blisters;Cracking;Flaking;Scribe corrosion [mm]"
    lines = [";".join(as_printed(number, row)) for number, row in enumerate(SYSTEMS, 1)]
    text = "\n".join(["Exposure: outdoor", "", head, *lines, ""])
    lab.drop("two years outdoors.csv", text.encode(), "ratings")
    lab.take()
    assert lab.held() == {}
    return lab


def test_every_published_rating_is_filed_as_it_is_printed(rated: LabAtWork) -> None:
    """Degrees, quantities, sizes and depths of 36 systems, whatever their spelling."""
    found = {(row["panel"], row["property"]): row for row in rated.rows("exposure_rating")}
    assert len(found) == 36 * 5
    for panel, row in PANELS.items():
        rust = found[panel, "rust"]
        assert (rust["grade"], rust["rating"]) == (float(row["ri"]), f"Ri {row['ri']}")
        assert found[panel, "scribe corrosion"]["creep_mm"] == float(row["creep_max_mm"])
        for name in ("blisters", "cracking", "flaking"):
            assert found[panel, name]["rating"] == (row[name] or "0(S0)")
    assert found["RB-009-1", "flaking"]["rating"] == "3(S4)b"
    assert found["RB-018-1", "blisters"]["rating"] == "2(S5)"


def test_the_results_are_those_of_the_published_tables(rated: LabAtWork) -> None:
    """Degrees by count, the three systems that reached Ri 3, and creep by paint and substrate."""
    table = tiecoat.open(rated.root).evaluate("exposure_rating")
    rust = of_panels(table, "rust_grade_worst")
    assert Counter(rust["value"]) == {0.0: 28, 1.0: 4, 2.0: 1, 3.0: 1, 4.0: 1, 5.0: 1}
    times = of_panels(table, "time_to_rust_grade")
    reached = times[times["high"].notna()]
    assert set(reached.index) == {"RB-009-1", "RB-018-1", "RB-020-1"}
    assert (reached["low"] == 0).all()
    assert (reached["high"] == TWO_YEARS_H).all()
    assert (times["low"].drop(reached.index) == TWO_YEARS_H).all()
    creep = of_panels(table, "scribe_corrosion")["value"]
    assert creep.max() == creep["RB-004-1"] == 40
    substrates = pd.Series({panel: row["substrate"] for panel, row in PANELS.items()})
    means = creep.groupby(substrates).mean()
    assert means["phosphated"] == pytest.approx((10 + 6 + 12 + 11 + 11 + 8 + 4 + 6) / 8)
    assert means["galvanized"] == pytest.approx((40 + 34 + 29 + 17 + 2 + 1 + 1 + 3) / 8)


def of_panels(table: pd.DataFrame, quantity: str) -> pd.DataFrame:
    """The rows of a quantity that belong to a panel, by panel."""
    return table[(table["quantity"] == quantity) & (table["panel"] != "")].set_index("panel")


OLD = {
    "free line": "Rostbewertung nach DIN 53210\n\nPanel;Stunden;Ri;Blasen\n{};1000;Ri 3;2(S2)",
    "title": "\nPanel;Stunden;Rostgrad DIN 53210;Blasen\n{};1000;3;2(S2)",
    "column": "\nPanel;Stunden;Rostgrad;Blasen;Norm\n{};1000;3;2(S2);DIN 53 210",
    "cell": "\nPanel;Stunden;Rostgrad;Blasen\n{};1000;Ri 3 (DIN 53210);2(S2)",
    "none": "\nPanel;Stunden;Rostgrad DIN EN ISO 4628-3;Blasen\n{};1000;Ri 3;2(S2)",
}


def test_the_old_letters_of_din_53210_are_remarked(tmp_path: Path) -> None:
    """DIN 53210, withdrawn: Ri 1 to 5 for about 1, 3, 10, 30 and 50 %, as printed on a public page.

    A record that names it is filed as it stands, and the rust of it carries the remark, up to its
    results: its Ri 3 is 10 %, where that of ISO 4628-3 is 1 %.
    """
    lab = make_lab(tmp_path / "lab", checks={"unregistered": "off"})
    for number, text in enumerate(OLD.values(), 1):
        content = f"Exposure: outdoor\n{text.format(f'RB-00{number}-1')}\n"
        lab.drop(f"sheet {number}.csv", content.encode(), "ratings")
    lab.take()
    assert lab.held() == {}
    told = {
        (row["panel"], row["property"]): row["remark"] or "" for row in lab.rows("exposure_rating")
    }
    for number, form in enumerate(OLD, 1):
        panel = f"RB-00{number}-1"
        assert told[panel, "blisters"] == ""
        assert ("about 1, 3, 10, 30 and 50 %" in told[panel, "rust"]) == (form != "none"), form
    table = tiecoat.open(lab.root).evaluate("exposure_rating")
    flags = of_panels(table, "rust_grade")["flags"]
    assert "DIN 53210" in flags["RB-001-1"]
    assert "DIN 53210" not in flags["RB-005-1"]


def test_what_is_off_the_scale_or_not_rated_is_refused() -> None:
    """The paper's `6(S2)` is no quantity of ISO 4628, and `Ri: *` is no degree: both are told."""
    with pytest.raises(ValueError, match="a quantity from 0 to 5"):
        defects_of("6(S2)")
    with pytest.raises(ValueError, match="from Ri 0 to Ri 5"):
        rust_grade("Ri: *")
    assert math.isclose(rust_grade("Ri 4."), 4)
