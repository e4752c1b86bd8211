"""A report that can be handed out: for any eye and screen, on few pages, without others' names."""

from __future__ import annotations

import re
import shutil
import subprocess
from itertools import pairwise
from pathlib import Path

import pytest
from example_study import brief_report, example_data, example_report
from labs import LabAtWork, make_lab
from report_reading import Element, read_page
from shared_work import SharedWork
from test_small_reports import REGISTER, STRENGTHS, files, pulled
from undrawn import undrawn

from tiecoat.ask.study_data import StudyData
from tiecoat.cli import main

EXAMPLE = Path(__file__).parents[2] / "archive_example"
CHROMIUM = shutil.which("chromium")
NEEDS_CHROMIUM = pytest.mark.skipif(not CHROMIUM, reason="there is no chromium on this machine")
ASHAMED = re.compile(r"from memory|look each up|\bTODO\b|not sure|\bnan\b|\bNone\b(?!\.)")


@pytest.fixture(scope="module")
def data(shared_work: SharedWork) -> StudyData:
    """The study of the example."""
    return example_data(shared_work)


@pytest.fixture(scope="module")
def whole(shared_work: SharedWork) -> Path:
    """Its page with the appendix."""
    return example_report(shared_work)


@pytest.fixture(scope="module")
def brief(shared_work: SharedWork) -> Path:
    """Its page without the appendix."""
    return brief_report(shared_work)


def test_headers_have_a_scope_and_tables_a_caption(whole: Path) -> None:
    """Each heading of a table says what it heads, each table what it holds."""
    page = read_page(whole)
    for heading in page.all("th"):
        assert heading.attributes.get("scope") in {"col", "row", "rowgroup"}, heading.text
    tables = page.all("table")
    assert len(tables) > 15
    for table in tables:
        (caption,) = table.all("caption")
        assert caption.text


def test_the_page_has_landmarks_and_headings_in_order(whole: Path) -> None:
    """One header, main, navigation and footer; no level of heading is left out; sections named."""
    page = read_page(whole)
    for tag in ("header", "main", "nav", "footer", "h1"):
        assert len(page.all(tag)) == 1
    levels = [int(one.tag[1]) for one in page.every() if re.fullmatch("h[1-6]", one.tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))
    ids = {one.attributes["id"]: one for one in page.every() if "id" in one.attributes}
    for section in page.all("section"):
        assert ids[section.attributes["aria-labelledby"]].text


def test_the_contents_lead_to_every_section_in_order(whole: Path) -> None:
    """Each entry goes to a section of the page, in the order in which they stand."""
    page = read_page(whole)
    listed = [one.attributes["href"].removeprefix("#") for one in page.all("nav")[0].all("a")]
    sections = [one.attributes["id"] for one in page.all("section")]
    assert [one for one in sections if one in listed] == listed
    left_out = {one for one in sections if one not in listed}
    assert all(re.fullmatch(r"property-[2-9]", one) for one in left_out)


def test_each_figure_says_what_it_shows(whole: Path, data: StudyData) -> None:
    """The words of a property's figure name each candidate, below the verdict that it got."""
    page = read_page(whole)
    for figure in page.all("figure"):
        (drawing,) = figure.all("svg")
        assert drawing.attributes["role"] == "img"
        assert len(drawing.attributes["aria-label"]) > 40
    for section in page.all("section"):
        if "property" in section.attributes.get("class", "") and section.all("figure"):
            (caption,) = section.all("figcaption")
            told = caption.text.split("It shows:")[1]
            label = section.all("h2")[0].text
            for one in data.comparison.verdicts:
                if one.property == label:
                    assert told.count(one.batch) == 1


@pytest.mark.thorough
def test_brief_is_the_same_without_the_appendix(whole: Path, brief: Path) -> None:
    """What stays is word for word the same; it says that something is left out."""
    long, short = read_page(whole), read_page(brief)
    kept = {one.attributes["id"]: one for one in short.all("section")}
    assert set(kept) < {one.attributes["id"] for one in long.all("section")}
    assert not set(kept) & {"tables", "methods", "values", "appendix", "quality"}
    for one in long.all("section"):
        anchor = one.attributes["id"]
        if anchor in kept and "property" not in anchor and anchor != "answer":
            assert kept[anchor].text == one.text
    assert "is left out of this copy" in short.all("footer")[0].text
    targets = {one.attributes["id"] for one in short.every() if "id" in one.attributes}
    for link in short.all("a"):
        assert link.attributes["href"].removeprefix("#") in targets


def test_no_sentence_that_its_author_need_be_ashamed_of(whole: Path) -> None:
    """Nothing on the page says that nobody looked, or shows a value of the program."""
    page = read_page(whole)
    for tag in ("p", "li", "td", "th", "h2", "h3", "dd", "figcaption", "caption"):
        for one in page.all(tag):
            assert not ASHAMED.search(one.text), one.text


def run_chromium(*arguments: str, profile: Path) -> bytes:
    """Run the browser without a window and return what it prints."""
    command = [CHROMIUM or "", "--headless", "--no-sandbox", "--disable-gpu"]
    command += [f"--user-data-dir={profile}", "--allow-file-access-from-files", *arguments]
    return subprocess.run(command, check=True, capture_output=True, timeout=120).stdout


@NEEDS_CHROMIUM
def test_brief_prints_on_eight_pages_at_most(brief: Path, tmp_path: Path) -> None:
    """The example without its appendix takes no more than eight pages of A4."""
    pdf = tmp_path / "brief.pdf"
    run_chromium(f"--print-to-pdf={pdf}", brief.as_uri(), profile=tmp_path / "profile")
    assert 2 <= len(re.findall(rb"/MediaBox\s*\[", pdf.read_bytes())) <= 8


@NEEDS_CHROMIUM
def test_the_whole_page_prints_its_originals_and_not_each_measurement(
    whole: Path, tmp_path: Path
) -> None:
    """Forty pages hold it, where a line for each measurement made fifty-five; the screen has all.

    What a value was made of is printed beside it, by original and rows.
    """
    pdf = tmp_path / "whole.pdf"
    run_chromium(f"--print-to-pdf={pdf}", whole.as_uri(), profile=tmp_path / "profile")
    assert 20 <= len(re.findall(rb"/MediaBox\s*\[", pdf.read_bytes())) <= 40
    assert whole.read_text(encoding="utf-8").count('<tr id="m-') > 100


@pytest.mark.every(2)
@NEEDS_CHROMIUM
@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_is_no_wider_than_the_screen(whole: Path, tmp_path: Path, width: int) -> None:
    """Nothing but tables and figures, within frames of their own, is wider than a phone."""
    frame = tmp_path / "frame.html"
    frame.write_text(
        f'<iframe id="f" src="{whole.as_uri()}" style="width:{width}px;height:900px"></iframe>'
        "<script>addEventListener('load', () => { const d = document.getElementById('f')"
        ".contentDocument; document.title = d.documentElement.scrollWidth + ' ' +"
        " [...d.querySelectorAll('.answers, .answers *')].map(e => e.getBoundingClientRect().right)"
        ".reduce((a, b) => Math.max(a, b)) + ' ' + parseFloat(getComputedStyle("
        "d.querySelector('.answers li')).fontSize) })</script>",
        encoding="utf-8",
    )
    profile = tmp_path / "profile"
    printed = run_chromium("--dump-dom", frame.as_uri(), profile=profile).decode()
    found = re.search(r"<title>(\d+) ([\d.]+) ([\d.]+)</title>", printed)
    assert found is not None
    assert int(found[1]) <= width
    assert float(found[2]) <= width
    assert float(found[3]) >= 14  # pixels: what a reader on a phone needs not enlarge


def test_brief_is_one_file(brief: Path, tmp_path: Path, shared: LabAtWork) -> None:
    """Nothing stands beside the page; what a whole report left there goes, somebody's file stays.

    With the originals it is refused: nothing on the page would open them.
    """
    assert set(files(brief.parent)) == {"report.html"}
    out = tmp_path / "out"
    arguments = ["report", str(shared.root / "study.toml"), "--lab", str(shared.root)]
    arguments += ["--to", str(out)]
    with undrawn():
        assert main(arguments) == 0
    (out / "mine.txt").write_text("mine", encoding="utf-8")
    assert {name.partition("/")[0] for name in files(out)} > {"figures", "tables"}
    with undrawn():
        assert main([*arguments, "--brief"]) == 0
    assert set(files(out)) == {"report.html", "mine.txt"}
    before = files(out)
    assert main([*arguments, "--brief", "--with-originals"]) == 2
    assert files(out) == before


OTHERS = """Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note
RB-050,other base,Kestrel & Sons filler,5,candidate,2026-09-10,for Kestrel & Sons

Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note
RB-050-1,RB-050,steel Sa 2½,Kestrel topcoat,180,2026-09-14,,
"""
STUDY = """
control = "RB-010"
batches = ["RB-010", "RB-011"]
[[property]]
name = "pull-off strength"
margin = 1
"""


def late_naming(own: str, others: str) -> str:
    """Return an export that nobody can read whole, and that names another customer's panel last."""
    many = pulled({own: (3.1,) * 9}).replace("3.1", "no idea")
    return many + 40 * "\n" + pulled({others: (7.7,)}).split("\n", 1)[1]


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab with work for two customers: batches, shared and held files of both."""
    made = make_lab(tmp_path_factory.mktemp("shared") / "lab")
    for name, content in (
        ("register.csv", REGISTER),
        ("Kestrel register.csv", OTHERS),
        ("pull-off of all customers.csv", pulled({**STRENGTHS, "RB-050-1": (7.7, 7.9)})),
        ("Kestrel RB-050 pull.csv", pulled({"RB-050-1": (7.7,)}).replace("7.7", "no idea")),
        ("our RB-011 pull.csv", pulled({"RB-011-1": (3.1,)}).replace("3.1", "no idea")),
        ("Kestrel photograph.xyz", "no id in here\\n"),
        ("Kestrel and our pull.csv", late_naming("RB-011-1", "RB-050-1")),
        ("RB-010 with Kestrel RB-050.csv", pulled({"RB-010-1": (5.1,)}).replace("5.1", "what")),
        ("for Kestrel.csv", pulled({"RB-011-2": (2.9, 3.2)}) + "\n\nas RB-050\n"),
    ):
        made.drop(name, content)
        made.take()
    assert set(made.held()) == {
        "Kestrel RB-050 pull.csv",
        "our RB-011 pull.csv",
        "Kestrel photograph.xyz",
        "Kestrel and our pull.csv",
        "RB-010 with Kestrel RB-050.csv",
        "for Kestrel.csv",
    }
    (made.root / "study.toml").write_text(STUDY, encoding="utf-8")
    return made


def test_no_other_customer_is_on_the_page_or_beside_it(shared: LabAtWork, tmp_path: Path) -> None:
    """Neither names of others' files nor their batches; a shared original stays in the lab."""
    study, lab, out = str(shared.root / "study.toml"), str(shared.root), tmp_path / "out"
    assert main(["report", study, "--lab", lab, "--to", str(out), "--with-originals"]) == 0
    for name, content in files(out).items():
        if not name.endswith(".png"):
            text = content.decode("utf-8-sig")
            told = ["Kestrel", "RB-050", "other base"]
            told += [] if "<svg" in text else ["7.7"]  # the drawings are full of numbers
            for others in told:
                assert others not in text, (name, others)
    page = read_page(out / "report.html")
    assert "our RB-011 pull.csv" in held_of(page)
    assert "1 held file of the lab that name no batch" in held_of(page).replace("names", "name")
    further = "3 further held files name batches of other studies too; tiecoat held lists them."
    assert further in held_of(page)
    there = {path.name for path in (out / "originals").rglob("*.csv")}
    assert there == {"register.csv"}
    assert "pull-off of all customers" not in page.text
    assert "original of several studies †" in page.text


def held_of(page: Element) -> str:
    """Return what the page says of the quality of the data."""
    (section,) = (one for one in page.all("section") if one.attributes["id"] == "quality")
    return section.text


def test_a_control_that_is_misspelt_brings_no_page(
    shared: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Near names help whoever runs the command, and get onto no page."""
    study = tmp_path / "study.toml"
    study.write_text(STUDY.replace('control = "RB-010"', 'control = "RB-051"'), encoding="utf-8")
    arguments = ["report", str(study), "--lab", str(shared.root), "--to", str(tmp_path / "out")]
    assert main(arguments) == 2
    assert "near it: RB-050" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@NEEDS_CHROMIUM
def test_a_summary_of_twelve_candidates_stands_on_the_first_page(tmp_path: Path) -> None:
    """The answer in short fits one page of A4: it is set closer than that of a few candidates."""
    batches = [f"RB-0{place}" for place in range(10, 23)]
    lab = make_lab(tmp_path / "lab")
    register = ["Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note"]
    register += [
        f"{one},base,{'none' if one == 'RB-010' else f'surface treated filler {one[-2:]}'},"
        f"{5 * (one != 'RB-010')},{'candidate' if one != 'RB-010' else 'control'},2026-09-10,"
        for one in batches
    ]
    panels = ["Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note"]
    panels += [
        f"{one}-{place},{one},steel Sa 2½,2 x primer,180,2026-09-14,,"
        for one in batches
        for place in (1, 2, 3)
    ]
    lab.drop("register.csv", "\n".join([*register, "", *panels]) + "\n")
    lab.take()
    strengths = {
        f"{one}-{place}": (5.0 + number % 3 - place / 5, 5.3 + number % 4 - place / 5)
        for number, one in enumerate(batches)
        for place in (1, 2, 3)
    }
    lab.drop("pulls.csv", pulled(strengths))
    lab.take()
    assert lab.held() == {}
    study = '[[property]]\nname = "pull-off strength"\n[[property]]\nname = "adhesive failure"\n'
    (lab.root / "study.toml").write_text(study, encoding="utf-8")
    arguments = ["report", str(lab.root / "study.toml"), "--lab", str(lab.root), "--brief"]
    main([*arguments, "--to", str(tmp_path / "out")])
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert '<div class="answers many">' in page
    (tmp_path / "first.html").write_text(page.partition("<nav")[0], encoding="utf-8")
    pdf = tmp_path / "first.pdf"
    run_chromium(
        f"--print-to-pdf={pdf}", (tmp_path / "first.html").as_uri(), profile=tmp_path / "profile"
    )
    assert len(re.findall(rb"/MediaBox\s*\[", pdf.read_bytes())) == 1
