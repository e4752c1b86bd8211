"""Measurements against the register and the clock, through the real way of a file."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from bad_exports import batches, density, impedance, panels, pull_off
from labs import BATCH, PANEL, LabAtWork, make_lab

import tiecoat
from tiecoat.cli import main
from tiecoat.errors import FileHeld
from tiecoat.intake.filing.keying import Keyer
from tiecoat.intake.outcome import Pulse, Teller
from tiecoat.intake.taking_in import take
from tiecoat.intake.workers.answers import Keys
from tiecoat.lab.settings import IdPatterns
from tiecoat.reasons import Reason
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.service.health import HealthFile, read_health
from tiecoat.service.status import status
from tiecoat.verify.verify import verify

Make = Callable[..., LabAtWork]

TITLES = "Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Coat 2 on,Immersed at,Note"
COATED, SECOND, IMMERSED = "2026-09-14 09:00", "2026-09-16 09:00", "2026-09-21 09:00"


def register(*of_panels: str, coated: str = COATED, immersed: str = IMMERSED) -> str:
    """A register of panels with the date of their second coat."""
    rows = [f"{p},{p[:6]},steel,2 x primer,180,{coated},{SECOND},{immersed}," for p in of_panels]
    return "\n".join([TITLES, *rows]) + "\n"


def filed(at_work: LabAtWork, name: str, content: str, folder: str = "") -> dict[str, Any] | None:
    """Take in one file; return its first row, or None where it is held."""
    at_work.drop(name, content, folder)
    outcome = at_work.take()[name]
    rows = [row for row in at_work.every_row() if row["source_name"] == name]
    assert (outcome.status == "filed") == bool(rows)
    return rows[0] if rows else None


def reason_of(at_work: LabAtWork, name: str) -> str:
    return str(at_work.held()[name]["reason"])


@pytest.fixture(scope="module")
def registered(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab whose register knows batch RB-014 with panel RB-014-3, immersed on 21 September."""
    made = make_lab(tmp_path_factory.mktemp("registered") / "lab")
    made.drop("panels.csv", register("RB-014-3"))
    made.drop("batches.csv", batches("RB-014"))
    assert {one.status for one in made.take().values()} == {"filed"}
    return made


@pytest.fixture
def at_work(registered: LabAtWork, tmp_path: Path) -> LabAtWork:
    """A copy of it."""
    return registered.copy(tmp_path / "registered")


# The register


def test_what_fits_the_register_has_no_remark(at_work: LabAtWork) -> None:
    """A spectrum whose exposure is that of the register is filed without a word."""
    row = filed(at_work, "day 1.csv", impedance())
    assert row is not None
    assert row["remark"] is None


@pytest.mark.parametrize(
    ("content", "remark"),
    [
        (pull_off(panel="RB-014-4"), "unregistered-panel: the panel is not in the register"),
        (
            density(batch="RB-015").replace("14.09", "15.09"),
            "unregistered-batch: the batch is not in the register",
        ),
    ],
    ids=["panel", "wet paint"],
)
def test_what_the_register_does_not_know_is_remarked(
    at_work: LabAtWork, content: str, remark: str
) -> None:
    """A panel, or of wet paint the batch, that is not registered is filed with a remark."""
    row = filed(at_work, "odd.csv", content)
    assert row is not None
    assert row["remark"] == remark


def test_a_register_that_comes_later_answers_the_remark(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """The table keeps what was true when it was filed; whoever asks is told what is so by now."""
    archive = tiecoat.open(at_work.root)

    def claims() -> tuple[Any, ...]:
        listed = archive.measurements(kind="pull_off")["remark"].dropna().tolist()
        wanted = {
            "pull_off": archive.read("pull_off")["remark"],
            "a column": archive.read("pull_off", columns=["remark"])["remark"],
            "sql": archive.sql("select * from pull_off_all")["remark"],
            "a condition": archive.sql("from pull_off where remark like '%register%'")["remark"],
        }
        for way, column in wanted.items():
            assert column.dropna().tolist() == listed, way
        assert len(archive.read("pull_off", where="remark is not null")) == len(listed)
        flags = archive.evaluate("pull_off")["flags"].str.contains("unregistered").any()
        main(["contents", "--lab", str(at_work.root)])
        told = "unregistered" in capsys.readouterr().out
        return listed, bool(flags), told, "remarks" in "\n".join(status(at_work.lab).lines)

    remark = "unregistered-panel: the panel is not in the register"
    filed(at_work, "early.csv", pull_off(panel="RB-014-4"))
    assert claims() == ([remark], True, True, True)
    filed(at_work, "more panels.csv", register("RB-014-4"))
    assert claims() == ([], False, False, False)
    assert [row["remark"] for row in at_work.rows("pull_off")] == [remark]


def test_what_waits_for_the_register_is_tried_again_by_itself(lab: Make) -> None:
    """A lab may have it held instead; the register then frees it."""
    at_work = lab(checks={"unregistered": "hold"})
    assert filed(at_work, "early.csv", pull_off()) is None
    assert reason_of(at_work, "early.csv") == "not-registered"
    at_work.drop("panels.csv", register("RB-014-3"))
    assert {name: one.status for name, one in at_work.take().items()} == {
        "panels.csv": "filed",
        "early.csv": "filed",
    }
    assert [row["remark"] for row in at_work.rows("pull_off")] == [None]


@pytest.mark.parametrize(
    ("at", "hours", "odd"),
    [
        ("2026-09-22 09:14", 24, False),
        ("2026-09-22 11:50", 25, False),  # 26.8 h: within 2 h
        ("2026-10-01 09:00", 220, False),  # 240 h: within a tenth
        ("2026-10-01 09:00", 200, True),
        ("2026-09-22 09:14", 27, True),
        ("2026-10-15 10:00", 58, True),  # 577 h
        ("2026-09-21 07:00", 24, True),  # before it was immersed
        ("2026-09-23", 24, False),  # a date alone: anything from 39 h on
        ("2026-09-25", 24, True),
    ],
)
def test_an_exposure_that_contradicts_the_register_is_remarked(
    at_work: LabAtWork, at: str, hours: int, odd: bool
) -> None:
    """More than a tenth and 2 h off what immersion and measurement say, a day more for a date."""
    row = filed(at_work, "later.csv", impedance(at=at, hours=hours))
    assert row is not None
    said = str(row["remark"])
    assert said.startswith(f"exposure: {hours} h stated, ") if odd else row["remark"] is None


@pytest.mark.parametrize(
    ("at", "odd"), [("2026-09-15 12:00", True), ("2026-09-16 08:59", True), ("2026-09-17", False)]
)
def test_what_was_measured_before_a_coat_is_remarked(
    at_work: LabAtWork, at: str, odd: bool
) -> None:
    """A film pulled before its second coat was applied is not the coat system of the register."""
    row = filed(at_work, "pulled.csv", pull_off(at=at))
    assert row is not None
    assert ("before-coat: measured at" in str(row["remark"])) == odd


def test_a_reading_of_the_first_coat_may_come_before_the_second(at_work: LabAtWork) -> None:
    """Only a coat that the file itself names, or those below it, must be there."""
    sheet = "Panel,Date,Time,Spot,Coat,State,Thickness (µm)\n"
    rows = "".join(f"RB-014-3,2026-09-15,12:00,1,coat {n},dry,80\n" for n in (1, 2))
    filed(at_work, "gauge.csv", sheet + rows)
    found = {row["coat"]: str(row["remark"]) for row in at_work.rows("film_thickness")}
    assert found.keys() == {"coat 1", "coat 2"}
    assert found["coat 1"] == "None"
    assert found["coat 2"].startswith("before-coat: ")


# The clock


@pytest.mark.parametrize("ahead_h", [20, 30])
def test_the_future_is_held(at_work: LabAtWork, ahead_h: int) -> None:
    """More than a day after now is held; a clock that is a little ahead is not."""
    at = datetime.now(UTC) + timedelta(hours=ahead_h)
    row = filed(at_work, "soon.csv", pull_off(at=f"{at:%Y-%m-%d %H:%M}+00:00"))
    assert (row is None) == (ahead_h > 24)
    if row is None:
        assert reason_of(at_work, "soon.csv") == "in-future"


@pytest.mark.parametrize(
    ("content", "held"),
    [
        (pull_off(at="2026-09-14 08:59"), True),
        (pull_off(at="2026-09-14"), False),  # a date alone is not before the hour of that day
        (pull_off(at="2026-09-13"), True),
        (density(at="14.09.2026;07:29"), True),
        (density(at="14.09.2026;07:31"), False),
    ],
)
def test_nothing_is_measured_before_it_was_made(
    at_work: LabAtWork, content: str, held: bool
) -> None:
    """What was measured before the panel was coated or the batch mixed is held."""
    assert (filed(at_work, "early.csv", content) is None) == held
    if held:
        assert reason_of(at_work, "early.csv") == "before-made"


@pytest.mark.parametrize("policy", ["hold", "remark", "off"])
@pytest.mark.parametrize(
    ("check", "code", "content"),
    [
        ("unregistered", "unregistered-panel", pull_off(panel="RB-014-5")),
        ("future", "future", pull_off(at="2099-01-01 10:00")),
        ("before_made", "before-made", pull_off(at="2026-09-01 10:00")),
        ("exposure", "exposure", impedance(hours=200)),
        ("before_coat", "before-coat", pull_off(at="2026-09-15 10:00")),
    ],
)
def test_the_lab_decides_what_is_done(
    at_work: LabAtWork, policy: str, check: str, code: str, content: str
) -> None:
    """Each check holds, remarks or says nothing, as [checks] has it."""
    others = dict.fromkeys(["unregistered", "future", "before_made", "exposure"], "off")
    at_work.settle(checks={**others, "before_coat": "off", check: policy})
    row = filed(at_work, "odd.csv", content)
    assert (row is None) == (policy == "hold")
    if row is not None:
        assert (row["remark"] or "").partition(":")[0] == (code if policy == "remark" else "")


@pytest.mark.parametrize("policy", ["hold", "remark", "off"])
def test_a_register_that_says_otherwise_than_before_is_told(
    at_work: LabAtWork, policy: str
) -> None:
    """A correction is filed with what was said before; what was open before corrects nothing."""
    at_work.settle(checks={"corrected": policy})
    titles = "batch,recipe,candidate,dose_percent,role,mixed_on,note"
    at_work.drop("first.csv", f"{titles}\nRB-019,EP,talc,,candidate,2026-09-14,\n")
    assert at_work.take()["first.csv"].status == "filed"
    row = filed(at_work, "more.csv", f"{titles}\nRB-019,EP,talc,5,candidate,2026-09-14,weighed\n")
    assert row is not None
    assert row["remark"] is None
    row = filed(at_work, "other.csv", f"{titles}\nRB-019,EP,talc,8,candidate,2026-09-14,\n")
    assert (row is None) == (policy == "hold")
    if row is None:
        assert "8 of RB-019" in str(at_work.held()["other.csv"])
    else:
        told = "corrected: dose_percent 5 before, 8 now" if policy == "remark" else None
        assert row["remark"] == told


def test_no_panel_is_coated_before_its_batch_was_mixed(at_work: LabAtWork) -> None:
    """A register of panels with such a date is held."""
    assert filed(at_work, "right.csv", register("RB-014-7")) is not None
    assert filed(at_work, "early.csv", register("RB-014-8", coated="2026-09-10 09:00")) is None
    assert reason_of(at_work, "early.csv") == "before-made"


# Ids


@pytest.mark.parametrize(
    ("name", "folder", "reason"),
    [
        ("RB-014-3.csv", "", None),
        ("day 1.csv", "RB-014-3", None),
        ("rb-014-3 day 1.csv", "RB-014", None),
        ("RB-014-2.csv", "", "other-panel"),
        ("day 1.csv", "RB-014-2", "other-panel"),
        ("day 1.csv", "RB-014-2/again", "other-panel"),
        ("RB-013.csv", "", "other-batch"),
        ("RB-014-3.csv", "RB-013", "other-batch"),
        ("RB-014-2 and RB-014-3.csv", "", None),  # no name of one
        ("RB-013 against RB-014.csv", "", None),
        ("RB-01 20260922.csv", "", None),  # no id
    ],
)
def test_a_name_may_not_contradict_the_file(
    at_work: LabAtWork, name: str, folder: str, reason: str | None
) -> None:
    """A file of one panel is held where its name or a folder names another panel or batch."""
    row = filed(at_work, name, impedance(), folder)
    assert (row is None) == (reason is not None)
    if reason:
        assert reason_of(at_work, name) == reason


@pytest.mark.parametrize(
    ("name", "reason"),
    [("RB-014-4.csv", None), ("RB-014.csv", None), ("RB-014-1.csv", "other-panel")],
)
def test_a_list_of_panels_may_carry_the_id_of_one_of_them(
    at_work: LabAtWork, name: str, reason: str | None
) -> None:
    """A file of several panels that is named after none of them is held."""
    one, two = (pull_off(panel=f"RB-014-{n}").splitlines() for n in (3, 4))
    row = filed(at_work, name, "\n".join([*one, two[1]]))
    assert (row is None) == (reason is not None)
    if reason:
        assert reason_of(at_work, name) == reason


@pytest.mark.parametrize("right", ["RB-014-2", "RB-014-3"])
def test_a_person_says_which_of_two_ids_is_right(at_work: LabAtWork, right: str) -> None:
    """What was held as contradicting is filed under the panel that is assigned."""
    assert filed(at_work, "RB-014-2 day 1.csv", impedance()) is None
    held = at_work.held()["RB-014-2 day 1.csv"]["id"]
    assert main(["held", "assign", held, "--panel", right, "--lab", str(at_work.root)]) == 0
    assert {row["panel"] for row in at_work.rows("impedance")} == {right}


def test_wet_paint_of_a_batch_and_of_a_panel_of_another_contradicts_itself() -> None:
    """A measurement of a batch that names a panel as well may not name one of another batch."""
    keyer = Keyer(IdPatterns(batch=BATCH, panel=PANEL), lambda panel: None)
    keys = Keys("m", "density", "batch", False, "RB-014", "rb-013-1", 5, None)
    with pytest.raises(FileHeld) as held:
        keyer.resolve(keys, "a.csv")
    assert held.value.reason is Reason.OTHER_BATCH
    assert keyer.resolve(replace(keys, panel="RB-014-1"), "a.csv") == ("RB-014", None)


@pytest.mark.parametrize("other", ["", "190"])
def test_a_register_sheet_may_not_contradict_itself(lab: Make, other: str) -> None:
    """A panel twice in one sheet is held where the rows differ, and is fine where they agree."""
    at_work = lab()
    first, again = (register("RB-014-3").splitlines()[1] for _ in range(2))
    again = again.replace("180", other) if other else again
    row = filed(at_work, "panels.csv", "\n".join([TITLES, first, again]))
    assert (row is None) == bool(other)
    if other:
        assert reason_of(at_work, "panels.csv") == "twice-in-register"
    else:
        assert [row["thickness_um"] for row in at_work.rows("panels")] == [180.0]


def test_a_corrected_register_is_a_later_sheet(at_work: LabAtWork) -> None:
    """Another file with other values replaces the earlier row, as before."""
    assert filed(at_work, "panels 2.csv", panels(*_corrected())) is not None
    assert [row["thickness_um"] for row in at_work.rows("panels")] == [175.0]


def _corrected() -> list[str]:
    return [f"RB-014-3,RB-014,steel,2 x primer,175,{COATED},{IMMERSED},"]


# What is kept


def test_remarks_are_proved_and_made_again(at_work: LabAtWork) -> None:
    """verify finds nothing, a rebuild gives the same remarks, and without the index they stay."""
    contents = [impedance(hours=200), pull_off(panel="RB-014-4"), pull_off(at="2026-09-15 10:00")]
    for number, content in enumerate(contents):
        filed(at_work, f"{number}.csv", content)
    before = {row["measurement"]: row["remark"] for row in at_work.every_row() if row["remark"]}
    assert len(before) == 3
    assert verify(at_work.lab).findings == ()
    made = rebuild(at_work.lab, "M. Keller")
    assert made.swapped
    assert not made.differences
    after = {row["measurement"]: row["remark"] for row in at_work.every_row() if row["remark"]}
    assert after == before
    for path in at_work.root.glob("index.sqlite*"):
        path.unlink()
    listed = tiecoat.open(at_work.root).measurements().dropna(subset="remark")
    assert dict(zip(listed["measurement"], listed["remark"], strict=True)) == before


def test_a_remark_that_was_taken_out_is_found(at_work: LabAtWork) -> None:
    """The digest in the journal covers the remark: a table without it does not verify."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    filed(at_work, "odd.csv", impedance(hours=200))
    path = at_work.root / "archive" / "impedance" / "RB-014" / "data.parquet"
    rows = pq.ParquetFile(path).read()
    place = rows.schema.get_field_index("remark")
    field = rows.schema.field(place)
    pq.write_table(rows.set_column(place, field, pa.nulls(len(rows), field.type)), path)
    assert "rows-changed" in {finding.damage.code for finding in verify(at_work.lab).findings}


def test_try_shows_the_remarks_and_files_nothing(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """`tiecoat try` says what would be remarked, and `take` in the line of the file."""
    path = at_work.root / "odd.csv"
    path.write_text(impedance(hours=200))
    assert main(["try", str(path), "--lab", str(at_work.root)]) == 0
    assert "exposure: 200 h stated, 24.2 h from" in " ".join(capsys.readouterr().out.split())
    assert at_work.rows("impedance") == []
    assert "; remarked: exposure: 200 h stated" in at_work.take(path)["odd.csv"].line


def test_every_order_of_arrival_gives_the_same_claims(lab: Make) -> None:
    """Whatever comes first, what is listed as odd is the same in the end."""
    files = {
        "p.csv": register("RB-014-3"),
        "a.csv": pull_off(),
        "b.csv": pull_off(panel="RB-014-9"),
    }
    found = set()
    for order in itertools.permutations(files):
        at_work = lab()
        for name in order:
            at_work.drop(name, files[name])
            at_work.take()
        listed = tiecoat.open(at_work.root).measurements().dropna(subset="remark")
        found.add(tuple(sorted(listed["panel"] + " " + listed["remark"])))
    assert found == {("RB-014-9 unregistered-panel: the panel is not in the register",)}


def test_the_service_counts_what_is_remarked(at_work: LabAtWork) -> None:
    """The beat of the service, and by it the health file, knows how many measurements are odd."""
    pulses: list[Pulse] = []
    silent = Teller(lambda line: None, lambda outcome: None, pulses.append)
    for name, count in (("odd.csv", 1), ("sound.csv", 1), ("odd again.csv", 2)):
        odd = name.startswith("odd")
        number = count if odd else 9
        at_work.drop(name, pull_off(panel="RB-014-4" if odd else "RB-014-3", number=number))
        take(at_work.lab, [], silent)
        assert pulses[-1].remarked == count
        HealthFile(at_work.lab).beat(pulses[-1])
        health = read_health(at_work.root)
        assert health is not None
        assert health.remarked == count
    at_work.drop("panels.csv", register("RB-014-4"))
    take(at_work.lab, [], silent)
    take(at_work.lab, [], silent)
    assert pulses[-1].remarked == 0


READER = '''\
"""A reader that remarks on what it reads."""
from tiecoat.plugin import Claim, Measurement, hookimpl


class Told:
    name, kind, version = "told", "density", "1"

    def recognise(self, export):
        return Claim(0.9, "begins so") if export.text().startswith("told") else None

    def read(self, export):
        columns = {"temperature_c": [23.0], "density_g_cm3": [1.4], "state": ["rested"],
                   "elapsed_s": [60.0]}
        yield Measurement(columns, [1], batch="RB-014", remarks=("lid open", "second filling"))


@hookimpl
def tiecoat_readers():
    return [Told()]
'''


def test_the_words_of_a_reader_are_kept_as_they_are(lab: Make) -> None:
    """What a reader remarks stands before what the checks remark, and reaches the results."""
    at_work = lab(readers={"folder": True})
    (at_work.root / "readers" / "told.py").write_text(READER)
    row = filed(at_work, "x.txt", "told\n")
    assert row is not None
    own = "lid open; second filling"
    assert row["remark"] == f"{own}; unregistered-batch: the batch is not in the register"
    flags = tiecoat.open(at_work.root).evaluate("density")["flags"]
    assert flags.str.contains(own, regex=False).all()


def test_films_of_another_unit_than_the_register_are_held(at_work: LabAtWork) -> None:
    """180 mils on a panel of 180 µm are 4.6 mm; one such spot among others is remarked alone."""
    titles = "Panel,Spot,DFT dry ({})\n"
    rows = "".join(f"RB-014-3,{spot},{180 + spot}\n" for spot in range(1, 6))
    assert filed(at_work, "mils.csv", titles.format("mils") + rows) is None
    assert reason_of(at_work, "mils.csv") == Reason.AGAINST_REGISTER.code
    odd = titles.format("µm") + rows + "RB-014-3,6,1800\n"
    assert filed(at_work, "one slip.csv", odd) is not None
    remarks = [
        row["remark"] or "" for row in at_work.every_row() if row["source_name"] == "one slip.csv"
    ]
    assert ["beside 180 um in the register" in text for text in remarks] == [False] * 5 + [True]
