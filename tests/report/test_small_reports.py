"""Reports of small labs: names that mean mischief, missing data, places, dates, equal bytes."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from labs import LabAtWork, make_lab
from report_reading import read_page, verdict_rows
from shared_work import SharedWork
from undrawn import undrawn

import tiecoat
from tiecoat.cli import main
from tiecoat.compare.strength import steps_rule

SCRIPT = "<script>alert(1)</script>"
NAME = "Tom & Jerry's $x_1$ pull.csv"
STUDY = """
name = "<img src=x onerror=alert(2)> & more"
[[property]]
name = "pull-off strength"
margin = 1
"""
REGISTER = f"""Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note
RB-010,=2+5,none,,control,2026-09-10,
RB-011,base $_{{x}}^$,{SCRIPT},5,candidate,2026-09-11,"{SCRIPT} and ""quotes"", too"

Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note
RB-010-1,RB-010,steel Sa 2½,2 x primer,180,2026-09-14,,
RB-010-2,RB-010,steel Sa 2½,2 x primer,180,2026-09-14,,
RB-010-3,RB-010,steel Sa 2½,2 x primer,180,2026-09-14,,
RB-011-1,RB-011,steel Sa 2½,2 x primer,180,2026-09-14,,
RB-011-2,RB-011,steel Sa 2½,2 x primer,180,2026-09-14,,
"""
STRENGTHS = {"RB-010-1": (5.1, 5.4), "RB-010-2": (5.6, 5.2), "RB-011-1": (3.1, 3.3)}
STRENGTHS |= {"RB-011-2": (2.9, 3.2)}


def pulled(strengths: dict[str, tuple[float, ...]]) -> str:
    """Return a pull-off export."""
    rows = ["Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured"]
    for panel, values in strengths.items():
        for place, value in enumerate(values, 1):
            rows.append(f'{panel},{place},20,{value},"100% B",2026-09-28 14:0{place}')
    return "\n".join(rows) + "\n"


def small_lab(shared: SharedWork) -> LabAtWork:
    """Return a lab with a control and a candidate whose names are hostile; not to be changed."""
    return shared.once("small lab", lambda folder: filed(folder / "lab"))


def filed(root: Path) -> LabAtWork:
    """Return that lab, made anew."""
    made = make_lab(root)
    made.drop("register.csv", REGISTER)
    made.take()
    made.drop(NAME, pulled(STRENGTHS))
    made.take()
    assert made.held() == {}
    (made.root / "study.toml").write_text(STUDY, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def lab(shared_work: SharedWork) -> LabAtWork:
    """A lab with a control and a candidate whose names are hostile."""
    return small_lab(shared_work)


def report(lab: LabAtWork, folder: Path, *more: str) -> int:
    """Run `tiecoat report` on the lab's study."""
    study = str(lab.root / "study.toml")
    return main(["report", study, "--lab", str(lab.root), "--to", str(folder), *more])


@pytest.fixture(scope="module")
def written(lab: LabAtWork, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the lab's report."""
    folder = tmp_path_factory.mktemp("written") / "out"
    assert report(lab, folder, "--date", "2026-11-26") == 0
    return folder


def files(folder: Path) -> dict[str, bytes]:
    """Return the bytes of every file below a folder."""
    found = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def test_names_stay_text(written: Path) -> None:
    """Tags, dollars and quotes in names and remarks come out as they are, and do nothing."""
    page = read_page(written / "report.html")
    assert {one.tag for one in page.every()} & {"script", "img"} == set()
    for words in (
        f"5 % {SCRIPT}",
        "<img src=x onerror=alert(2)> & more",
        NAME,
        'and "quotes", too',
    ):
        assert words in page.text
    for path in (written / "figures").glob("*.svg"):
        assert SCRIPT not in path.read_text(encoding="utf-8")
    drawn = (written / "figures" / "line_up.svg").read_text(encoding="utf-8")
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in drawn
    batches = (written / "tables" / "batches.csv").read_text(encoding="utf-8-sig")
    assert "'=2+5" in batches


@pytest.mark.thorough
def test_same_input_same_bytes(lab: LabAtWork, written: Path, tmp_path: Path) -> None:
    """A second process, in another time zone, writes every file anew to the byte."""
    arguments = ["report", str(lab.root / "study.toml"), "--lab", str(lab.root)]
    arguments += ["--to", str(tmp_path / "two"), "--date", "2026-11-26"]
    subprocess.run(
        [sys.executable, "-m", "tiecoat.cli", *arguments],
        check=True,
        capture_output=True,
        env={**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"},
    )
    assert files(written) == files(tmp_path / "two")


def test_report_is_replaced_and_other_files_stay(
    lab: LabAtWork, written: Path, tmp_path: Path
) -> None:
    """A second report takes away the figures of the first, and leaves what somebody put beside."""
    folder = tmp_path / "out"
    shutil.copytree(written, folder)
    (folder / "figures" / "old.svg").write_text("old", encoding="utf-8")
    (folder / "my notes.txt").write_text("mine", encoding="utf-8")
    assert report(lab, folder, "--date", "2026-11-27") == 0
    before, after = files(written), files(folder)
    assert set(after) == {*before, "my notes.txt"}
    assert after["my notes.txt"] == b"mine"
    assert [name for name in before if before[name] != after[name]] == ["report.html"]


def test_wrong_place_or_date_is_told(
    lab: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is written into the lab's own folders or over figures that are not a report's."""
    (tmp_path / "taken" / "figures").mkdir(parents=True)
    for name in ("tables", "figures"):
        (tmp_path / "another's" / name).mkdir(parents=True)
    (tmp_path / "another's" / "report.html").write_text("<h1>Mine</h1>", encoding="utf-8")
    (tmp_path / "another's" / "tables" / "mine.csv").write_text("mine", encoding="utf-8")
    not_ours = "no report of tiecoat: they may be somebody's; name another folder"
    for place, more, words in (
        (
            lab.root / "archive" / "report",
            (),
            f"{lab.root / 'archive'} is the lab's own; name a place outside of it",
        ),
        (
            tmp_path / "taken",
            (),
            f"{tmp_path / 'taken'} holds figures, but {not_ours}",
        ),
        (
            tmp_path / "another's",
            (),
            f"{tmp_path}{os.sep}another's holds report.html and figures and tables, but {not_ours}",
        ),
        (
            tmp_path / "out",
            ("--date", "26.11.2026"),
            "--date: found '26.11.2026'; expected a date such as 2026-11-26",
        ),
    ):
        before = files(place)
        assert report(lab, place, *more) == 2
        assert capsys.readouterr().err == f"tiecoat: {words}\n"
        assert files(place) == before


def test_study_that_cannot_be_read_is_told(
    lab: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A missing study file and a wrong key in it are named."""
    assert main(["compare", str(tmp_path / "none.toml"), "--lab", str(lab.root)]) == 2
    gone = f"tiecoat: {tmp_path / 'none.toml'} cannot be opened: "  # and why, by the system
    assert capsys.readouterr().err.startswith(gone)
    (tmp_path / "wrong.toml").write_text('contrl = "RB-010"\n', encoding="utf-8")
    assert main(["compare", str(tmp_path / "wrong.toml"), "--lab", str(lab.root)]) == 2
    assert capsys.readouterr().err == (
        f"tiecoat: {tmp_path / 'wrong.toml'}:\n  line 1: contrl: there is no such key; did you mean"
        " 'control'? allowed are name, control, batches, panels, coat_systems, doses_percent,"
        " exposure_h, against, why, spreads_alike, property, application; such as control ="
        ' "RB-010"\n'
    )


def test_without_a_control_the_report_says_so(
    lab: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is compared, the reason stands on the page, and the data are still listed."""
    (tmp_path / "study.toml").write_text('batches = ["RB-011"]\n', encoding="utf-8")
    arguments = ["report", str(tmp_path / "study.toml"), "--lab", str(lab.root)]
    with undrawn():
        assert main([*arguments, "--to", str(tmp_path / "out")]) == 1
    page = read_page(tmp_path / "out" / "report.html")
    (answer,) = (one for one in page.all("section") if one.attributes["id"] == "answer")
    sentences = [one for part in answer.all("ul") for one in part.all("li")]
    assert [one.text for one in sentences] == [
        "Nothing could be compared; the reasons stand below.",
        f"Not compared: RB-011 (5 % {SCRIPT}).",
        "no batch compared has the role control; name one in the study: nothing is compared",
    ]
    assert verdict_rows(page) == {}
    origins = next(one for one in page.all("table") if one.attributes["class"] == "origins")
    listed = {row.cells[3] for row in origins.all("tr") if row.cells[1:2] == ["pull_off"]}
    assert listed == {"RB-011-1", "RB-011-2"}
    assert NAME not in page.text  # the file holds pulls of the other batch too
    assert capsys.readouterr().err == (
        "no batch compared has the role control; the register has RB-010; name one in the study:"
        " nothing is compared\n"
    )


def test_missing_panels_are_told(written: Path) -> None:
    """A registered panel that nothing was measured on stands under the quality of the data."""
    page = read_page(written / "report.html")
    (quality,) = (one for one in page.all("section") if one.attributes["id"] == "quality")
    assert [one.text for one in quality.all("ul")[0].all("li")] == [
        "no data of any kind of the registered panels RB-010-3"
    ]


def test_dates_are_those_of_the_register(written: Path) -> None:
    """A batch mixed on a day of the lab stands under that day, though midnight there is not UTC."""
    page = read_page(written / "report.html")
    (study,) = (one for one in page.all("section") if one.attributes["id"] == "study")
    batches = [[cell.text for cell in row.all("td")] for row in study.all("tr")]
    assert [row[4] for row in batches if row and row[0].startswith("RB-")] == [
        "2026-09-10",
        "2026-09-11",
    ]


ONE_PANEL = f"""
panels = ["RB-010-1", "RB-010-2", "RB-011-1"]
[[property]]
name = "pull-off strength"
[[property]]
name = "{"permeability to water " * 15}"
kind = "permeability"
quantity = "rate"
"""


def test_what_is_not_compared_is_shown_all_the_same(lab: LabAtWork, tmp_path: Path) -> None:
    """One panel gives n and value without a verdict; a kind without data is told as missing."""
    (tmp_path / "study.toml").write_text(ONE_PANEL, encoding="utf-8")
    arguments = ["report", str(tmp_path / "study.toml"), "--lab", str(lab.root)]
    with undrawn():
        assert main([*arguments, "--to", str(tmp_path / "out")]) == 1
    page = read_page(tmp_path / "out" / "report.html")
    rows = verdict_rows(page)
    assert rows["pull-off strength", "RB-011"] == [
        *("RB-011", f"5 % {SCRIPT}", "1", "3.2", "–", "", "–", "? cannot tell"),
        "RB-011 has one panel only: nothing tells its spread",
        "",
    ]
    tables = {one.attributes.get("data-property"): one for one in page.all("table")}
    control = tables["pull-off strength"].all("tbody")[0].all("tr")[0]
    assert control.cells == ["RB-010", "control", "2", "5.325", *[""] * 6]
    (quality,) = (one for one in page.all("section") if one.attributes["id"] == "quality")
    assert [one.text for one in quality.all("ul")[0].all("li")] == ["permeability: no data at all"]
    assert max(len(one.name) for one in (tmp_path / "out" / "figures").iterdir()) < 100


def test_without_results_the_report_says_so(tmp_path: Path) -> None:
    """A lab with nothing but its register gets a page that lists it and claims nothing."""
    bare = make_lab(tmp_path / "lab")
    bare.drop("register.csv", REGISTER)
    bare.take()
    assert main(["report", "--lab", str(bare.root), "--to", str(tmp_path / "out")]) == 0
    page = read_page(tmp_path / "out" / "report.html")
    sections = {one.attributes["id"]: one.text for one in page.all("section")}
    (answer,) = (one for one in page.all("section") if one.attributes["id"] == "answer")
    assert [one.text for one in answer.all("ul")[0].all("li")] == [
        "Nothing could be compared; there are no results.",
        f"Not compared: RB-011 (5 % {SCRIPT}).",
    ]
    assert "RB-011" in sections["study"]
    assert "Every registered panel" not in sections["quality"]
    assert "verdicts" not in sections


BARE_REGISTER = """Batch,Candidate,Role
RB-010,none,control
RB-011,talc,candidate

Panel,Batch,Coat system
RB-010-1,RB-010,2 x primer
RB-010-2,RB-010,2 x primer
RB-011-1,RB-011,2 x primer
RB-011-2,RB-011,2 x primer
"""


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """The same pulls in a lab whose register has no more than it cannot do without."""
    made = make_lab(tmp_path_factory.mktemp("bare") / "lab")
    made.drop("register.csv", BARE_REGISTER)
    made.take()
    made.drop("pull.csv", pulled(STRENGTHS))
    made.take()
    assert made.held() == {}
    (made.root / "study.toml").write_text(STUDY, encoding="utf-8")
    return made


def test_results_need_no_recipe_substrate_or_date_of_coating(
    lab: LabAtWork, bare: LabAtWork
) -> None:
    """An evaluation gives the same as with a register that tells them."""
    found, expected = (
        tiecoat.open(one.root).evaluate("pull_off")[["quantity", "batch", "panel", "value"]]
        for one in (bare, lab)
    )
    assert found["value"].notna().any()
    pd.testing.assert_frame_equal(found, expected)


def test_a_report_needs_no_recipe_substrate_or_date_of_coating(
    bare: LabAtWork, tmp_path: Path
) -> None:
    """The verdict and the page come as they do with them; what is not known stays blank."""
    assert report(bare, tmp_path / "out") == 0
    page = read_page(tmp_path / "out" / "report.html")
    sections = {one.attributes["id"]: one for one in page.all("section")}
    asked = "Is the candidate better than the control RB-010 on pull-off strength"
    assert asked in page.text
    rows = [[cell.text for cell in row.all("td")] for row in sections["study"].all("tr")]
    assert [row[:4] for row in rows if row and row[0] == "RB-011"] == [
        ["RB-011", "", "talc", "candidate"]
    ]
    assert verdict_rows(page)["pull-off strength", "RB-011"][2] == "2"
    for path in (tmp_path / "out").rglob("*"):
        if path.suffix in {".html", ".svg"}:
            assert "nan" not in re.findall(r"[a-z]+", path.read_text(encoding="utf-8").lower())


def test_compare_prints_the_verdicts(
    lab: LabAtWork, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sign for each, the summary, then effect, interval and reason; markup stays text."""
    monkeypatch.setenv("COLUMNS", "200")
    assert main(["compare", str(lab.root / "study.toml"), "--lab", str(lab.root)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    # the interval by hand: panels 5.25, 5.4 and 3.2, 3.05; Student's t of 2 degrees, 4.3027,
    # times 0.1061 MPa; p by scipy.stats.ttest_ind
    assert printed == (
        "against RB-010 1"
        f" 5 % {SCRIPT} (RB-011) ▼▼"
        " ▲ better ● not worse ▼ worse ! signs of harm ? cannot tell empty: not tested"
        f" {' '.join(steps_rule([]))}"
        " 1 pull-off strength harm: more than 1 MPa below the control"
        " Shown to do no harm on pull-off strength: no candidate."
        f" 5 % {SCRIPT} (RB-011): worse on pull-off strength."
        " Recommended is the control. It comes first in 98 % of the recalculations within the"
        " scatter of the data, and with each margin and weight halved and doubled."
        " No recipe in the archive has several batches: how batches differ is not known."
        " pull-off strength: 2 determinations, where ISO 4624 asks for at least 6 (all batches)."
        " Never measured on these batches: modulus, modulus decline, time to a limit,"
        " water uptake, entrapped air, initial foam, foam half-life, shear-thinning index."
        " Filed for these batches, and not compared:"
        " adhesive failure (RB-010, RB-011): the study does not name it"
        " pull-off strength"
        " candidate effect verdict why"
        f" 5 % {SCRIPT} (RB-011) −2.2 MPa; −2.66 to −1.74; n 2, p 0.0023 worse"
        " the interval excludes equality and lies beyond the margin"
        " control RB-010: 5.325 MPa, n 2"
        " difference of means, panels as unit; Welch, Sidak over 1"
        " 2 determinations, where ISO 4624 asks for at least 6"
        " Interval (95 %) and p are of this comparison alone. The other verdicts: --all."
        " Each batch is compared as it was made. Panels of one batch tell how panels scatter, not"
        " how batches do: the verdicts are about these batches, not about every batch of the"
        " recipe."
        " These verdicts support the judgement of the responsible person. They replace neither that"
        " nor the acceptance test of a standard or specification."
    )
