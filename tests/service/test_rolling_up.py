"""The roll-up beside the service: right while files arrive, brought up to date when none do."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from labs import LabAtWork, Service, wait_until

import tiecoat
from tiecoat.archive.rollup.making import bring_up_to_date
from tiecoat.archive.rollup.parts import read_rollup
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.tables_now import OWN_AT_MOST, live
from tiecoat.archive.words import CONTENTS
from tiecoat.intake.outcome import Pulse
from tiecoat.service.rolling_up import RollingUp

MANY = OWN_AT_MOST + 3
ARRIVE = 8  # exports while somebody reads
HEAD = "Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured\n"


def pull_offs(number: int, batches: range) -> str:
    """An export with one determination of this number on a panel of each batch."""
    lines = [
        f'RB-{b:03d}-1,{number},20,{4 + b / 100:.2f},"100% B",2026-09-28 14:03' for b in batches
    ]
    return HEAD + "\n".join(lines) + "\n"


@pytest.fixture
def of_many(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """A lab of many batches, each with one pull-off test."""
    at_work = lab(intake={"settle_s": 0.1, "scan_s": 0.2})
    at_work.drop("first.csv", pull_offs(1, range(1, MANY + 1)))
    assert at_work.take()["first.csv"].status == "filed"
    return at_work


def determinations(rows: object) -> set[tuple[str, float]]:
    return {(batch, number) for batch, number in rows.itertuples(index=False)}  # type: ignore[attr-defined]


def test_answers_are_right_while_files_arrive(
    of_many: LabAtWork, serve: Callable[..., Service]
) -> None:
    """In every answer each table is whole, nothing goes missing again, and the end is all of it.

    Meanwhile the roll-up is made again and again.
    """
    at_work = of_many
    archive = tiecoat.open(at_work.root)
    columns = ["batch", "determination"]
    questions: dict[str, Callable[[], set[tuple[str, float]]]] = {
        "read": lambda: determinations(archive.read("pull_off", columns=columns)),
        "sql": lambda: determinations(archive.sql("select batch, determination from pull_off")),
        "arrow": lambda: determinations(
            archive.arrow("pull_off").to_table(columns=columns).to_pandas()
        ),
    }
    seen = {name: ask() for name, ask in questions.items()}
    assert {len(one) for one in seen.values()} == {MANY}
    over = threading.Event()
    made = []

    def make() -> None:
        while not over.is_set():
            made.append(bring_up_to_date(at_work.lab, "pull_off"))
            time.sleep(0.05)

    maker = threading.Thread(target=make)
    service = serve(at_work)
    maker.start()
    expected = MANY
    try:
        for number in range(2, 2 + ARRIVE):
            at_work.drop(f"{number}.csv", pull_offs(number, range(number, number + 9)))
            expected += 9
            rounds = 0
            while rounds < 3 or (number == 1 + ARRIVE and len(seen["read"]) < expected):
                for name, ask in questions.items():
                    found = ask()
                    assert seen[name] <= found, (name, "rows went missing")
                    seen[name] = found
                rounds += 1
                assert rounds < 2000
    finally:
        over.set()
        maker.join()
    assert service.stop() == 0
    assert sum(made) > 1
    truth = {(row["batch"], row["determination"]) for row in at_work.rows("pull_off")}
    assert len(truth) == expected
    assert {name: ask() for name, ask in questions.items()} == dict.fromkeys(questions, truth)
    assert len(archive.measurements("pull_off")) == expected


def test_the_service_makes_it_once_nothing_arrives(of_many: LabAtWork) -> None:
    """After a quiet time all tables are in it, also those that have changed; then it rests."""
    lab = of_many.lab
    rolling_up = RollingUp(lab, quiet_s=0.05)
    folder = Path(lab.rollup / "pull_off")

    def is_made() -> bool:
        rolling_up.beat(Pulse("watching"))
        versions = {batch: one for (_, batch), one in storage_of(lab).versions("pull_off").items()}
        rolled = read_rollup(folder)
        tables = live(rolled, versions)
        named = {one.path for one in rolled} | {folder / CONTENTS}
        is_tidy = not any(one.dead for one in tables.files) and {*folder.glob("*")} == named
        return not tables.own and is_tidy

    rolling_up.beat(Pulse("watching", queue=1))
    assert not folder.exists()
    wait_until(is_made, "the roll-up made")
    of_many.drop("second.csv", pull_offs(2, range(1, 4)))
    outcome = of_many.take()["second.csv"]
    assert not is_made()
    rolling_up.became(outcome)
    wait_until(is_made, "the roll-up brought up to date")
    files = sorted(folder.iterdir())
    for _ in range(20):
        rolling_up.beat(Pulse("watching"))
        time.sleep(0.02)
    rolling_up.close()
    assert sorted(folder.iterdir()) == files
    assert not (lab.rollup / "panels").exists()
