"""Teaching a layout: shown, asked, written, and every held file of it tried again."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from tiecoat.ask.query import open_archive
from tiecoat.cli import main
from tiecoat.extend.loading import load_plugins
from tiecoat.extend.profile_reference import REFERENCE
from tiecoat.lab.new_lab import new_lab
from tiecoat.tabular.reader import AnyTable

SETTINGS = "[intake]\nsettle_s = 0.0\nscan_s = 0.1\n[readers]\nprocesses = 1\n"
GAUGE = "Panel;Rdg;Bat. V\nRB-010-1;3,2;6,1\nRB-010-1;3,4;6,1\nRB-010-2;3,1;6,0\n"
MIL_UM = 25.4
ANSWERS = ["column:Rdg=thickness_um", "unit:Rdg=mil", "column:Bat. V=pass over", "state=dry"]


@pytest.fixture
def lab(tmp_path: Path) -> Path:
    """A lab in which two exports of a gauge that nobody knows are held."""
    folder = tmp_path / "lab"
    new_lab(folder, SETTINGS)
    for name, text in (("one.csv", GAUGE), ("two.csv", GAUGE.replace("RB-010", "RB-011"))):
        (folder / "inbox" / name).write_text(text, encoding="utf-8")
    assert main(["take", "--lab", str(folder)]) == 1
    return folder


def learn(lab: Path, *more: str) -> int:
    """Run the command on the first held file."""
    held = next((lab / "held").glob("*/one.csv")).parent.name
    return main(["learn", held, "--lab", str(lab), *more])


def answers(*said: str) -> list[str]:
    """Return answers as options."""
    return [part for one in said for part in ("--answer", one)]


def test_what_is_open_is_asked_by_key(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without answers nothing is written, and each question has the key that answers it."""
    unknown = lab / "unknown.csv"
    unknown.write_text(GAUGE.replace("Rdg", "Qz").replace("Bat. V", "Qy"), encoding="utf-8")
    assert main(["learn", str(unknown), "--lab", str(lab), "--kind", "film_thickness"]) == 1
    said = capsys.readouterr().out
    asked = re.findall(r"^  (\S+:.+?)\s*$", said, re.MULTILINE)
    assert asked[:2] == ["column:Qz", "column:Qy"]
    assert not list((lab / "readers").glob("*.toml"))


def test_every_kind_is_offered(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where no kind fits, all kinds of tables stand in the one list to choose from."""
    assert learn(lab) == 1
    said = " ".join(capsys.readouterr().out.split())
    offered = re.findall(r"such as: ((?:\w+, )*\w+)", said)[0].split(", ")
    assert offered == [each.kind.name for each in AnyTable(load_plugins(None).kinds).lexicons]
    assert len(offered) > 8


def test_a_layout_is_taught_once(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The profile holds the answers, and both held files are filed by it, in the kind's units."""
    said = learn(lab, "--kind", "film_thickness", "--name", "gauge", *answers(*ANSWERS))
    assert said == 0, capsys.readouterr().out
    profile = tomllib.loads((lab / "readers" / "gauge.toml").read_text(encoding="utf-8"))
    assert profile["take"] == {
        "Rdg": {"as": "thickness_um", "unit": "mil"},
        "Bat. V": "pass over",
    }
    assert profile["told"] == {"state": "dry"}
    assert not list((lab / "held").iterdir())
    rows = open_archive(lab).read("film_thickness").sort_values(["panel", "spot"])
    expected = [3.2 * MIL_UM, 3.4 * MIL_UM, 3.1 * MIL_UM]
    assert rows["thickness_um"].tolist() == pytest.approx(expected * 2)
    assert set(rows["reader"]) == {"gauge 1"}
    assert rows["panel"].tolist() == ["RB-010-1"] * 2 + [
        "RB-010-2",
        "RB-011-1",
        "RB-011-1",
        "RB-011-2",
    ]


def test_a_profile_reads_whatever_its_file_is_called(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A layout learnt from `report 7.csv` is read, though plugins of reports are called so."""
    (lab / "inbox" / "report 7.csv").write_text(GAUGE.replace("RB-010", "RB-013"), encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 1
    held = next((lab / "held").glob("*/report 7.csv")).parent.name
    call = ["learn", held, "--lab", str(lab), "--kind", "film_thickness", *answers(*ANSWERS)]
    assert main(call) == 0, capsys.readouterr().out
    assert (lab / "readers" / "report_7.toml").exists()
    assert not list((lab / "held").iterdir())


def test_a_taught_layout_wins_and_goes_on(lab: Path) -> None:
    """A later file of the layout is filed without a word, whatever built-in reading makes of it."""
    assert learn(lab, "--kind", "film_thickness", "--name", "gauge", *answers(*ANSWERS)) == 0
    (lab / "inbox" / "three.csv").write_text(GAUGE.replace("RB-010", "RB-012"), encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 0
    assert len(open_archive(lab).read("film_thickness", batch="RB-012")) == 3


def test_an_answer_without_effect_is_told(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What changes nothing in the file is no silent answer: a person meant something by it."""
    said = [*ANSWERS, "coat=system", "decimal=comma"]
    assert learn(lab, "--kind", "film_thickness", *answers(*said)) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert re.findall(r"Note: --answer (.+?) changes nothing in", told) == ["decimal=comma"]


def test_a_layout_with_a_further_column_is_taught_beside_the_first(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A profile that fits in part stays; each of the two reads its own, and none claims both."""
    assert learn(lab, "--kind", "film_thickness", "--name", "gauge", *answers(*ANSWERS)) == 0
    wider = GAUGE.replace("RB-010", "RB-012").replace("Bat. V", "Bat. V;Qx")
    wider = "\n".join(f"{line};81,5" if line[:2] == "RB" else line for line in wider.splitlines())
    (lab / "inbox" / "wider.csv").write_text(wider + "\n", encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 1
    held = next((lab / "held").glob("*/wider.csv")).parent.name
    call = ["learn", held, "--lab", str(lab), "--name", "wider"]
    assert main([*call, *answers("column:Qx=pass over")]) == 0, capsys.readouterr().out
    (lab / "inbox" / "four.csv").write_text(GAUGE.replace("RB-010", "RB-013"), encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 0, capsys.readouterr().out
    rows = open_archive(lab).read("film_thickness")
    read_by = dict(zip(rows["panel"], rows["reader"], strict=True))
    assert (read_by["RB-012-1"], read_by["RB-013-1"]) == ("wider 1", "gauge 1")
    assert len(rows) == 4 * 3


def test_the_name_of_a_field_says_the_kind(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --kind, an answer that names a field leaves the kinds that have it, and no crash."""
    assert learn(lab, "--name", "gauge", *answers(*ANSWERS)) == 0, capsys.readouterr().out
    assert len(open_archive(lab).read("film_thickness")) == 6


def test_the_unit_of_a_title_needs_a_kind(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A unit for a title that nobody has named is refused in words."""
    assert learn(lab, *answers("unit:Bat. V=V")) == 2
    assert capsys.readouterr().err.startswith("tiecoat: ")


def taught(lab: Path, text: str, *said: str) -> int:
    """Let a file be held, and teach its layout as that of a gauge of films."""
    (lab / "inbox" / "late.csv").write_text(text, encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 1
    held = next((lab / "held").glob("*/late.csv")).parent.name
    call = ["learn", held, "--lab", str(lab), "--kind", "film_thickness", "--name", "late"]
    return main([*call, *answers(*said)])


def test_a_profile_that_achieves_nothing_is_taken_back(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where every held file of the layout stays held, the profile goes and the reason is told."""
    text = "Panel;Rdg;Akku 1\nRB-010-1;-3,2;6,1\nRB-010-2;-3,4;6,1\n"
    said = ["column:Rdg=thickness_um", "unit:Rdg=mil", "column:Akku 1=pass over", "state=dry"]
    assert taught(lab, text, *said) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert re.search(r"Taken back: .*late\.toml; .* still held: .*thickness_um", told)
    assert "Written: " not in told
    assert not list((lab / "readers").glob("*.toml"))
    assert list((lab / "held").glob("*/late.csv"))


def test_a_profile_stays_where_only_the_id_is_lacking(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file that the profile reads, and that lacks its panel, waits for it; the profile stays."""
    text = "DFT [mil];Bat. V\n3,2;6,1\n3,4;6,1\n"
    assert taught(lab, text, "column:Bat. V=pass over", "state=dry") == 1
    told = capsys.readouterr().out
    assert "Written: " in told
    assert (lab / "readers" / "late.toml").exists(), told


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("Rdg", "--answer 'Rdg': expected KEY=VALUE"),
        ("column:Rdg=thickness", "column:Rdg=thickness: 'thickness' is none of"),
        ("unit:Rdg=furlongz", "unit:Rdg=furlongz: "),
        ("colour=red", "colour=red: no question 'colour'"),
    ],
)
def test_an_answer_that_is_none_is_told(
    lab: Path, capsys: pytest.CaptureFixture[str], answer: str, told: str
) -> None:
    """A wrong key or answer ends with a sentence and the exit code 2; nothing is written."""
    first = [] if answer.startswith("unit") is False else ["column:Rdg=thickness_um"]
    assert learn(lab, "--kind", "film_thickness", *answers(*first, answer)) == 2
    assert capsys.readouterr().err.startswith(f"tiecoat: {told}")
    assert not list((lab / "readers").glob("*.toml"))


def show(lab: Path, text: str, kind: str, *said: str) -> int:
    """Show how a text is read with answers; nothing is written."""
    shown = lab / "shown.csv"
    shown.write_text(text, encoding="utf-8")
    return main(["learn", str(shown), "--lab", str(lab), "--kind", kind, "--show", *answers(*said)])


def test_what_a_title_tells_is_answered_as_it_is_shown(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a title of a wide layout tells is a word or a number, and is said as learn shows it."""
    pulls = "Panel;Qx;Qy\nRB-010-1;3,2;6,1\nRB-010-2;3,1;6,0\n"
    said = [
        f"column:{title}=strength_mpa at determination {n}"
        for n, title in enumerate(("Qx", "Qy"), 1)
    ]
    show(lab, pulls, "pull_off", *said, "unit:Qx=MPa", "unit:Qy=MPa")
    shown = capsys.readouterr().out
    assert re.search(r"Qx\s+strength_mpa at determination 1\s+you said so", shown)
    assert re.search(r"Qy\s+strength_mpa at determination 2\s+you said so", shown)
    ratings = "Panel;exposure [h];Qx [mm]\nRB-010-1;480;3,2\nRB-010-2;480;6,0\n"
    said = ["column:Qx [mm]=creep_mm at property scribe corrosion"]
    show(lab, ratings, "exposure_rating", *said)
    shown = " ".join(capsys.readouterr().out.split())
    assert re.search(r"Qx \[mm\] creep_mm at property scribe (you said so )?corrosion", shown)


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ("strength_mpa at determination two", "'two' is no number, and determination is one"),
        ("strength_mpa at coat 2", "'coat' is none of determination"),
        ("strength at determination 2", "'strength' is none of"),
    ],
)
def test_a_key_that_is_none_is_told(
    lab: Path, capsys: pytest.CaptureFixture[str], answer: str, told: str
) -> None:
    """A key that the kind has not, or a value that is none of it, is refused in words."""
    assert show(lab, "Panel;Qx\nRB-010-1;3,2\n", "pull_off", f"column:Qx={answer}") == 2
    assert told in capsys.readouterr().err


@pytest.mark.parametrize("answer", ["panel=RB-010-1", "batch=RB-010"])
def test_an_id_is_taught_for_no_layout(
    lab: Path, capsys: pytest.CaptureFixture[str], answer: str
) -> None:
    """An id belongs to one file: later files of the layout would be filed under it."""
    said = learn(lab, "--kind", "film_thickness", *answers(*ANSWERS, answer))
    assert said == 2
    told = capsys.readouterr().err
    assert "belongs to one file" in told
    assert f"tiecoat held assign HELD --{answer.partition('=')[0]}" in told
    assert not list((lab / "readers").glob("*.toml"))


@pytest.mark.parametrize("key", ["panel", "batch"])
def test_a_profile_that_tells_an_id_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], key: str
) -> None:
    """A profile written by hand does not give every file of a layout one id either."""
    profile = tmp_path / "p.toml"
    profile.write_text(
        'name = "g"\nkind = "gloss"\nversion = "1"\ntitles = ["P", "G60"]\n'
        f'[told]\n{key} = "RB-010-1"\n',
        encoding="utf-8",
    )
    assert main(["profile", str(profile)]) == 2
    assert "line 6" in (told := capsys.readouterr().err)
    assert "belongs to one file" in told


def test_a_profile_is_explained_and_its_faults_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`tiecoat profile` says what a profile does, or which key breaks a rule, by line."""
    good = tmp_path / "good.toml"
    good.write_text(
        'name = "g"\nkind = "gloss"\nversion = "1"\ntitles = ["P", "G60"]\n'
        '[take]\n"G60" = { as = "gloss_gu", angle_deg = 60 }\n"X" = "pass over"\n',
        encoding="utf-8",
    )
    assert main(["profile", str(good)]) == 0
    assert capsys.readouterr().out == (
        "good.toml is sound: a reader 'g' of gloss.\n"
        "It reads tables with the titles P, G60.\n"
        "  'G60' is gloss_gu, at angle_deg 60.0.\n"
        "  'X' is passed over.\n"
    )
    bad = tmp_path / "bad.toml"
    bad.write_text(good.read_text(encoding="utf-8").replace("gloss_gu", "shine"), encoding="utf-8")
    assert main(["profile", str(bad)]) == 2
    assert "'shine' is none of" in capsys.readouterr().err


def test_the_reference_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """`tiecoat profile --reference` prints every key and answer, in 100 columns."""
    assert main(["profile", "--reference"]) == 0
    said = capsys.readouterr().out
    assert said == REFERENCE
    assert max(map(len, said.splitlines())) <= 100


def test_a_decade_that_slipped_is_seen(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The first rows and how far each column reaches are shown, in 80 columns."""
    rows = "".join(f"RB-010-{n};{80 + n};dry\n" for n in range(1, 9)) + "RB-010-9;812;dry\n"
    assert show(lab, f"Panel;DFT [um];state\n{rows}", "film_thickness") == 0
    shown = capsys.readouterr().out
    assert "9 measurements, 9 rows would be filed; the first:" in shown
    assert shown.count("thickness_um 8") == 3
    assert re.search(r"^thickness_um\t81\t812\tum$", shown, re.MULTILINE)
    assert re.search(r"^panel\tRB-010-1\tRB-010-9$", shown, re.MULTILINE)
    assert re.search(r"^state\tdry$", shown, re.MULTILINE)
    assert max(map(len, shown.splitlines())) <= 80


def test_rows_and_words_of_a_house_are_asked_for(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A summary under a word of a house, and a word for a state, are asked for with the answer."""
    text = "Panel;DFT [um];state\nRB-010-1;81;kuiva\nDsn.;81;kuiva\n"
    assert show(lab, text, "film_thickness") == 1
    said = capsys.readouterr().out
    assert "  rows:Dsn.\n" in said
    assert "  word:state:kuiva\n" in said
    answers = ("rows:Dsn.=pass over", "word:state:kuiva=dry")
    assert show(lab, text, "film_thickness", *answers) == 0
    assert "1 measurement, 1 row would be filed" in capsys.readouterr().out


def test_free_lines_are_taught_and_filed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A note whose words nobody knows is filed by the form of its lines, and so are later ones."""
    folder = tmp_path / "lab"
    new_lab(folder, SETTINGS)
    line = "Abrs {} // {} N/mm2 // {}\n"
    text = line.format("RB-004-2", "7,1", "60 % B, 40 % Y") + line.format("RB-004-3", "6,8", "B")
    for name, put in (("mo.txt", text), ("di.txt", text.replace("RB-004", "RB-005"))):
        (folder / "inbox" / name).write_text(put, encoding="utf-8")
    assert main(["take", "--lab", str(folder)]) == 1
    held = next((folder / "held").glob("*/mo.txt")).parent.name
    said = [
        "line=Abrs {panel} // {strength_mpa} N/mm2 // {failure}",
        "dolly_diameter_mm=20 mm",
    ]
    assert main(["learn", held, "--lab", str(folder), *answers(*said)]) == 0
    assert "2 held of this layout: tried again." in capsys.readouterr().out
    rows = open_archive(folder).read("pull_off").sort_values("panel")
    assert rows["panel"].tolist() == ["RB-004-2", "RB-004-3", "RB-005-2", "RB-005-3"]
    assert rows["strength_mpa"].tolist() == [7.1, 6.8, 7.1, 6.8]


def test_what_was_told_against_a_later_file_holds_it(lab: Path) -> None:
    """A later file that says another state than was told is held, and names both."""
    assert learn(lab, "--kind", "film_thickness", "--name", "gauge", *answers(*ANSWERS)) == 0
    text = GAUGE.replace("RB-010", "RB-012").replace("Bat. V", "Bat. V;state")
    text = re.sub(r"(6,[01])$", r"\1;wet", text, flags=re.MULTILINE)
    (lab / "inbox" / "late.csv").write_text(text, encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 1
    told = next((lab / "held").glob("*/reason.txt")).read_text(encoding="utf-8")
    assert "wet in the file, and dry was told for state" in " ".join(told.split())


def test_what_holds_a_file_and_what_may_be_answered_is_shown(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The names of the kind stand there with their meaning, and the reason with what mends it."""
    assert learn(lab, "--kind", "film_thickness", "--show") == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "thickness_um um thickness of the film on this spot" in said
    assert "whether the film was dry or still wet: dry, wet" in said
    assert "The file is held:" in said
    mends = "ROLE=VALUE for every row, or column:TITLE=ROLE for the column that holds it"
    assert f"mended by: {mends}" in said


PULLS = (
    "Panel;RB-010-1\nDolly diameter;20 mm\n\n"
    "No.;Force [N];Strength [MPa];Failure\n1;1309;{};B\n2;1442;{};B\n"
)
FLOW = (
    "Batch,RB-010\n\nShear rate (1/s),Shear stress (Pa),Viscosity (Pa.s),Temp (°C)\n"
    "1,9.2,9200,23\n4,15.05,3762,23\n"
)
ANGLES = "Gloss at 20°\n\nPanel;Spot;Gloss 60° [GU]\nRB-010-1;1;36,4\nRB-010-1;2;36,0\n"


@pytest.mark.every(3)
@pytest.mark.parametrize(
    ("text", "kind", "answer"),
    [
        (PULLS.format("8,27", "9,11"), "pull_off", "column:Strength [MPa]=pass over"),
        (PULLS.format("8,27", "9,11"), "pull_off", "column:Strength [MPa]=number"),
        (PULLS.format("8,27", "9,11"), "pull_off", "rows:Dolly diameter=pass over"),
        (FLOW, "viscosity", "column:Viscosity (Pa.s)=pass over"),
        (FLOW, "viscosity", "column:Shear stress (Pa)=pass over"),
        (ANGLES, "gloss", "rows:Gloss at=pass over"),
    ],
)
def test_no_answer_leaves_out_what_shows_a_contradiction(
    lab: Path, capsys: pytest.CaptureFixture[str], text: str, kind: str, answer: str
) -> None:
    """What belongs together and disagrees is mended in a copy: no answer is offered or taken."""
    show(lab, text, kind)
    shown = " ".join(capsys.readouterr().out.split())
    assert "no answer mends it. Find out which is right, correct it in a copy" in shown
    assert "mended by" not in shown
    assert "would be filed" not in shown
    assert "2 rows read, none filed while the file is held" in shown
    code = show(lab, text, kind, answer)
    told = capsys.readouterr()
    assert "would be filed" not in told.out
    if code == 1:  # held for what is lacking without it
        assert "found nothing for dolly_diameter_mm" in told.out
        return
    assert code == 2
    assert f"{answer.partition('=')[0]}=" in told.err
    assert "this would leave out what shows a contradiction: row" in told.err


def test_what_contradicts_nothing_may_be_left_out(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A column that agrees, and a row of a summary under a word of a house, are passed over."""
    text = PULLS.format("4,167", "4,59") + "Dsn.;99;4,4;B\n"
    said = ("column:Strength [MPa]=pass over", "rows:Dsn.=pass over")
    assert show(lab, text, "pull_off", *said) == 0, capsys.readouterr()


def test_a_profile_is_called_after_its_file(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --name each profile has a name of its own, after the file, and none is in the way."""
    said = answers(*ANSWERS)
    call = ["--lab", str(lab), "--kind", "film_thickness", *said]
    (lab / "readers" / "one.toml").write_text("", encoding="utf-8")
    assert learn(lab, *said) == 0, capsys.readouterr()
    for n, text in enumerate((GAUGE, GAUGE.replace("Rdg", "Anz"))):
        file = lab / f"Hall {n}.csv"
        file.write_text(text.replace("Bat. V", f"Bat. V{n}"), encoding="utf-8")
        new = [one.replace("Bat. V", f"Bat. V{n}") for one in call]
        new = [one.replace("Rdg", "Anz") for one in new] if n else new
        main(["learn", str(file), *new])
        assert "Written: " in capsys.readouterr().out
    made = sorted(path.stem for path in (lab / "readers").glob("*.toml"))
    assert made == ["hall_0", "hall_1", "one", "one_2"]


CUPS = "ID;CUP;Efflux [s];SENS\nRB-010;6 mm;46,3;1\nRB-010;6 mm;47,9;2\nRB-011;6 mm;51,2;1\n"


def test_all_that_is_open_is_asked_in_one_go(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What an answer opens is asked beside it, each line in 80 columns, and mends what it says."""
    assert show(lab, CUPS, "viscosity", "column:CUP=cup") == 1
    said = capsys.readouterr().out
    assert "  word:cup:6 mm\n" in said
    assert "no answer mends it" not in said
    assert max(len(line) for line in said.splitlines() if str(lab) not in line) <= 80
    assert "To go on, with all answers so far:" in said
    assert "  --answer column:CUP=cup \\\n  --answer KEY=VALUE\n" in said.replace("'", "")


def test_a_call_shows_what_its_answers_would_open(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A word of a column that only an answer makes known stands below what is open now."""
    text = "Panel;Qz;state\nRB-010-1;81;kuiva\nRB-010-2;84;kuiva\n"
    assert show(lab, text, "film_thickness") == 1
    said = capsys.readouterr().out
    now, then = said.split("Open then, if the likeliest answers above are right")
    assert "  column:Qz\n" in now
    assert "  word:state:kuiva\n" in then


def held_one(lab: Path, name: str, text: str) -> str:
    """Let a file be held, and return its id."""
    (lab / "inbox" / name).write_text(text, encoding="utf-8")
    assert main(["take", "--lab", str(lab)]) == 1
    return next((lab / "held").glob(f"*/{name}")).parent.name


CHAMBER = (
    "Salt spray cabinet;2\n\nDate;Temp [°C];Collected [ml/h];pH;NaCl [g/l]\n"
    "2026-03-04;35,1;1,4;6,8;50\n2026-03-05;34,9;1,6;6,7;51\n"
)


def test_a_chamber_record_is_asked_for_its_batches(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One answer gives it its batches, as `held assign` does; a known layout needs no profile."""
    folder = tmp_path / "lab"
    new_lab(folder, SETTINGS)
    held = held_one(folder, "chamber log.csv", CHAMBER)
    assert main(["learn", held, "--lab", str(folder)]) == 1
    said = capsys.readouterr().out
    assert "\n  batch\n" in said
    assert "mended by: batch\n" in said
    assert main(["learn", held, "--lab", str(folder), *answers("batch=RB-010, RB-011")]) == 0
    rows = open_archive(folder).read("chamber_record")
    assert sorted(rows["collected_ml_h"]) == [1.4, 1.4, 1.6, 1.6]  # of each batch
    for batch in ("RB-010", "RB-011"):
        assert len(open_archive(folder).read("chamber_record", batch=batch)) == 2
    assert not list((folder / "readers").glob("*.toml"))
    assert not list((folder / "held").iterdir())


def test_further_answers_go_on_with_a_profile(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A profile that was left behind takes further answers: no second one claims its files too."""
    text = "DFT [mil];Bat. V\n3,2;6,1\n3,4;6,1\n"
    assert taught(lab, text, "column:Bat. V=pass over", "state=dry", "coat=1") == 1
    said = capsys.readouterr().out
    assert "Written: " in said
    assert "\n  panel\n" in said
    held = next((lab / "held").glob("*/late.csv")).parent.name
    assert main(["learn", held, "--lab", str(lab), *answers("coat=2", "panel=RB-010-1")]) == 0
    said = capsys.readouterr().out
    assert "It goes on with what was taught: " in said
    rows = open_archive(lab).read("film_thickness", panel="RB-010-1")
    assert rows["thickness_um"].tolist() == pytest.approx([3.2 * MIL_UM, 3.4 * MIL_UM])
    assert set(rows["coat"]) == {"coat 2"}
    assert set(rows["reader"]) == {"late 2"}
    assert sorted(path.name for path in (lab / "readers").glob("late*")) == [
        "late.toml",
        "late.toml.before",
    ]


def test_what_holds_a_file_that_is_read_is_asked(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A value that no row has, and an id that is none, are asked for, and the answers file it."""
    text = (
        "Neutral salt spray\n\nPanel;Rust (Ri);Creep c (mm)\nRB-010-1;Ri 3;4,2\nRB-010-2;Ri 2;3,1\n"
    )
    held = held_one(lab, "inspected.csv", text)
    assert main(["learn", held, "--lab", str(lab)]) == 1
    assert "\n  exposure_h\n" in capsys.readouterr().out
    assert main(["learn", held, "--lab", str(lab), *answers("exposure_h=500 h")]) == 0
    assert set(open_archive(lab).read("exposure_rating")["exposure_h"]) == {500}


def test_an_id_that_is_none_is_asked(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A gauge's own number of a panel is no panel of the lab: passed over, the file has none."""
    text = "Panel;DFT [um];state\n7;81;dry\n7;84;dry\n"
    assert show(lab, text, "film_thickness") == 1
    assert "\n  column:Panel\n" in capsys.readouterr().out
    assert show(lab, text, "film_thickness", "column:Panel=pass over") == 1
    assert "No panel in the file: its name must tell it" in capsys.readouterr().out


def test_lines_of_no_form_are_asked_in_one_go(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Lines with numbers beside the told forms are named by how they begin, all in one answer."""
    slip = "Plate {}\nAbrs 1 // 7,1 N/mm2\nAbrs 2 // 7,3 N/mm2\nMittel. 7,2\nRig LAB2-W\n"
    text = slip.format("RB-010-1") + slip.format("RB-010-2")
    said = [
        "lines=Plate {panel} || Abrs {determination} // {strength_mpa} N/mm2",
        "failure=B",
        "dolly_diameter_mm=20 mm",
    ]
    assert show(lab, text, "pull_off", *said) == 1
    shown = capsys.readouterr().out
    assert "\n  rows:Mittel. || Rig\n" in shown
    assert "no answer mends it" not in shown
    assert show(lab, text, "pull_off", *said, "rows:Mittel. || Rig=pass over") == 0
    assert "4 measurements, 4 rows would be filed" in capsys.readouterr().out
    odd = text.replace("Abrs 2 // 7,3 N/mm2\nMittel. 7,2", "Abrs 2 / 7,3\nMittel. 7,2", 1)
    assert show(lab, odd, "pull_off", *said, "rows:Mittel. || Rig=pass over") == 1
    assert "rows:Abrs" not in capsys.readouterr().out


def test_an_entry_that_nobody_took_is_asked(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A temperature in the head under a title that is no word: no profile drops it in silence."""
    text = "Qv_1/degC;23,2\n\nID;CUP;Efflux [s];SENS\nRB-010;6 mm;46,3;1\nRB-010;6 mm;47,9;2\n"
    said = ["column:CUP=cup", "word:cup:6 mm=ISO 6 mm", "column:SENS=pass over"]
    assert show(lab, text, "viscosity", *said) == 1
    assert "such as: column:Qv_1/degC" in capsys.readouterr().out  # the kind cannot do without it
    head = "Panel;RB-010-1\nArea;14,5 cm2\nQv_1/degC;23,2\n\n"
    rows = "".join(f"{10**n};{10**-n};{-(10 ** (5 - n))};7\n" for n in range(5))
    text = f"{head}f [Hz];Z' [ohm];Z\" [ohm];Qr\n{rows}"
    said = ["exposure_h=168 h", "column:Qr=pass over"]
    assert show(lab, text, "impedance", *said) == 1
    shown = capsys.readouterr().out
    assert "\n  column:Qv_1/degC\n" in shown
    assert "such as: temperature_c, pass over" in shown
    assert show(lab, text, "impedance", *said, "column:Qv_1/degC=temperature_c") == 0
    assert "temperature_c 23.2 degC" in " ".join(capsys.readouterr().out.split())
    assert show(lab, text, "impedance", *said, "column:Qv_1/degC=pass over") == 0


def test_words_are_answered_in_one(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every word of a column that is asked for is told in one answer, as it is shown."""
    text = PULLS.format("4,167", "4,59").replace("4,167;B", "4,167;kx.").replace("9;B", "9;gl.")
    assert show(lab, text, "pull_off") == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "or in one answer: word:failure:kx.=... || gl.=..." in shown
    assert show(lab, text, "pull_off", "word:failure:kx.=B || gl.=80 % B, 20 % Y/Z") == 0
    assert "failure B, 80 % B, 20 % Y/Z" in " ".join(capsys.readouterr().out.split())
    assert show(lab, text, "pull_off", "word:failure:kx.=B || gl.") == 2
    assert "expected WORD=OWN WORD" in capsys.readouterr().err
