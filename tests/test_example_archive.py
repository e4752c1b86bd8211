"""The example lab is what the program makes of its exports, and anybody can query it."""

from __future__ import annotations

from pathlib import Path

import pyarrow.parquet as pq
import pytest
from build_example import EXAMPLE, build

import tiecoat
from tiecoat.archive.tables.parquet import unite
from tiecoat.contract.columns import of_today
from tiecoat.intake.held.files import list_held
from tiecoat.intake.outcome import Outcome
from tiecoat.lab.settings import Lab, open_lab
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.verify.verify import verify

TIMED = ["withdrawn_at"]  # the moment of filing


@pytest.fixture(scope="module")
def rebuilt(tmp_path_factory: pytest.TempPathFactory) -> tuple[Lab, list[Outcome]]:
    return build(tmp_path_factory.mktemp("example") / "lab")


def tables(root: Path) -> dict[str, Path]:
    paths = sorted((root / "archive").rglob("*.parquet"))
    return {path.relative_to(root).as_posix(): path for path in paths}


def test_the_committed_archive_is_what_the_program_makes(
    rebuilt: tuple[Lab, list[Outcome]],
) -> None:
    """Every table of archive_example equals, row for row, the one made now from its exports."""
    ours, made = tables(EXAMPLE), tables(rebuilt[0].root)
    assert ours.keys() == made.keys()
    for name, path in ours.items():
        now = of_today(pq.read_table(made[name])).drop_columns(TIMED)
        # it may be older than a column of today, which is empty in it then
        committed = unite(
            [of_today(pq.read_table(path)).drop_columns(TIMED), now.schema.empty_table()]
        )
        assert committed.equals(now), name


def test_every_good_export_is_filed_and_every_broken_one_is_held(
    rebuilt: tuple[Lab, list[Outcome]],
) -> None:
    """The exports are filed but for none, and the broken ones held but for none."""
    lab, outcomes = rebuilt
    paths = {path for path in (EXAMPLE / "exports").rglob("*.*") if path.is_file()}
    exports = {path.name for path in paths if path.with_suffix("") not in paths}  # no notes
    broken = {path.name for path in (EXAMPLE / "broken").iterdir()}
    assert {outcome.name for outcome in outcomes if outcome.status == "filed"} == exports
    assert {held.name for held in list_held(lab)} == broken


def test_the_example_is_sound(rebuilt: tuple[Lab, list[Outcome]]) -> None:
    """Originals, journal, tables and index of the example agree."""
    assert verify(rebuilt[0]).findings == ()


@pytest.mark.thorough
def test_the_example_made_again_is_the_same(rebuilt: tuple[Lab, list[Outcome]]) -> None:
    """All of it comes again from originals and journal, and is sound."""
    again = rebuild(rebuilt[0], "M. Keller")
    assert again.swapped
    assert not again.differences
    assert verify(rebuilt[0]).findings == ()


def test_the_held_of_the_example_are_as_committed(rebuilt: tuple[Lab, list[Outcome]]) -> None:
    """The reasons in archive_example are those that the program gives now."""
    committed = {held.id: (held.reason, held.faults) for held in list_held(open_lab(EXAMPLE))}
    assert {held.id: (held.reason, held.faults) for held in list_held(rebuilt[0])} == committed


def test_the_example_can_be_queried_where_it_lies() -> None:
    """tiecoat.open reads archive_example, and a number leads back to its original."""
    archive = tiecoat.open(EXAMPLE)
    rows = archive.read("pull_off", panel="rb-010-3")
    assert len(rows) == 6
    original = archive.original(rows["measurement"][0])
    assert original.name == rows["source_name"][0]
    line = original.read_bytes().decode("cp1252").splitlines()[rows["source_row"][0] - 1]
    assert f"{rows['force_n'][0] / 1000:.3f}".replace(".", ",") in line


def test_no_path_of_this_machine_stands_in_the_example() -> None:
    """Journal and reasons name paths inside the lab only."""
    texts = [*(EXAMPLE / "journal").iterdir(), *(EXAMPLE / "held").rglob("reason.*")]
    assert texts
    for path in texts:
        assert '"/' not in path.read_text(encoding="utf-8"), path
