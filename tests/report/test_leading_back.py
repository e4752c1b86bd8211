"""Every number leads back: from a verdict to values, to rows, to the original's bytes."""

from __future__ import annotations

import hashlib
import re
import shutil
from pathlib import Path
from urllib.parse import unquote

import pandas as pd
import pytest
from example_study import example_data
from labs import LabAtWork
from report_reading import Element, number_of, read_page
from shared_work import SharedWork
from test_small_reports import NAME, STRENGTHS, files, small_lab
from undrawn import undrawn

import tiecoat
from tiecoat.cli import main
from tiecoat.compare.comparison import Comparison
from tiecoat.report.evidence import measurements_behind

EXAMPLE = Path(__file__).parents[2] / "archive_example"
ROWS = re.compile(r"(?P<name>.*), rows? (?P<first>\d+)(?:–(?P<last>\d+))?")


@pytest.fixture(scope="module")
def lab(shared_work: SharedWork) -> LabAtWork:
    """A lab with pull-off tests of two batches."""
    return small_lab(shared_work)


def report(lab: LabAtWork, folder: Path, *more: str) -> int:
    """Run `tiecoat report` on the lab's study."""
    study = str(lab.root / "study.toml")
    with undrawn():
        return main(["report", study, "--lab", str(lab.root), "--to", str(folder), *more])


@pytest.fixture(scope="module")
def written(lab: LabAtWork, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The report with its originals."""
    folder = tmp_path_factory.mktemp("written") / "out"
    assert report(lab, folder, "--with-originals") == 0
    return folder


def by_id(page: Element) -> dict[str, Element]:
    """Return the elements of a page that a link can go to."""
    return {one.attributes["id"]: one for one in page.every() if "id" in one.attributes}


def target(link: Element, there: dict[str, Element]) -> Element:
    """Return what a link within the page goes to."""
    return there[link.attributes["href"].removeprefix("#")]


def test_a_verdict_leads_to_the_lines_of_the_original(written: Path) -> None:
    """From n by the links to file and rows: the mean of those lines is the value of the panel."""
    page = read_page(written / "report.html")
    there = by_id(page)
    (table,) = (one for one in page.all("table") if "data-property" in one.attributes)
    found: dict[str, float] = {}
    for row in table.all("tbody")[0].all("tr"):
        link = row.all("a")[0]  # the others are notes
        values = target(link, there).all("tr")
        assert len(values) == int(link.text)
        for value in values:
            _, panel, shown, _ = (cell.text for cell in value.all("td"))
            (rows,) = value.all("a")
            place = ROWS.fullmatch(rows.text)
            assert place is not None
            measurement = target(rows, there)
            (body,) = (one for one in page.all("tbody") if measurement in one.children)
            (original,) = body.all("a")
            assert place["name"] == f"2. {original.text}"
            path = written / unquote(original.attributes["href"])
            content = path.read_bytes()
            assert hashlib.sha256(content).hexdigest() == body.attributes["data-sha256"]
            lines = content.decode().splitlines()
            mine = lines[int(place["first"]) - 1 : int(place["last"])]
            assert {one.split(",")[0] for one in mine} == {panel}
            strengths = [float(one.split(",")[3]) for one in mine]
            assert strengths == list(STRENGTHS[panel])
            found[panel] = number_of(shown)
            assert found[panel] == pytest.approx(sum(strengths) / len(strengths))
    assert set(found) == set(STRENGTHS)


def test_values_as_a_table_name_their_measurements(lab: LabAtWork, written: Path) -> None:
    """The mean of the rows that values.csv names is its value; evidence.csv says where they are."""
    values = pd.read_csv(written / "tables" / "values.csv", encoding="utf-8-sig")
    evidence = pd.read_csv(written / "tables" / "evidence.csv", encoding="utf-8-sig")
    rows = tiecoat.open(lab.root).read("pull_off").set_index("measurement")
    assert len(values) == len(STRENGTHS)
    for one in values.to_dict("records"):
        mine = one["measurements"].split("; ")
        assert len(mine) == 2
        assert rows.loc[mine, "strength_mpa"].mean() == pytest.approx(one["value"])
        places = evidence[evidence["name"] == one["name"]]
        assert places["measurement"].tolist() == mine
        assert places["source_row"].tolist() == rows.loc[mine, "source_row"].tolist()
        assert set(places["source_name"]) == {NAME}


@pytest.fixture(scope="module")
def example(
    shared_work: SharedWork,
) -> tuple[Comparison, dict[tuple[str, str, str], list[str]]]:
    """The comparison of the example, and what is told to stand behind each of its values."""
    data = example_data(shared_work)
    behind = {
        (wanted.label, batch, name): mine
        for wanted in data.comparison.properties
        for (batch, name), mine in measurements_behind(data, wanted).items()
    }
    return data.comparison, behind


def test_no_value_is_without_a_measurement_of_its_own_panel(
    example: tuple[Comparison, dict[tuple[str, str, str], list[str]]],
) -> None:
    """Each value of the example has measurements of its kind, batch and panel, and no other's."""
    comparison, behind = example
    values = comparison.values()
    keys = set(zip(values["property"], values["batch"], values["name"], strict=True))
    assert set(behind) == keys
    known = tiecoat.open(EXAMPLE).measurements().set_index("measurement")
    kinds = {one.label: one.kind for one in comparison.properties}
    for (label, batch, name), mine in behind.items():
        assert mine
        listed = known.loc[mine]
        assert set(listed["kind"]) == {kinds[label]}
        assert set(listed["batch"]) == {batch}
        if name in set(known["panel"].dropna()):
            assert set(listed["panel"]) == {name}


def test_a_spectrum_is_the_one_of_its_exposure_time(
    example: tuple[Comparison, dict[tuple[str, str, str], list[str]]],
) -> None:
    """Behind the modulus after 240 h stands one sweep a panel, measured after 240 h."""
    _, behind = example
    rows = tiecoat.open(EXAMPLE).read("impedance").groupby("measurement")["exposure_h"].first()
    spectra = [mine for (label, *_), mine in behind.items() if label == "modulus after 240 h"]
    assert len(spectra) == 27
    for mine in spectra:
        (one,) = mine
        assert rows[one] == pytest.approx(240, abs=0.5)


def test_originals_stay_in_the_lab_unless_asked_for(lab: LabAtWork, tmp_path: Path) -> None:
    """Without the option there is no folder and no link; a former one goes, somebody's stays."""
    folder = tmp_path / "out"
    assert report(lab, folder, "--with-originals") == 0
    assert (folder / "originals").is_dir()
    assert report(lab, folder) == 0
    assert not (folder / "originals").exists()
    assert b'href="originals/' not in (folder / "report.html").read_bytes()
    (folder / "originals").mkdir()
    (folder / "originals" / "mine.txt").write_text("mine", encoding="utf-8")
    assert report(lab, folder) == 0
    assert (folder / "originals" / "mine.txt").read_text(encoding="utf-8") == "mine"
    before = files(folder)
    assert report(lab, folder, "--with-originals") == 2
    assert files(folder) == before


def test_an_original_that_is_not_what_was_filed_is_refused(
    lab: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A changed byte is found by the hash, and no report is written with it."""
    copy = tmp_path / "lab"
    shutil.copytree(lab.root, copy)
    (path,) = (copy / "originals").glob(f"*/*/{NAME}")
    path.write_bytes(path.read_bytes().replace(b"5.4", b"9.4"))
    arguments = ["report", str(copy / "study.toml"), "--lab", str(copy), "--with-originals"]
    assert main([*arguments, "--to", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err
    assert f"{NAME} was changed after it was stored: its content has the SHA-256" in told
    assert told.endswith("see: tiecoat verify\n")
    assert files(tmp_path / "out") == {}
