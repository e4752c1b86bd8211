"""What is learnt of how the files of an inbox are written, and how they end."""

from __future__ import annotations

import pytest

from tiecoat.intake.inboxes.pace import FileEnd, Pace

SWEEP = FileEnd(71, (1e5, 0.01))


def test_an_inbox_waits_twice_the_longest_pause_of_its_last_files() -> None:
    """One slow file among the last twenty makes the others wait; after twenty quick ones not."""
    pace = Pace()
    assert pace.quiet_s(5.0) == 5.0
    pace.was_written(60.0, 9.0)
    assert pace.quiet_s(5.0) == 18.0
    for _ in range(19):
        pace.was_written(0.0, 0.0)
    assert pace.quiet_s(5.0) == 18.0
    pace.was_written(0.0, 0.0)
    assert pace.quiet_s(5.0) == 5.0


def test_a_file_waits_twice_its_own_longest_pause() -> None:
    """Never less than is set, and never longer than a quarter of an hour."""
    assert Pace().quiet_s(5.0, pause_s=4.0) == 8.0
    assert Pace().quiet_s(5.0, pause_s=1.0) == 5.0
    assert Pace().quiet_s(5.0, pause_s=800.0) == 900.0
    assert Pace().quiet_s(3600.0, pause_s=800.0) == 3600.0


def test_who_writes_an_hour_later_writes_anew() -> None:
    """A table to which a row is added now and then is not waited for."""
    pace = Pace()
    pace.was_written(3600.0, 3600.0)
    assert pace.quiet_s(5.0) == 5.0


def test_what_seems_unfinished_waits_as_long_as_files_take() -> None:
    """Twenty times the time to settle, or as long as one of the last files took."""
    pace = Pace()
    assert pace.longer_s(5.0) == 100.0
    pace.was_written(400.0, 3.0)
    assert pace.longer_s(5.0) == 400.0


@pytest.mark.parametrize(
    ("end", "short"),
    [
        (FileEnd(65, (1e5, 0.04)), True),
        (FileEnd(71, (1e5, 0.01)), False),
        (FileEnd(36, (1e5, 0.01)), False),  # coarser, but to the end
        (FileEnd(81, (1e5, 0.001)), False),  # further than usual
        (FileEnd(1), True),  # a single row runs nowhere
    ],
)
def test_a_sweep_is_short_of_the_usual_end(end: FileEnd, short: bool) -> None:
    """What counts is the frequency at which the last sweeps ended, not only how many rows."""
    pace = Pace()
    for _ in range(3):
        pace.ended("sweeps", SWEEP)
    assert pace.is_short("sweeps", end) is short
    assert not pace.is_short("other sweeps", end)


def test_two_usual_ends_are_both_whole() -> None:
    """Where sweeps end now here and now there, neither waits; what ends before both does."""
    pace = Pace()
    for last in (0.1, 0.01, 0.1, 0.01):
        pace.ended("sweeps", FileEnd(50, (1e5, last)))
    assert not pace.is_short("sweeps", FileEnd(50, (1e5, 0.1)))
    assert pace.is_short("sweeps", FileEnd(40, (1e5, 1.0)))


def test_one_file_makes_no_custom() -> None:
    """Of a layout that came once nothing is usual, and rows that differ each time are not."""
    pace = Pace()
    for rows in (4, 9, 6, 7):
        assert not pace.is_short("pull-off", FileEnd(rows))
        pace.ended("pull-off", FileEnd(rows))
    assert not pace.is_short("pull-off", FileEnd(3))


def test_what_was_learnt_can_be_kept() -> None:
    """The index gives back what it was given; what another version wrote is learnt anew."""
    pace = Pace()
    pace.was_written(400.0, 9.0)
    pace.ended("sweeps", SWEEP)
    pace.ended("pull-off", FileEnd(6))
    assert Pace.of_text(pace.as_text()) == pace
    for strange in ("", "[]", '{"written": 3}', '{"written": [], "ends": {"x": [[1]]}}'):
        assert Pace.of_text(strange) == Pace()
