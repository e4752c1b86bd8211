"""What `tiecoat compare` shows: the matrix first, the summary, then what is open or worse."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace

import pandas as pd
import pytest
from rich.console import Console
from study_tables import compared, panel_rows, register

from tiecoat.cli.verdict_screen import overview_table, show_verdicts, summary
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.recommendation import Recommendation, ranking_of, recommended
from tiecoat.compare.strength import steps_rule
from tiecoat.compare.verdict import Firmness

VALUES = {
    "gloss": {"RB-010": [80, 81, 79.0], "RB-011": [80.5, 79.5, 80], "RB-012": [60, 61, 59.0]},
    "haze": {"RB-010": [5, 5.2, 4.8], "RB-011": [3, 3.2, 2.8], "RB-012": [5.1, 5.3, 4.9]},
}
STUDY = "".join(
    f'[[property]]\nname = "{name}"\nkind = "gloss"\nquantity = "{name}"\n{more}\n'
    for name, more in (("gloss", "margin = 5"), ("haze", 'margin = 1\ndirection = "lower"'))
)
ONLY_GLOSS = STUDY[: STUDY.index('[[property]]\nname = "haze"')]
FIRST = "5 % talc of the second delivery (RB-011)"
SECOND = "5 % [red]talc[/] (RB-012)"


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    """One candidate that is better on haze, and one that is worse on gloss."""
    table = pd.concat([panel_rows(name, one, unit="GU") for name, one in VALUES.items()])
    names = {"RB-011": "talc of the second delivery", "RB-012": "[red]talc[/]"}
    return compared(table, STUDY, batches=register(list(VALUES["gloss"]), candidates=names))


def screen(
    comparison: Comparison, told: Sequence[Recommendation] = (), *, everything: bool = False
) -> list[str]:
    """Return the lines on a terminal of 80 columns, without the spaces at their ends."""
    console = Console(file=io.StringIO(), width=80)
    show_verdicts(comparison, console, told, everything=everything)
    assert isinstance(console.file, io.StringIO)
    return [line.rstrip() for line in console.file.getvalue().splitlines()]


def test_the_matrix_comes_first_with_candidates_by_name(comparison: Comparison) -> None:
    """A row a candidate, dose and name before the batch; markup in a name stays text.

    One to three signs tell the step: gloss is worse by 20 with a margin of 5, haze better by 2
    with a margin of 1.
    """
    lines = screen(comparison)
    assert lines[:5] == [
        f"against RB-010{' ' * 29}1   2",
        f"{FIRST}   ●   ▲▲",
        f"{SECOND}{' ' * (len(FIRST) - len(SECOND))}  ▼▼▼  ●",
        "▲ better   ● not worse   ▼ worse   ! signs of harm   ? cannot tell",
        "empty: not tested",
    ]
    rule = " ".join(steps_rule(comparison.properties))
    begin = lines.index("1 gloss")
    assert " ".join(lines[5:begin]) == rule
    assert lines[begin : begin + 4] == [
        "1 gloss",
        "  harm: more than 5 GU below the control",
        "2 haze",
        "  harm: more than 1 GU above the control",
    ]


def test_what_counts_as_harm_is_told_and_what_of_it_is_a_preset() -> None:
    """A margin of the study stands plainly; one that comes with the program is marked as such."""
    study = '[[property]]\nname = "time to a limit"\n'
    limit = "below 1e+08 ohm cm2 at 0.1 Hz"
    hours = {"RB-010": [50.0, 60, 70], "RB-011": [55.0, 65, 75]}
    table = panel_rows("time_to_limit", hours, unit="h", condition=limit)
    table = table.assign(low=table["value"] - 5, high=table["value"] + 5)
    shown = " ".join(" ".join(screen(compared(table, study, kind="impedance"))).split())
    assert "harm: more than 50 % below the control (preset)" in shown
    assert "Margins marked preset come with the program" in shown
    stated = " ".join(
        " ".join(screen(compared(table, study + "margin_percent = 30", kind="impedance"))).split()
    )
    assert "harm: more than 30 % below the control" in stated
    assert "preset" not in stated


def test_it_fits_80_columns(comparison: Comparison) -> None:
    """No line is longer, whether all of it is shown or not."""
    for everything in (False, True):
        assert max(map(len, screen(comparison, everything=everything))) <= 80


def test_the_summary_names_the_properties_and_every_candidate(comparison: Comparison) -> None:
    """Who is shown to do no harm on what, and what is against each other one."""
    told = list(summary(comparison, [recommended("", comparison, *ranking_of(comparison))]))
    assert told == [
        f"Shown to do no harm on gloss, haze: {FIRST}.",
        f"{SECOND}: worse on gloss.",
        comparison.joint_error,
        (
            "Recommended is 5 % talc of the second delivery. It comes first in 98 % of the"
            " recalculations within the scatter of the data, and with each margin and weight halved"
            " and doubled. It is better on haze."
        ),
        "No recipe in the archive has several batches: how batches differ is not known.",
    ]
    assert comparison.joint_error != ""
    assert not any("no harm shown" in line for line in screen(comparison))


def test_a_candidate_of_which_nothing_can_be_told_is_in_the_summary() -> None:
    """It has its own sentence, not only a sign in the matrix."""
    table = panel_rows("gloss", {"RB-010": [80, 90, 70.0], "RB-011": [81, 90, 72.0]})
    told = list(summary(compared(table, ONLY_GLOSS), ()))
    assert told == [
        "Shown to do no harm on gloss: no candidate.",
        "5 % filler RB-011 (RB-011): cannot tell on gloss.",
    ]


def test_only_what_is_open_or_worse_is_told_in_detail(comparison: Comparison) -> None:
    """Gloss has one that is worse; haze has none, and comes with --all only."""
    few, every = screen(comparison), screen(comparison, everything=True)
    titles = ("gloss", "haze")
    assert [line for line in few if line in titles] == ["gloss"]
    assert [line for line in every if line in titles] == ["gloss", "haze"]
    assert f"{comparison.adjusted} The other verdicts: --all." in " ".join(few)
    assert comparison.adjusted in " ".join(every)
    assert "The other verdicts" not in " ".join(every)


def test_verdict_and_reason_stand_in_two_columns(comparison: Comparison) -> None:
    """The columns begin where their headings do, and the reason is whole in its own."""
    lines = screen(comparison)
    start = lines.index("gloss")
    head, *rows = lines[start + 1 :]
    verdict, why = head.index("verdict"), head.index("why")
    rows = rows[: next(n for n, line in enumerate(rows) if line.startswith("control"))]
    assert rows[0][verdict:why].strip() == "worse"
    told = " ".join(line[why:].strip() for line in rows).strip()
    assert told == "the interval excludes equality and lies beyond the margin"


def test_what_stands_on_a_condition_is_hollow_and_says_so(comparison: Comparison) -> None:
    """In the matrix, its legend, the summary and the table."""
    condition = "if the panels of all batches scatter alike"
    verdicts = tuple(
        replace(one, standing=Firmness.CONDITIONAL, condition=condition)
        for one in comparison.verdicts
    )
    changed = replace(comparison, verdicts=verdicts)
    lines = screen(changed, everything=True)
    assert lines[1].endswith("○   △△")
    assert lines[2].endswith("▽▽▽  ○")
    assert lines[5] == "△ ○ ▽   the same, only if the panels of all batches scatter alike"
    assert list(summary(changed, ()))[:3] == [
        "Shown to do no harm on gloss, haze: no candidate.",
        f"Only if the panels of all batches scatter alike: {FIRST}.",
        f"{SECOND}: worse, {condition}, on gloss.",
    ]
    assert len(overview_table(changed).rows) == 2


def test_the_legend_and_the_summary_tell_the_conditions_that_there_are(
    comparison: Comparison,
) -> None:
    """Counts stand on chance, and not on panels that scatter alike."""
    chance, alike = "if panels differ by chance alone", "if the panels of all batches scatter alike"
    verdicts = tuple(
        replace(
            one,
            standing=Firmness.CONDITIONAL,
            condition=chance if one.property == "gloss" else alike,
        )
        for one in comparison.verdicts
    )
    changed = replace(comparison, verdicts=verdicts)
    legend = " ".join(screen(changed, everything=True)[5:7])
    assert legend == f"△ ○ ▽   the same, only {chance} or {alike}"
    told = list(summary(changed, ()))
    assert told[1:3] == [
        f"Only {chance} and {alike}: {FIRST}.",
        f"{SECOND}: worse, {chance}, on gloss.",
    ]


def test_what_is_filed_and_not_compared_is_on_the_screen() -> None:
    """Below the summary, a line each."""
    table = pd.concat(
        [panel_rows("gloss", VALUES["gloss"], condition=angle) for angle in ("20 deg", "60 deg")]
    )
    asked = ONLY_GLOSS + 'condition = "60 deg"\n'
    lines = screen(compared(table, asked))
    at = lines.index("Filed for these batches, and not compared:")
    assert lines[at + 1] == ("  gloss, 20 deg (RB-010, RB-011, RB-012): the study does not name it")
