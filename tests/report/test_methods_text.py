"""The text on methods is made from what a study has: its sizes, its bounds, its own results."""

from __future__ import annotations

from pathlib import Path

import pytest
from labs import LabAtWork, make_lab
from report_reading import read_page
from test_small_reports import REGISTER, STRENGTHS, STUDY, pulled
from undrawn import undrawn

from tiecoat.cli import main


def methods_of(lab: LabAtWork, folder: Path) -> list[str]:
    """Return the cells of the row of the pull-off strength in the table of methods."""
    arguments = ["report", str(lab.root / "study.toml"), "--lab", str(lab.root)]
    with undrawn():
        assert main([*arguments, "--to", str(folder)]) == 0
    page = read_page(folder / "report.html")
    (table,) = (one for one in page.all("table") if one.attributes.get("class") == "methods")
    (row,) = table.all("tbody")[0].all("tr")
    assert "…" not in row.text
    return row.cells


@pytest.mark.parametrize(
    ("glued", "how", "compared"),
    [
        (
            False,
            "2 panels of each batch of each panel the mean of its 2 determinations",
            "difference of means, panels as unit",
        ),
        (
            True,
            (
                "2 panels of each batch of each panel the mean of its 2 determinations of batches"
                " with lower bounds (how many): what the panel adds to the mean by maximum"
                " likelihood, the bounds as such (censored normal): RB-011 (1)"
            ),
            "difference of means with lower bounds as such (censored normal), panels as unit",
        ),
    ],
)
def test_methods_are_those_of_the_study(
    glued: bool, how: str, compared: str, tmp_path: Path
) -> None:
    """Lower bounds are told where there are some; panels and determinations as counted."""
    lab = make_lab(tmp_path / "lab")
    export = pulled(STRENGTHS)
    if glued:
        export = export.replace('RB-011-2,2,20,3.2,"100% B"', 'RB-011-2,2,20,3.2,"100% Y"')
    for name, content in (("register.csv", REGISTER), ("pulls.csv", export)):
        lab.drop(name, content)
        lab.take()
    assert lab.held() == {}
    (lab.root / "study.toml").write_text(STUDY, encoding="utf-8")
    title, told, against = methods_of(lab, tmp_path / "out")
    assert title == "pull-off strength"
    assert told == how
    assert against.startswith(compared)
