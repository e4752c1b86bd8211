"""A small lab whose panels fail all or not at all: what its report and `compare` say of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from labs import LabAtWork, make_lab
from report_reading import Element, read_page, verdict_rows
from undrawn import undrawn

from tiecoat.cli import main

STUDY = """
name = "Adhesion promoters"
[[property]]
name = "adhesive failure"
margin = 20
[[property]]
name = "pull-off strength"
margin = 1
"""
HEAD = """Batch,Recipe,Candidate,Dose (%),Role,Mixed on
RB-010,base,none,,control,2026-09-10
RB-011,base with silane,silane,1,candidate,2026-09-10
RB-012,base with titanate,titanate,1,candidate,2026-09-10
RB-013,base with zirconate,zirconate,1,candidate,2026-09-10

Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on
"""
TESTED = ("RB-010", "RB-011", "RB-012")
PULLS = (-0.1, 0.0, 0.1)
OFFSETS = {
    "RB-010": (-0.2, -0.1, 0.0, 0.0, 0.1, 0.2),
    "RB-011": (-0.2, -0.1, 0.0, 0.0, 0.1, 0.2),
    "RB-012": (-1.4, -0.7, 0.0, 0.0, 0.7, 1.4),  # scatters seven times as widely
}


def panels(batch: str, count: int) -> list[str]:
    """Return the panels of a batch."""
    return [f"{batch}-{place}" for place in range(1, count + 1)]


def register(count: int) -> str:
    """Return the register, with so many panels of each batch that is tested."""
    named = [(panel, batch) for batch in TESTED for panel in panels(batch, count)]
    return HEAD + "\n".join(
        f"{panel},{batch},steel,2 x primer,180,2026-09-14" for panel, batch in named
    )


def pulled(count: int) -> str:
    """Return an export: of RB-011 every panel fails at the steel, of the others none does."""
    rows = ["Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured"]
    for batch in TESTED:
        place = "A/B" if batch == "RB-011" else "B"
        for panel, offset in zip(panels(batch, count), OFFSETS[batch], strict=False):
            rows += [
                f'{panel},{n},20,{7 + offset + pull:.2f},"100% {place}",2026-09-28 14:0{n}'
                for n, pull in enumerate(PULLS, 1)
            ]
    return "\n".join(rows) + "\n"


def thickness() -> str:
    """Return thicknesses of one batch, which the study does not name."""
    rows = [f"RB-010-1,{n},{180 + n},2026-09-20 10:0{n}" for n in range(1, 5)]
    return "\n".join(["Panel,Reading,Dry film thickness (µm),Measured", *rows]) + "\n"


def filed(folder: Path, count: int) -> LabAtWork:
    """Return the lab with so many panels of each batch."""
    made = make_lab(folder / "lab")
    for name, text in (
        ("register.csv", register(count)),
        ("pull.csv", pulled(count)),
        ("thickness.csv", thickness()),
    ):
        made.drop(name, text)
        made.take()
    assert made.held() == {}
    (made.root / "study.toml").write_text(STUDY, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """The lab with six panels of each batch."""
    return filed(tmp_path_factory.mktemp("six"), 6)


def report(lab: LabAtWork, folder: Path, study: str = "study.toml") -> int:
    """Run `tiecoat report`."""
    with undrawn():
        return main(["report", str(lab.root / study), "--lab", str(lab.root), "--to", str(folder)])


@pytest.fixture(scope="module")
def page(lab: LabAtWork, tmp_path_factory: pytest.TempPathFactory) -> Element:
    """The page of its report."""
    folder = tmp_path_factory.mktemp("page")
    assert report(lab, folder) == 0
    return read_page(folder / "report.html")


def blocks(page: Element) -> dict[str, list[str]]:
    """Return the headings of the first page with their sentences."""
    (answer,) = (one for one in page.all("section") if one.attributes["id"] == "answer")
    return {
        one.all("h3")[0].text: [item.text for item in one.all("li")]
        for one in answer.all("div")
        if one.attributes["class"].startswith("block ")
    }


def test_all_against_none_is_harm_on_the_first_page(page: Element) -> None:
    """100 % on every panel of the candidate, 0 % on every one of the control: worse."""
    (told,) = blocks(page)["What harm"]
    assert told == "RB-011 (1 % silane) is worse on adhesive failure (+100 points)."
    (stable,) = (one for one in blocks(page)["How sure"] if one.startswith("With each margin"))
    assert stable.endswith("first is: RB-010 8 times.")
    cells = verdict_rows(page)["adhesive failure", "RB-011"]
    assert (cells[2], cells[5], cells[7]) == ("6", "", "▼ worse")


def test_three_panels_each_give_the_warning_and_the_advice(tmp_path: Path) -> None:
    """Three against three reach no level: signs of harm, and what next is a number of panels."""
    small = filed(tmp_path, 3)
    assert report(small, tmp_path / "out") == 0
    first = blocks(read_page(tmp_path / "out" / "report.html"))
    assert any("shows signs of harm on adhesive failure" in one for one in first["What harm"])
    steps = [one for one in first["What next"] if one.startswith("adhesive failure")]
    assert steps == [
        (
            "adhesive failure: 5 panels each of the control and of RB-011 and RB-012 would do (6"
            " more in all)."
        ),
        "adhesive failure: values are lacking of RB-013; its table says which.",
    ]
    assert not any("lacking of RB-012" in one for one in first["What next"])


def test_every_candidate_is_named_in_the_first_block_and_on_the_screen(
    page: Element, lab: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Harmful, equal, wide or without any result: none goes unnamed."""
    main(["compare", str(lab.root / "study.toml"), "--lab", str(lab.root)])
    screen = capsys.readouterr().out.partition("Shown to do no harm")[2]
    told = " ".join(blocks(page)["Which candidate"])
    for batch in ("RB-011", "RB-012", "RB-013"):
        assert batch in told
        assert batch in screen.partition("Filed for these batches")[0]


def test_where_nothing_can_be_compared_the_candidates_are_named(
    lab: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two batches, none of them the control."""
    (lab.root / "two.toml").write_text('batches = ["RB-011", "RB-012"]\n', encoding="utf-8")
    assert report(lab, tmp_path, "two.toml") == 1
    told = blocks(read_page(tmp_path / "report.html"))["Which candidate"]
    assert told[-1] == "Not compared: RB-011 (1 % silane) and RB-012 (1 % titanate)."
    capsys.readouterr()
    main(["compare", str(lab.root / "two.toml"), "--lab", str(lab.root)])
    assert "Not compared: 1 % silane (RB-011); 1 % titanate (RB-012)." in capsys.readouterr().out


def test_a_scatter_seven_times_as_wide_is_told(page: Element, lab: LabAtWork) -> None:
    """On the first page and beside the verdict, by the F of the tables: 7 / sqrt(7.146)."""
    (told,) = (one for one in blocks(page)["To note"] if "scatters" in one)
    assert told == (
        "RB-012 scatters 7 times as widely as the control on pull-off strength (95 % interval 2.6"
        " to 19): look at the single values, and at how evenly it was mixed and applied."
    )
    number = verdict_rows(page)["pull-off strength", "RB-012"][9]
    notes = next(one for one in page.all("ol") if one.attributes.get("class") == "notes").all("li")
    assert any(
        notes[int(one) - 1].text.startswith("scatters 7 times as widely")
        for one in number.split(", ")
    )


def test_few_determinations_are_noted_where_a_property_rests_on_them(page: Element) -> None:
    """Once on the first page, with the property and the batches."""
    assert (
        "pull-off strength: 3 determinations, where ISO 4624 asks for at least 6"
        " (RB-010, RB-011, RB-012)." in blocks(page)["To note"]
    )


def test_an_outlier_that_is_kept_is_noted(tmp_path: Path) -> None:
    """By determination and panel."""
    made = filed(tmp_path, 3)
    rows = [f"RB-010-3,{n},20,{s},\"100% B\",2026-09-29 14:{n:02}" for n, s in enumerate(
        (7.0, 7.1, 6.9, 7.0, 7.1, 2.0), 4)]  # fmt: skip
    head = "Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured"
    made.drop("more.csv", "\n".join([head, *rows]) + "\n")
    made.take()
    assert report(made, tmp_path / "out") == 0
    told = blocks(read_page(tmp_path / "out" / "report.html"))["To note"]
    assert (
        "pull-off strength: outliers by Grubbs that are kept: determination 9 of RB-010-3 (2 MPa)."
        in told
    )


def test_measured_and_never_measured_are_told_apart(page: Element, lab: LabAtWork) -> None:
    """Film thickness is filed; modulus, air and flow never were; one batch has nothing yet."""
    first = blocks(page)
    assert first["Measured, not compared"] == [
        "Filed and not compared (the study does not name it): film thickness."
    ]
    assert first["Not tested"][:2] == [
        (
            "Never measured on these batches: modulus, modulus decline, time to a limit, water"
            " uptake, entrapped air, initial foam, foam half-life and shear-thinning index."
        ),
        "Registered, without any result yet: RB-013.",
    ]


@pytest.mark.parametrize(
    ("study", "words"),
    [
        (
            'batches = ["RB-010", "RB-0111"]\n',
            (
                "the study names the batch RB-0111, which the register does not hold; near it:"
                " RB-011, RB-013, RB-012"
            ),
        ),
        (
            'control = "RB-0100"\n',
            (
                "the study names the control RB-0100, which the register does not hold; near it:"
                " RB-010, RB-013, RB-012"
            ),
        ),
    ],
)
def test_a_misspelt_batch_writes_no_page(
    lab: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str], study: str, words: str
) -> None:
    """Exit code 2 with the names near it, of `report` and of `compare`."""
    (lab.root / "wrong.toml").write_text(study, encoding="utf-8")
    assert report(lab, tmp_path / "out", "wrong.toml") == 2
    assert capsys.readouterr().err == f"tiecoat: {words}\n"
    assert not (tmp_path / "out").exists()
    assert main(["compare", str(lab.root / "wrong.toml"), "--lab", str(lab.root)]) == 2


def test_the_scatter_in_a_first_study_is_that_of_the_control(
    lab: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """One wide candidate does not widen the margin that is suggested."""
    capsys.readouterr()
    assert main(["study", "--lab", str(lab.root)]) == 0
    told = " ".join(line.lstrip("# ") for line in capsys.readouterr().out.splitlines())
    assert "6 panels of the control RB-010 scatter by 0.14 MPa (standard deviation)." in told
    assert "the panels of the control RB-010 are equal: their spread is not resolved" in told
