"""The lake beside the service: brought up to date when nothing is queued, and never waited for."""

from __future__ import annotations

import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from labs import LabAtWork, Service, wait_until

pytest.importorskip("deltalake", reason="the extra lake is not installed")

from bad_exports import density
from lakes import lake_equals

from tiecoat.cli import main
from tiecoat.intake.outcome import Pulse
from tiecoat.service.health import read_health
from tiecoat.service.publishing import Publishing

Make = Callable[..., LabAtWork]
WATCHING = Pulse("watching")
PATIENCE_S = 120.0  # a process is started, and loads libraries


@contextmanager
def publishing(at_work: LabAtWork, said: list[str]) -> Iterator[Publishing]:
    """What the service has, with hardly a pause."""
    made = Publishing(at_work.lab, said.append, quiet_s=0.05)
    try:
        yield made
    finally:
        made.close()


def beat_until(made: Publishing, done: Callable[[Pulse], object], what: str) -> None:
    """Let the main loop beat until it is so."""
    wait_until(lambda: done(made.beat(WATCHING)), what, PATIENCE_S)


@pytest.fixture
def at_work(lab: Make) -> LabAtWork:
    """A lab with a lake beside it, and a density."""
    made = lab(lake={"url": "../lake"})
    made.drop("a.csv", density())
    made.take()
    return made


def test_the_service_publishes_and_says_when_it_cannot(
    lab: Make, serve: Callable[..., Service], capsys: pytest.CaptureFixture[str]
) -> None:
    """What is filed is in the lake soon; one that is away is told, and what arrives is filed."""
    at_work = lab(lake={"url": "../lake"})
    service = serve(at_work)
    at_work.drop("a.csv", density())
    service.expect(f"published in {at_work.root.parent / 'lake'}", PATIENCE_S)
    lake_equals(at_work.root.parent / "lake", {at_work.root.name: at_work.lab})
    (at_work.root.parent / "away").touch()  # a file in the place of a folder
    at_work.settle(lake={"url": "../away"})
    service.expect("not published, trying again until it works: the lake", PATIENCE_S)
    at_work.drop("b.csv", density(batch="RB-016"))
    wait_until(lambda: len(at_work.rows("density")) == 2, "the export filed")
    wait_until(lambda: (found := read_health(at_work.root)) and found.troubles, "it told")
    assert main(["service", "status", "--lab", str(at_work.root)]) == 1
    assert "trouble  not published, trying again" in capsys.readouterr().out
    assert service.stop() == 0
    main(["service", "status", "--lab", str(at_work.root)])
    assert "it was stopped, last beat" in capsys.readouterr().out


def test_it_publishes_what_is_new_and_then_rests(at_work: LabAtWork) -> None:
    """A lake that comes back is published into; without news no process is started."""
    url, said = at_work.root.parent / "lake", list[str]()
    url.touch()
    with publishing(at_work, said) as made:
        assert made.beat(Pulse("watching", queue=1)).troubles == ()
        assert made._under_way is None
        beat_until(made, lambda pulse: pulse.troubles, "it told that the lake is away")
        assert made.beat(Pulse("stopping")).troubles == ()
        failed = made._failed
        beat_until(made, lambda pulse: made._failed > failed, "another try")
        url.unlink()
        beat_until(made, lambda pulse: not pulse.troubles, "the lake published")
        lake_equals(url, {at_work.root.name: at_work.lab})
        assert [line.partition(":")[0] for line in said] == [
            "not published, trying again until it works",
            f"published in {url}",
        ]
        version = len(list((url / "density" / "_delta_log").iterdir()))
        made._due = 0.0
        for _ in range(20):
            made.beat(WATCHING)
            time.sleep(0.01)
        assert made._under_way is None
        at_work.drop("b.csv", density(batch="RB-016"))
        at_work.take()
        made._due = 0.0
        beat_until(
            made,
            lambda pulse: len(list((url / "density" / "_delta_log").iterdir())) > version,
            "what is new published",
        )
    lake_equals(url, {at_work.root.name: at_work.lab})


@pytest.mark.thorough
def test_a_storage_that_never_answers_keeps_nobody_waiting(
    at_work: LabAtWork, serve: Callable[..., Service]
) -> None:
    """What arrives is filed, and the service stops as soon as it is asked to."""
    at_work.settle(lake={"url": "s3://coatings/lake"})
    with socket.create_server(("127.0.0.1", 0)) as silent:
        silent.settimeout(PATIENCE_S)
        service = serve(
            at_work,
            AWS_ENDPOINT_URL=f"http://127.0.0.1:{silent.getsockname()[1]}",
            AWS_ALLOW_HTTP="true",
            AWS_REGION="us-east-1",
            AWS_ACCESS_KEY_ID="technician",
            AWS_SECRET_ACCESS_KEY="not-for-any-log",
        )
        asking, _ = silent.accept()
        with asking:
            at_work.drop("b.csv", density(batch="RB-016"))
            wait_until(lambda: len(at_work.rows("density")) == 2, "the export filed")
            began = time.monotonic()
            assert service.stop() == 0
            assert time.monotonic() - began < 8.0
    assert "not-for-any-log" not in service.output


def test_a_lab_without_a_lake_starts_nothing(lab: Make) -> None:
    """Nor does one in which nothing has been filed yet."""
    for changes in ({}, {"lake": {"url": "../lake"}}):
        at_work = lab(**changes)
        with publishing(at_work, []) as made:
            assert made.beat(WATCHING) == WATCHING
            assert made._under_way is None


def test_credentials_in_the_settings_are_refused_and_never_told(
    at_work: LabAtWork, serve: Callable[..., Service]
) -> None:
    """Under a running service too: it goes on with the settings of before, and logs no key."""
    command = [sys.executable, "-m", "tiecoat.cli", "serve", "--log", "--lab", str(at_work.root)]
    service = serve(at_work, command)
    at_work.settle(lake={"url": "s3://AKIAQUAY:hunter2/hunter2@coatings/lake"})
    service.expect("the changed settings cannot be used", PATIENCE_S)
    assert service.stop() == 0
    logs = [path.read_text("utf-8") for path in at_work.root.glob("log/*.log")]
    told = [service.output, (at_work.root / "health.json").read_text("utf-8"), *logs]
    assert "lake.url = 's3://...'" in told[0]
    for text in told:
        assert "hunter2" not in text
        assert "AKIAQUAY" not in text
