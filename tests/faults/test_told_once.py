"""What is odd in an inbox is told, and told once."""

from __future__ import annotations

import os
import socket
import time
from collections.abc import Callable

import pytest
from bad_exports import density, pull_off
from labs import LabAtWork, Service, make_lab, wait_until
from truth import status

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
LOOSE = {"batch": "RB-[0-9]+", "panel": "(?P<batch>RB-[0-9]+)-[0-9]+"}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_what_is_no_file_is_told_once(lab: Make, serve: Serve) -> None:
    """A named pipe, a socket and a device are named once each, and hinder nothing."""
    at_work = lab()
    service = serve(at_work)
    expected = {"pipe.csv": "a named pipe", "socket.csv": "a socket"}
    os.mkfifo(at_work.inbox / "pipe.csv")
    with socket.socket(socket.AF_UNIX) as bound:
        bound.bind(str(at_work.inbox / "socket.csv"))
    if os.geteuid() == 0:
        os.mknod(at_work.inbox / "device.csv", 0o600 | 0o020000, os.makedev(1, 3))
        expected["device.csv"] = "a device"
    at_work.drop("a.csv", density())
    wait_until(lambda: len(at_work.rows("density")) == 1, "the export beside them filed")
    for name, what in expected.items():
        service.expect(f"{at_work.inbox / name} is {what} and no file: it is not taken in")
    time.sleep(2)  # several scans
    assert service.output.count("and no file") == len(expected)
    assert status(at_work.root)[0] == 0
    assert at_work.waiting() == sorted(expected)

    (at_work.inbox / "pipe.csv").unlink()
    time.sleep(1)
    os.mkfifo(at_work.inbox / "pipe.csv")
    wait_until(lambda: service.output.count("a named pipe") == 2, "another pipe told")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_many_that_are_no_files_make_few_lines(lab: Make, serve: Serve) -> None:
    """Of a thousand pipes ten are named, and the others counted."""
    at_work = lab()
    folder = at_work.root / "many"
    folder.mkdir()
    for number in range(1000):
        os.mkfifo(folder / f"{number}.csv")
    service = serve(at_work)
    folder.rename(at_work.inbox / "many")
    service.expect("has 990 more that are no files")
    time.sleep(1)
    assert service.output.count("no file") == 11


def test_ids_that_differ_by_zeros_are_told_when_the_second_appears(
    tmp_path_factory: pytest.TempPathFactory, serve: Serve
) -> None:
    """RB-1-1 after RB-01-1 is told, once, also across a restart; both are filed as they are."""
    at_work = make_lab(tmp_path_factory.mktemp("labs") / "lab", ids=LOOSE)
    service = serve(at_work)
    at_work.drop("one.csv", pull_off(panel="RB-007-1"))
    at_work.drop("ten.csv", pull_off(panel="RB-0070-1"))  # the zero that ends a number counts
    wait_until(lambda: len(at_work.rows("pull_off")) == 2, "the first two")
    assert service.stop() == 0
    assert "leading zeros" not in service.output

    service = serve(at_work)
    at_work.drop("two.csv", pull_off(panel="RB-007-01"))
    said = "two.csv: panel RB-007-01 differs from RB-007-1 by leading zeros only; "
    service.expect(said)
    at_work.drop("three.csv", pull_off(panel="RB-7-01"))
    service.expect("three.csv: batch RB-7 differs from RB-007 by leading zeros only; ")
    service.expect("three.csv: panel RB-7-01 differs from RB-007-01, RB-007-1 by leading")
    at_work.drop("four.csv", pull_off(panel="RB-7-01", number=2))
    wait_until(lambda: len(at_work.rows("pull_off")) == 5, "all five")
    assert service.stop() == 0
    assert service.output.count("leading zeros") == 3
    panels = {row["panel"] for row in at_work.rows("pull_off")}
    assert panels == {"RB-007-1", "RB-0070-1", "RB-007-01", "RB-7-01"}
