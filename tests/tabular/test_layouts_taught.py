"""Layouts that nobody can know, each taught with at most three answers and read by its profile."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from layouts_to_teach import LAYOUTS, Layout

from tiecoat.dialect.export import Export
from tiecoat.errors import ProfileInvalid, QueryInvalid
from tiecoat.extend.learning import LessonInWords, Pupil
from tiecoat.extend.loading import load_plugins
from tiecoat.extend.profile_file import load_profile
from tiecoat.extend.profile_names import called_like
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import Lab, open_lab
from tiecoat.tabular.answers import parted_answer
from tiecoat.tabular.forms import PASS_OVER
from tiecoat.tabular.told_lines import begins_with

MOST_ANSWERS = 3
PSI_MPA = 0.006894757  # 1 lbf/in2: NIST SP 811, appendix B.8
CREEP = "Panel;exposure [h];creep [mm]\nRB-010-1;480;3,2\nRB-010-2;480;6\n"
SPOTS = ", ".join(f"gloss_gu at spot {n}" for n in (1, 2, 3))
NOTE = "Charge RB-010\nnach 10 min 1,412 und 1,398 nach 45 min\n"
TOLD = "Panel;thickness [µm];state\nRB-010-1;81;dry\nRB-010-2;84;dry\n"


@dataclass(frozen=True)
class School:
    """A lab in which layouts are taught."""

    lab: Lab
    folder: Path

    def pupil(
        self, file: str, text: str, kind: str | None, answers: Sequence[str], within: str = ""
    ) -> Pupil:
        """Return who has been told the answers about a file, which came in a folder."""
        path = self.folder / file
        path.write_text(text, encoding="utf-8")
        pupil = Pupil(self.lab, path, file, within, kind)
        for answer in answers:
            pupil.answer(*parted_answer(answer))
        return pupil

    def lesson(self, file: str, text: str, kind: str | None, *answers: str) -> LessonInWords:
        """Return a file as it is read with some answers."""
        return self.pupil(file, text, kind, answers).lesson()

    def rows(
        self, profile: Path, file: str, text: str, within: str = ""
    ) -> tuple[list[dict[str, Any]], list[str]]:
        """Return what a profile reads in a file that it claims, and the faults."""
        path = self.folder / file
        path.write_text(text, encoding="utf-8")
        reader = load_profile(profile, load_plugins(None).kinds)
        export = Export(path, file, within, self.lab.habits)
        claim = reader.recognise(export)
        if claim is None or claim.sure < 0.5:
            return [], ["not claimed"]
        rows = [
            {"batch": one.batch, "panel": one.panel}
            | {name: values[n] for name, values in one.columns.items()}
            for one in reader.read(export)
            for n in range(len(one.rows))
        ]
        return rows, [fault.sentence for fault in export.faults]


@pytest.fixture
def school(tmp_path: Path) -> School:
    """A lab with nothing in it."""
    return School(open_lab(new_lab(tmp_path / "lab", "").root), tmp_path)


def agree(row: dict[str, Any], expected: dict[str, Any]) -> bool:
    """Tell whether a row holds what is expected."""
    return all(
        math.isclose(row[name], value, rel_tol=1e-9)
        if isinstance(value, float)
        else row[name] == value
        for name, value in expected.items()
    )


@pytest.mark.every(6)
@pytest.mark.parametrize("name", LAYOUTS)
def test_a_layout_is_taught_with_three_answers(school: School, name: str) -> None:
    """A profile that at most three answers make reads every row of the file as it is meant."""
    layout: Layout = LAYOUTS[name]
    assert len(layout.answers) <= MOST_ANSWERS
    pupil = school.pupil(layout.file, layout.text, layout.kind, layout.answers)
    lesson = pupil.lesson()
    assert not lesson.questions
    assert not lesson.faults
    rows, faults = school.rows(pupil.write("taught"), layout.file, layout.text)
    assert not faults
    assert len(rows) == layout.rows
    assert sum(agree(row, layout.row) for row in rows) == 1
    assert [each.columns for each in lesson.rows] != []


def test_of_two_numbers_a_person_says_which_is_the_determination(school: School) -> None:
    """Where another column may count determinations too, the one that begins anew is offered."""
    text = "Test;Panel;No;Dolly mm;Strength MPa\n" + "".join(
        f"{test};RB-010-{panel};{number};20;{7 + test / 100}\n"
        for test, panel, number in ((1, 1, 1), (2, 1, 3), (1, 2, 1), (3, 2, 4))
    )
    lesson = school.lesson("pulls.csv", text, None)
    asked = [(each.key, each.options) for each in lesson.questions]
    assert asked == [("take:determination", ("No", "Test"))]
    twice = "Test;Panel;No;Dolly mm;Strength MPa\n" + "".join(
        f"{number};RB-010-{panel};{number};20;{7 + number / 100}\n"
        for panel, number in ((1, 1), (1, 2), (2, 1), (2, 3))
    )
    assert not school.lesson("same.csv", twice, None).questions  # both columns say the same
    for title, other, numbers in (("No", "Test", [1, 3, 1, 4]), ("Test", "No", [1, 2, 1, 3])):
        said = (f"take:determination={title}", f"column:{other}=pass over")
        lesson = school.lesson("pulls.csv", text, None, *said)
        assert [row.columns["determination"][0] for row in lesson.rows] == numbers
        assert not lesson.questions


def test_a_number_that_runs_on_over_the_panels_is_told(school: School) -> None:
    """Before they are filed it is said that determinations do not begin anew on each panel."""
    text = (
        "Test;Panel;Dolly mm;Strength MPa\n11;RB-010-1;20;7\n12;RB-010-1;20;8\n13;RB-010-2;20;9\n"
    )
    told = school.lesson("pulls.csv", text, None).notices
    (said,) = told
    assert said.startswith("determination runs on: 11 to 12 on RB-010-1, 13 to 13 on RB-010-2;")
    assert said.endswith("; column:Test=number leaves it out")
    lesson = school.lesson("pulls.csv", text, None, "column:Test=number")
    assert [row.columns["determination"][0] for row in lesson.rows] == [1, 2, 1]
    assert lesson.notices == []


def test_the_name_of_the_folder_tells_for_every_row(school: School) -> None:
    """A form with a slash takes the hours from the folder; no other file is claimed."""
    text = "Panel;Rust\nRB-010-1;Ri 2\nRB-010-2;Ri 0\n"
    within = "salt spray/480 h"
    form = "file={exposure_h in h} h/{}"
    for answer in (form, f"exposure_h={form}"):
        pupil = school.pupil("rack 2.csv", text, None, [answer], within)
        assert not pupil.lesson().questions
    profile = pupil.write("racks")
    rows, faults = school.rows(profile, "rack 3.csv", text, "salt spray/1000 h")
    assert not faults
    assert [row["exposure_h"] for row in rows] == [1000.0, 1000.0]
    assert school.rows(profile, "rack 3.csv", text)[1] == ["not claimed"]


def test_an_entry_that_a_later_file_has_is_told(school: School) -> None:
    """What may be a column of the kind, and nobody was asked about, is never dropped in silence."""
    table = "t [min];Schaum [ml]\n0;46\n5;40\n10;31\n"
    answers = ["columns=elapsed_s in min, foam_volume_ml in ml", "method=shaken"]
    pupil = school.pupil("foam.csv", f"Charge;RB-010\n\n{table}", "foam", answers)
    assert not pupil.lesson().questions
    reader = load_profile(pupil.write("foams"), load_plugins(None).kinds)
    path = school.folder / "later.csv"
    path.write_text(f"Charge;RB-011\nEinfüllmenge;100 ml\n\n{table}", encoding="utf-8")
    (measurement,) = reader.read(Export(path, path.name, "", school.lab.habits))
    said = "Einfüllmenge 100 ml in row 2 is left out, as nothing says surely what it is"
    assert any(said in remark for remark in measurement.remarks)


def test_a_column_is_of_the_panel_that_its_title_names(school: School) -> None:
    """An id can be told of a column that names it; under another title it is of one file alone."""
    text = "Hz;Zr RB-010-1;Zi RB-010-1;Zr RB-010-2;Zi RB-010-2\n" + "".join(
        f"{10**n};{55 * 10**at};-{91 * 10**at};{66 * 10**at};-{80 * 10**at}\n"
        for at, n in enumerate((4, 3, 2, 1))
    )
    told = ", ".join(
        f"{name} in ohm at panel RB-010-{panel}"
        for panel in (1, 2)
        for name in ("z_real_ohm", "z_imag_ohm")
    )
    answers = [f"columns=frequency_hz, {told}", "area_cm2=10 cm2", "exposure_h=24 h"]
    lesson = school.lesson("two.csv", text, "impedance", *answers)
    assert [(row.panel, len(row.rows)) for row in lesson.rows] == [("RB-010-1", 4), ("RB-010-2", 4)]
    assert {66.0, 66e3} <= set(lesson.rows[1].columns["z_real_ohm"])
    with pytest.raises(QueryInvalid, match="an id belongs to one file"):
        school.lesson(
            "two.csv",
            text.replace(" RB-010-1", " A").replace(" RB-010-2", " B"),
            "impedance",
            answers[0],
        )


def test_an_entry_is_called_as_its_line_is_written(school: School) -> None:
    """The sign before the name of an entry belongs to the line, and may be said or not."""
    text = "# qx=480\n# by=JK\nPanel;Rust\nRB-010-1;Ri 2\nRB-010-2;Ri 0\n"
    for name in ("# qx", "qx"):
        told = (f"column:{name}=exposure_h in h", "exposure=condensation")
        lesson = school.lesson("a.csv", text, None, *told)
        assert [row.columns["exposure_h"][0] for row in lesson.rows] == [480.0, 480.0]
        assert not lesson.questions


def test_columns_are_those_of_the_row_with_so_many_titles(school: School) -> None:
    """Where other rows look like titles too, as many answers as titles say which row is meant."""
    head = "Unit S/N,55\nBlock,M04\nDolly,20 mm\n\n"
    text = f"{head}Rdg,Lb,Mx,Rt,Fl\n1,RB-010-1,1221,100,B\n2,RB-010-1,1208,100,B\n"
    answers = ["columns=number, panel, strength_mpa in psi, pass over, failure"]
    lesson = school.lesson("a.csv", text, "pull_off", *answers)
    assert not lesson.questions
    assert [row.columns["strength_mpa"][0] for row in lesson.rows] == pytest.approx(
        [1221 * PSI_MPA, 1208 * PSI_MPA]
    )


def test_what_nobody_wants_may_be_missing(school: School) -> None:
    """`{}` in a form stands for something that nobody wants, and for nothing."""
    text = "RB-010-1;41,2;\nRB-010-2;40,8;again\n"
    told = ("line={panel};{gloss_gu};{}", "angle_deg=60")
    lesson = school.lesson("a.txt", text, "gloss", *told)
    assert [row.columns["gloss_gu"][0] for row in lesson.rows] == [41.2, 40.8]


def test_a_word_of_a_sentence_is_passed_over_first(school: School) -> None:
    """An entry without a unit may be a part of a sentence: that is offered before any unit."""
    head = "Degree of rusting to ASTM D610 (10 = no rust),,\n"
    text = f"{head}Panel,168 h,336 h\nRB-010-1,10,9\nRB-010-2,10,8\n"
    answer = "columns=panel, d610_grade at exposure_h 168, d610_grade at exposure_h 336"
    asked = school.lesson("a.csv", text, "exposure_rating", answer).questions
    offered = {question.key: question.options[0] for question in asked}
    assert offered.get("column:rust", PASS_OVER) == PASS_OVER
    assert "unit:rust" not in offered


def test_a_unit_alone_does_not_say_what_a_column_is(school: School) -> None:
    """A word for a statistic is none of the kind: the answer that would do is told."""
    with pytest.raises(QueryInvalid, match="column:Max=ROLE in UNIT"):
        school.lesson("a.csv", "Panel;No;Max;Failure\nRB-010-1;1;9;B\n", "pull_off", "unit:Max=psi")


@pytest.mark.every(4)
@pytest.mark.parametrize("name", LAYOUTS)
def test_without_answers_something_is_asked(school: School, name: str) -> None:
    """A layout that nobody can know is not read without a question."""
    layout: Layout = LAYOUTS[name]
    lesson = school.lesson(layout.file, layout.text, layout.kind)
    # a letter with an angle, and a unit, tell enough; a creep that nothing names is one
    known = {"side by side", "another language", "a rating beside known ones"}
    assert bool(lesson.questions) is (name not in known)


@pytest.mark.parametrize(
    ("answer", "held"),
    [
        ("state=dry", None),
        ("state=wet", "dry in the file, and wet was told for state"),
        ("coat=coat 1", None),
        ("date=2026-05-04", None),
    ],
)
def test_what_was_told_holds_a_file_that_says_otherwise(
    school: School, answer: str, held: str | None
) -> None:
    """A told value that the file gives otherwise holds it with both; the same is fine."""
    lesson = school.lesson("told.csv", TOLD, "film_thickness", answer)
    told = [fault.sentence for fault in lesson.faults]
    assert told == ([] if held is None else [told[0]])
    assert held is None or held in told[0]
    assert bool(lesson.rows) is (held is None)


@pytest.mark.parametrize(
    ("text", "answer", "held"),
    [
        (
            "Panel;exposure [h];creep [mm]\nRB-010-1;480;3,2\nRB-010-2;480;6\n",
            "exposure_h=20 d",
            None,
        ),
        (
            "Panel;exposure [h];creep [mm]\nRB-010-1;480;3,2\nRB-010-2;480;6\n",
            "exposure_h=720 h",
            "found 480 h in the file, and 720 h was told for exposure_h",
        ),
        (
            "exposure: 20 d\nPanel;creep [mm]\nRB-010-1;3,2\nRB-010-2;6\n",
            "exposure_h=720 h",
            "found 480 h in the file, and 720 h was told for exposure_h",
        ),
        (
            "neutral salt spray, after 480 h\nPanel;creep [mm]\nRB-010-1;3,2\nRB-010-2;6\n",
            "exposure_h=720 h",
            "found 480 h in the file, and 720 h was told for exposure_h",
        ),
        (
            "Date: 2026-05-04\nPanel;exposure [h];creep [mm]\nRB-010-1;480;3,2\nRB-010-2;480;6\n",
            "date=2026-05-05",
            "found 2026-05-04 in the file, and 2026-05-05 was told",
        ),
    ],
)
def test_it_holds_wherever_the_file_says_so(
    school: School, text: str, answer: str, held: str | None
) -> None:
    """A column, an entry or a heading counts, compared in the unit of the kind."""
    answers = ("exposure=neutral salt spray", "property=scribe delamination", answer)
    lesson = school.lesson("t.csv", text, "exposure_rating", *answers)
    told = [fault.sentence for fault in lesson.faults]
    assert len(told) == (0 if held is None else 1), told
    assert held is None or held in told[0]


def test_a_unit_below_the_title_is_no_other_than_was_told(school: School) -> None:
    """A row of units that says another unit than the profile holds the file."""
    text = "Panel;Sd\n;{}\nRB-010-1;81\nRB-010-2;84\n"
    answers = ("columns=panel, thickness_um in um", "state=dry")
    pupil = school.pupil("a.csv", text.format("µm"), "film_thickness", answers)
    profile = pupil.write("gauge")
    assert school.rows(profile, "a.csv", text.format("µm"))[1] == []
    faults = school.rows(profile, "b.csv", text.format("mil"))[1]
    assert any("the unit mil below the title, and um was told" in told for told in faults)


def test_titles_are_no_row_of_ids(school: School) -> None:
    """Where no title is known the first row of ids is not taken for titles: it would be lost."""
    layout = LAYOUTS["a register"]
    lesson = school.lesson(layout.file, layout.text, layout.kind)
    assert [question.key for question in lesson.questions] == ["columns", "line"]
    assert [place.title for place in lesson.places] == ["Bl", "SysX", "UG"]
    assert lesson.questions[0].text.startswith("are Bl, SysX, UG titles?")


@pytest.mark.parametrize(
    ("name", "first"),
    [
        (
            "readings side by side",
            f"as seen, {', '.join(f'gloss_gu at spot {n}' for n in (1, 2, 3))}",
        ),
        ("wet paint", "as seen, density_g_cm3, temperature_c"),
        ("a flow curve", "shear_rate_per_s, as seen, viscosity_pa_s in Pa s"),
        ("a chamber", "as seen, ph, collected_ml_h in ml/h"),
    ],
)
def test_the_likeliest_comes_first(school: School, name: str, first: str) -> None:
    """What all columns are is guessed by their numbers, units and letters."""
    layout = LAYOUTS[name]
    question = school.lesson(layout.file, layout.text, layout.kind).questions[0]
    assert (question.key, question.options) == ("columns", (first,))


def test_an_entry_is_taught_as_a_column_is(school: School) -> None:
    """The name of an entry may be told what it is, with its unit, or be passed over."""
    text = "Elfl.: 1460 mm2\nRB-010-1 after 168 h\n" + SPECTRUM_OF_WORDS
    lesson = school.lesson("s.csv", text, "impedance", "column:Elfl.=area_cm2")
    assert not lesson.questions
    assert lesson.rows[0].columns["area_cm2"][0] == pytest.approx(14.6)
    other = "Dauer: 480 h\nPanel;exposure [h];creep [mm]\nRB-010-1;240;3,2\nRB-010-2;240;6\n"
    answers = (
        "exposure=neutral salt spray",
        "property=scribe delamination",
        "column:Dauer=pass over",
    )
    assert not school.lesson("d.csv", other, "exposure_rating", *answers).faults


SPECTRUM_OF_WORDS = (
    "f [Hz];Z' [Ohm];Z'' [Ohm]\n1000;1200;-7500111\n100;9500;-65000111\n10;81000;-455000111\n"
)

SLIPS = "Platte RB-004-2\n#1 7,1 MPa -> B\n#2 6,8 MPa -> B\n{}\nPlatte RB-004-3\n#1 7,4 MPa -> B\n"
OF_SLIPS = (
    "line=Platte {panel}",
    "line=#{number} {strength_mpa} MPa -> {failure}",
    "dolly_diameter_mm=20 mm",
)


@pytest.mark.parametrize(
    ("line", "faults"),
    [
        ("", 0),
        ("gezogen von Hand", 0),
        ("#3 6,9 kein MPa", 1),  # else a determination would be lost without a word
        ("Mittel 6,95", 1),
    ],
)
def test_a_line_of_no_form_holds_the_file(school: School, line: str, faults: int) -> None:
    """A line with a number and none of the forms told is a result that would be lost."""
    pupil = school.pupil("slip.txt", SLIPS.format(""), "pull_off", OF_SLIPS)
    rows, told = school.rows(pupil.write("slip"), "slip2.txt", SLIPS.format(line))
    assert len(told) == faults, told
    assert len(rows) == (3 if not faults else 0)


def test_a_row_of_lines_needs_a_line_of_each_form(school: School) -> None:
    """Below no heading a line makes no row: it would take the panel of another."""
    text = SLIPS.format("").replace("Platte RB-004-2\n", "")
    pupil = school.pupil("slip.txt", SLIPS.format(""), "pull_off", OF_SLIPS)
    _, told = school.rows(pupil.write("slip"), "slip3.txt", text)
    assert any("expected a line 'Platte {panel}' above it" in each for each in told), told


def test_a_result_is_of_one_row_only(school: School) -> None:
    """A value in a line of its own counts for the next row alone: one without holds the file."""
    text = "Platte RB-004-2\nKraft 7,1 MPa\n#1 B\nKraft 6,8 MPa\n#2 B\n"
    answers = (
        "line=Platte {panel}",
        "line=Kraft {strength_mpa} MPa",
        "line=#{number} {failure}",
        "dolly_diameter_mm=20 mm",
    )
    profile = school.pupil("k.txt", text, "pull_off", answers).write("kraft")
    rows, told = school.rows(profile, "k.txt", text)
    assert not told
    assert [row["strength_mpa"] for row in rows] == [7.1, 6.8]
    _, told = school.rows(profile, "k2.txt", text.replace("Kraft 6,8 MPa\n", ""))
    assert any("expected a line 'Kraft {strength_mpa} MPa' above it" in each for each in told), told


@pytest.mark.every(3)
@pytest.mark.parametrize(
    "other",
    [
        "Charge;RB-010\nBecher;ISO 2431 6 mm\nLauf 1 (s);46,3\nLauf 2 (s);47,9\n",
        "Vessel RB-010\nreading 46.3\n1  1.382\n2  1.394\n",
        "Panel RB-010-1\n\nf (Hz),Z' (ohm),Z'' (ohm)\n1000,52.1,-880\n100,80.3,-7400\n",
    ],
)
@pytest.mark.parametrize(
    ("text", "kind", "answers"),
    [
        (
            "Platte RB-010-1   Winkel 60°\n   Stelle 1   42,5 GE\n   Stelle 2   43,5 GE\n",
            "gloss",
            ("line=Platte {panel} Winkel {angle_deg}", "line=Stelle {spot} {gloss_gu} GE"),
        ),
        (
            "Platte RB-010-1, trocken\n1  61\n2  64\n",
            "film_thickness",
            ("line=Platte {panel}, {state}", "line={spot} {thickness_um in um}"),
        ),
    ],
)
def test_lines_of_another_sort_are_not_claimed(
    school: School, text: str, kind: str, answers: tuple[str, ...], other: str
) -> None:
    """A file of entries, or of lines of two numbers, with none of the lines taught is of others."""
    profile = school.pupil("a.txt", text, kind, answers).write("slips")
    assert len(school.rows(profile, "b.txt", text)[0]) == 2
    assert school.rows(profile, "c.txt", other) == ([], ["not claimed"])


def test_a_cell_of_another_form_holds_the_file(school: School) -> None:
    """Where cells hold several things, one that does not is told with its row."""
    layout = LAYOUTS["panel and spot in a cell"]
    pupil = school.pupil(layout.file, layout.text, layout.kind, layout.answers)
    text = layout.text.replace("RB-010-1 / 2", "RB-010-1 - 2")
    _, told = school.rows(pupil.write("ort"), "other.csv", text)
    assert told == [
        "row 3, column 'Ort': found 'RB-010-1 - 2'; expected something of the form {panel} / {spot}"
    ]


def test_lines_without_a_word_are_known_by_the_name_of_the_file(school: School) -> None:
    """Lines of nothing but values fit any file: the profile claims those that are called alike."""
    layout = LAYOUTS["no titles"]
    profile = school.pupil(layout.file, layout.text, layout.kind, layout.answers).write("lines")
    assert 'file_name = "abriss_*.csv"' in profile.read_text(encoding="utf-8")
    assert len(school.rows(profile, "abriss_0413.csv", layout.text)[0]) == layout.rows
    assert school.rows(profile, "dicke_0413.csv", layout.text) == ([], ["not claimed"])
    pupil = school.pupil("0412.csv", layout.text, layout.kind, layout.answers)
    with pytest.raises(QueryInvalid, match="lines without a word fit any file"):
        pupil.write("other")
    assert called_like("0412.csv", "inbox/adhesion", ()) == "adhesion/*.csv"


def test_several_profiles_know_each_their_own(school: School) -> None:
    """A profile sees its own titles also where another one has looked at the file before."""
    taught = {}
    for name in ("abbreviations", "wet paint"):
        layout = LAYOUTS[name]
        pupil = school.pupil(layout.file, layout.text, layout.kind, layout.answers)
        taught[name] = load_profile(pupil.write(name.replace(" ", "_")), load_plugins(None).kinds)
    for name, reader in taught.items():
        layout = LAYOUTS[name]
        export = Export(school.folder / layout.file, layout.file, "", school.lab.habits)
        claims = {other: one.recognise(export) for other, one in taught.items()}
        sure = [other for other, claim in claims.items() if claim and claim.sure > 0.5]
        assert sure == [name]
        assert len(list(reader.read(export))) == layout.rows


@pytest.mark.parametrize(
    ("row", "passed"),
    [("Dsn. 3,3", True), ("dsn. 3", True), ("Dsn.3", True), ("Dsnx 3", False), ("3 Dsn.", False)],
)
def test_words_begin_rows_as_words(row: str, passed: bool) -> None:
    """A row begins with a word as it is, whatever its case."""
    assert begins_with(row, ["Dsn."]) is passed


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("columns=panel", "1 columns told; the table has 3: Tafel-K, Sd, Bt%"),
        ("columns=panel, thickness, pass over", "'thickness' is none of"),
        ("line=no braces", "has no name in braces"),
        ("line={panel}{spot}", "something must stand between two names"),
        ("line={gloss_gu} {gloss_gu}", "names gloss_gu twice; tell them apart"),
        ("word:state:frisch=green", "'green' is no state; there are"),
        ("word:thickness_um:x=1", "is no column of text"),
        ("state=green", "'green' is no state; there are"),
        ("spot=2", "belongs to one file, not to a layout"),
        ("word:state:Taf=dry", "is only a part of 'Tafel-K'"),
        ("column:Sd=thickness_um times none", "expected a number above 0"),
        ("column:Sd=thickness_um at spot", "expected at KEY VALUE"),
    ],
)
def test_an_answer_that_cannot_be_is_told(school: School, answer: str, told: str) -> None:
    """An answer that is none is refused with what would be one."""
    layout = LAYOUTS["abbreviations"]
    with pytest.raises(QueryInvalid) as caught:
        school.pupil(layout.file, layout.text, layout.kind, [answer])
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('titles = ["A"]\nlines = ["x {panel}"]\n', "either titles (of a table) or lines"),
        ("", "either titles (of a table) or lines"),
        ('lines = ["{panel};{gloss_gu}"]\n', "file_name must say how theirs are called"),
        ('lines = ["gloss {panel}: {shine}"]\n', "'shine' is none of"),
        ('titles = ["A"]\n[take]\n"A" = { as = "{panel} {shine}" }\n', "'shine' is none of"),
    ],
)
def test_a_profile_of_forms_is_checked(tmp_path: Path, text: str, told: str) -> None:
    """Forms that say nothing, or what the kind has not, are refused by key."""
    path = tmp_path / "p.toml"
    path.write_text(f'name = "p"\nkind = "gloss"\nversion = "1"\n{text}', encoding="utf-8")
    if not text:
        path.write_text('name = "p"\nkind = "gloss"\nversion = "1"\n[told]\nspot = "1"\n')
    with pytest.raises(ProfileInvalid) as caught:
        load_profile(path, load_plugins(None).kinds)
    assert told in str(caught.value)


def test_columns_of_one_title_are_told_apart_by_their_place(school: School) -> None:
    """Each is named by its number, and a later file of the layout is read the same."""
    text = "Plate;Value;Value;Fracture\nRB-010-1;5,2;5,3;100% B\nRB-010-2;5,1;5,0;100% B\n"
    answers = (
        "columns=panel, strength_mpa, pass over, failure",
        "dolly_diameter_mm=20 mm",
    )
    pupil = school.pupil("a.csv", text, "pull_off", ("column 2=strength_mpa", answers[1]))
    assert [place.name for place in pupil.lesson().places] == [
        "Plate",
        "Value (column 2)",
        "Value",
        "Fracture",
    ]
    profile = school.pupil("a.csv", text, "pull_off", answers).write("pulls")
    rows, told = school.rows(profile, "b.csv", text.replace("5,2", "6,2"))
    assert not told
    assert [row["strength_mpa"] for row in rows] == [6.2, 5.1]


def test_a_column_that_is_not_there_is_told(school: School) -> None:
    """A number beyond the last column is none."""
    text = "Plate;Value;Value;Fracture\nRB-010-1;5,2;5,3;100% B\nRB-010-2;5,1;5,0;100% B\n"
    with pytest.raises(QueryInvalid, match="no column 7; the table has 4"):
        school.pupil("a.csv", text, "pull_off", ("column 7=strength_mpa",))


def test_units_of_a_key_count_in_lines_as_in_columns(school: School) -> None:
    """What a line tells at 10 min is filed at 600 s; what is no amount is refused in words."""
    line = (
        "lines=Charge {batch} || nach 10 min {density_g_cm3 at elapsed_s 10 min} und"
        " {density_g_cm3 at elapsed_s %s} nach 45 min"
    )
    said = ("temperature_c=23 C", "state=deaerated")
    lesson = school.lesson("note.txt", NOTE, "density", line % "45 min", *said)
    filed = [
        (each.columns["elapsed_s"][0], each.columns["density_g_cm3"][0]) for each in lesson.rows
    ]
    assert filed == [(600.0, 1.412), (2700.0, 1.398)]
    with pytest.raises(QueryInvalid, match="'45 turns' is no number, and elapsed_s is one"):
        school.pupil("note.txt", NOTE, "density", [line % "45 turns"])


def test_a_profile_tells_the_unit_of_a_key(school: School) -> None:
    """A profile written by hand may say the time of a title with its unit; else it is refused."""
    profile = school.folder / "hand.toml"
    text = (
        'name = "hand"\nkind = "density"\nversion = "1"\ntitles = ["Charge", "A", "B"]\n'
        '[take]\n"A" = {{ as = "density_g_cm3", elapsed_s = "10 min" }}\n'
        '"B" = {{ as = "density_g_cm3", elapsed_s = "{}" }}\n'
        '[told]\ntemperature_c = "23 C"\nstate = "deaerated"\n'
    )
    profile.write_text(text.format("45 min"), encoding="utf-8")
    rows, faults = school.rows(profile, "a.csv", "Charge;A;B\nRB-010;1,412;1,398\n")
    assert (faults, [row["elapsed_s"] for row in rows]) == ([], [600.0, 2700.0])
    profile.write_text(text.format("soon"), encoding="utf-8")
    with pytest.raises(ProfileInvalid, match="'soon' is no number"):
        load_profile(profile, load_plugins(None).kinds)


WIDE_FOAM = "Lot;Foam [ml] after 1 min;Foam [ml] after 5 min\nRB-010;66;40\nRB-011;55;31\n"


def test_numbers_side_by_side_are_taught_along_a_sweep(school: School) -> None:
    """A title is of a time after which was measured, in the unit that stands amid it."""
    answers = (
        "columns=batch, foam_volume_ml at elapsed_s 1 min, foam_volume_ml at elapsed_s 5 min",
        "method=shaken",
    )
    profile = school.pupil("foam.csv", WIDE_FOAM, "foam", answers).write("foam_side_by_side")
    rows, faults = school.rows(profile, "foam.csv", WIDE_FOAM)
    assert not faults
    told = [(row["batch"], row["elapsed_s"], row["foam_volume_ml"]) for row in rows]
    assert told == [
        ("RB-010", 60.0, 66.0),
        ("RB-010", 300.0, 40.0),
        ("RB-011", 60.0, 55.0),
        ("RB-011", 300.0, 31.0),
    ]


def test_a_column_told_to_be_passed_over_is_not_taken_among_others(school: School) -> None:
    """Widths of corrosion numbered in their titles take no column that a person passes over."""
    text = (
        "Panel;exposure [h];cw1 corrosion width [mm];cw2 corrosion width [mm];c = (cw - w)/2 [mm]\n"
        "RB-010-1;480;3,7;5,2;1,8\nRB-010-2;480;5,7;7,2;2,5\n"
    )
    answers = ("exposure=neutral salt spray", "column 5=pass over")
    lesson = school.lesson("w.csv", text, "exposure_rating", *answers)
    assert all(given.place != 4 for found in lesson.attempts for given in found.spreads)
    assert all(
        given.place != 4 or given.role.name == "beside"
        for found in lesson.attempts
        for given in found.given.values()
    )


def test_lines_of_panels_are_read_where_the_file_names_them(school: School) -> None:
    """A line may be told of the panels of its file; a file of other panels is another layout."""
    text = "Spot list {0} | {1}\n1 ; 81 ; 84\n2 ; 82 ; 85\n3 ; 83 ; 86\n"
    panels = (f"{{thickness_um in um at panel RB-010-{n}}}" for n in (1, 2))
    answers = [f"lines={{spot}} ; {' ; '.join(panels)}", "state=dry"]
    own = text.format("RB-010-1", "RB-010-2")
    pupil = school.pupil("list 1.txt", own, "film_thickness", answers)
    assert not pupil.lesson().questions
    profile = pupil.write("lists")
    rows, faults = school.rows(profile, "list 2.txt", own)
    assert not faults
    assert {row["panel"] for row in rows} == {"RB-010-1", "RB-010-2"}
    other = text.format("RB-011-1", "RB-011-2")
    assert school.rows(profile, "list 3.txt", other) == ([], ["not claimed"])
    assert school.rows(profile, "list 4.txt", text.format("RB-010-1", "RB-010-23")) == (
        [],
        ["not claimed"],
    )


def test_forms_that_name_one_thing_twice_hold_the_file(school: School) -> None:
    """No crash, and nothing filed: the first of two lines tells the same as the second."""
    text = "foam ml;RB-010;RB-011\ndirect;66;50\n1 min;57;44\n2 min;49;39\n5 min;31;27\n"
    at_once, later = (
        ";".join(f"{{foam_volume_ml {told}at batch {one}}}" for one in ("RB-010", "RB-011"))
        for told in ("at elapsed_s 0 s ", "")
    )
    answer = f"lines=direct;{at_once} || {{elapsed_s}} min;{later}"
    lesson = school.lesson("foam.csv", text, "foam", answer, "method=shaken")
    assert not lesson.rows
