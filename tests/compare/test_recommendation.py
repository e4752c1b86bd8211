"""A recommendation contradicts no verdict: none is made while what decides is open or untested."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import pytest
from study_tables import CRATERS, compared, panel_rows, register

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.recommendation import (
    Lack,
    Missing,
    Recommendation,
    lack_of,
    ranking_of,
    recommendations,
    recommended,
)
from tiecoat.compare.study import Study, load_study
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.errors import SettingInvalid
from tiecoat.report.recommended import application_rows, recommendation_words, share_words

STUDY = """
[[property]]
name = "gloss"
kind = "film"
quantity = "gloss"
margin = 5
[[property]]
name = "haze"
kind = "film"
quantity = "haze"
direction = "lower"
margin = 2
[[property]]
name = "adhesion"
kind = "film"
quantity = "adhesion"
margin = 1
"""
VALUES = {
    "gloss": {"RB-010": [80, 80.1, 79.9], "RB-011": [90, 90.1, 89.9], "RB-012": [82, 82.1, 81.9]},
    "haze": {"RB-010": [5, 5.02, 4.98], "RB-011": [4, 4.02, 3.98], "RB-012": [4.9, 4.92, 4.88]},
    "adhesion": {"RB-010": [7, 7.1, 6.9], "RB-011": [7.2, 7.3, 7.1], "RB-012": [6.9, 7, 6.8]},
}
TALC, MICA = "5 % talc", "5 % mica"
WITHIN = "of the recalculations within the scatter of the data"


def found(study: str, **changed: dict[str, list[float]]) -> Comparison:
    """Compare the batches, with other values of some properties."""
    values = {**VALUES, **changed}
    table = pd.concat([panel_rows(name, of, unit="GU") for name, of in values.items() if of])
    names = {"RB-011": "talc", "RB-012": "mica"}
    batches = register(["RB-010", "RB-011", "RB-012"], candidates=names)
    return compared(table, study, kind="film", batches=batches)


def told(comparison: Comparison) -> Recommendation:
    """Return the recommendation of the study itself."""
    return recommended("", comparison, *ranking_of(comparison))


def test_a_clear_first_without_anything_open_is_recommended() -> None:
    """With its share of the draws and what its verdicts say."""
    one = told(found(STUDY))
    assert (one.batch, one.missing) == ("RB-011", ())
    assert one.ranking is not None
    assert recommendation_words(one) == (
        f"Recommended is {TALC}. It comes first in {share_words(one.ranking.share)} {WITHIN}, and"
        " with each margin and weight halved and doubled. It is better on gloss and haze."
    )


def test_a_recommendation_keeps_the_condition_of_its_verdicts() -> None:
    """What is better only if panels differ by chance alone is never told as better."""
    raw = pd.DataFrame(
        {
            "batch": ["RB-010"] * 3 + ["RB-011"] * 3,
            "panel": [f"RB-01{batch}-{n}" for batch in (0, 1) for n in range(3)],
            "craters": [4.0, 3, 4, 0, 1, 0],
            "area_cm2": 100.0,
        }
    )
    text = CRATERS + "ideal = 0.002\nunacceptable = 0.06\n"
    table = panel_rows("gloss", {"RB-010": [1.0], "RB-011": [1.0]})
    one = told(compared(table, text, raw={"defects": raw}, kind="defects"))
    assert one.comparison.verdicts[0].standing is Firmness.CONDITIONAL
    assert recommendation_words(one).endswith(
        " and with each margin and weight halved and doubled. It is better on craters, if panels"
        " differ by chance alone."
    )


def test_while_a_decisive_property_is_open_nothing_is_recommended() -> None:
    """Adhesion that scatters decides: first in the draws, and cannot tell."""
    wide = {"RB-010": [7, 7.1, 6.9], "RB-011": [7.9, 5.2, 9.1], "RB-012": [6.9, 7, 6.8]}
    study = STUDY + "decisive = true\nweight = 0.1\n"
    one = told(found(study, adhesion=wide))
    assert (one.first, one.batch) == ("RB-011", "")
    assert one.missing == (Missing("adhesion", Lack.OPEN, needed=40, units="panels"),)
    assert recommendation_words(one) == (
        f"No recommendation yet. {TALC} leads. Missing: adhesion, cannot tell. It would take 40"
        f" panels of each for adhesion. Next is {MICA}, first in 20 % of the recalculations. It is"
        " better on gloss and haze."
    )
    open_only = told(
        found(STUDY.replace("margin = 1\n", "margin = 1\nweight = 0.1\n"), adhesion=wide)
    )
    assert open_only.batch == "RB-011"
    assert recommendation_words(open_only).endswith(
        " It is better on gloss and haze. Open is adhesion."
    )


def test_what_is_untested_keeps_the_recommendation_back_and_is_named() -> None:
    """No adhesion was measured at all: the ranking of the rest recommends nobody."""
    one = told(found(STUDY, adhesion={}))
    assert (one.first, one.batch) == ("RB-011", "")
    assert one.missing == (Missing("adhesion", Lack.UNTESTED),)
    assert " Missing: adhesion, untested." in recommendation_words(one)
    left_out = told(found(STUDY + "weight = 0\n", adhesion={}))
    assert left_out.batch == "RB-011"


def test_where_each_lacks_something_it_is_named_with_how_many() -> None:
    """Neither candidate has all: nothing is ranked, and what is lacking of whom is told."""
    lacking = {batch: VALUES["adhesion"][batch] for batch in ("RB-010", "RB-012")}
    hazeless = {batch: VALUES["haze"][batch] for batch in ("RB-010", "RB-011")}
    one = told(found(STUDY, adhesion=lacking, haze=hazeless))
    assert recommendation_words(one) == (
        "No recommendation yet. There is no ranking: nothing can be ranked. Missing: haze"
        f" ({MICA}) and adhesion ({TALC}), untested."
    )


def test_nobody_is_recommended_before_a_candidate_without_a_place() -> None:
    """It was not tested on something that counts, and may be the better one."""
    hazeless = {batch: VALUES["haze"][batch] for batch in ("RB-010", "RB-012")}
    study = STUDY.replace("direction", "decisive = true\ndirection")
    for text in (STUDY, study):
        one = told(found(text, haze=hazeless))
        assert one.batch == ""
        assert one.missing == (Missing("haze", Lack.UNTESTED, ("RB-011",)),)
        assert f" Missing: haze ({TALC}), untested." in recommendation_words(one)


def test_what_does_not_decide_takes_no_candidate_out_of_the_ranking() -> None:
    """Where the study says what does, a property that a candidate lacks is left out instead."""
    hazeless = {batch: VALUES["haze"][batch] for batch in ("RB-010", "RB-012")}
    one = told(found(STUDY + "decisive = true\n", haze=hazeless))
    assert one.ranking is not None
    assert one.ranking.problems == (
        "haze is left out of the ranking: no value of RB-011, and it is not decisive",
    )
    assert one.batch == "RB-011"


def test_what_has_a_weight_and_is_not_ranked_is_told_beside_the_recommendation() -> None:
    """One batch without a value takes the property out of the ranking of all."""
    decisive = STUDY.replace("margin = 5", "margin = 5\ndecisive = true")
    haze = {name: of for name, of in VALUES["haze"].items() if name != "RB-012"}
    told_of = recommendation_words(told(found(decisive, haze=haze)))
    assert told_of.endswith(" Not weighed, as the ranking says: haze.")
    weightless = decisive.replace("margin = 2", "margin = 2\nweight = 0")
    assert "Not weighed" not in recommendation_words(told(found(weightless, haze=haze)))


def test_harm_on_a_decisive_property_is_never_recommended() -> None:
    """It does not weigh in the ranking, and it decides: firmly worse is the first there."""
    bad = {"RB-010": [7, 7.02, 6.98], "RB-011": [4, 4.02, 3.98], "RB-012": [7, 7.02, 6.98]}
    one = told(found(STUDY + "decisive = true\nweight = 0\n", adhesion=bad))
    assert [(x.property, x.lack) for x in one.missing] == [("adhesion", Lack.WORSE)]
    assert recommendation_words(one) == (
        f"No recommendation. {TALC} leads. But it is worse on adhesion. Far behind comes {MICA}."
    )


def test_who_is_worse_on_what_decides_is_no_next_best() -> None:
    """Mica is second in rank, and worse on the adhesion that decides: the control is next."""
    bad = {"RB-010": [7, 7.02, 6.98], "RB-011": [9, 5, 7], "RB-012": [4, 4.02, 3.98]}
    one = told(found(STUDY + "decisive = true\nweight = 0\n", adhesion=bad))
    assert one.ranking is not None
    assert one.ranking.table["batch"].tolist() == ["RB-011", "RB-012", "RB-010"]
    assert (one.leading, one.next_best) == ("RB-011", "RB-010")
    assert recommendation_words(one).endswith(" Far behind comes the control.")


def test_what_is_shown_on_a_condition_only_is_told_with_it() -> None:
    """Where it decides, as what is missing; else with the recommendation."""
    comparison = found(STUDY)
    condition = "if panels differ by chance alone"
    held = replace(
        comparison,
        verdicts=[
            replace(one, standing=Firmness.CONDITIONAL, condition=condition)
            if (one.batch, one.property) == ("RB-011", "gloss")
            else one
            for one in comparison.verdicts
        ],
    )
    assert recommendation_words(told(held)).endswith(
        f" It is better on haze. It is better on gloss, {condition}."
    )
    decides = STUDY.replace('quantity = "gloss"', 'quantity = "gloss"\ndecisive = true')
    words = recommendation_words(told(replace(found(decides), verdicts=held.verdicts)))
    assert words.startswith(
        f"No recommendation yet. {TALC} leads. Missing: gloss, shown only {condition}. "
    )


@pytest.mark.parametrize(
    ("outcome", "standing", "n", "lack"),
    [
        (VerdictWord.BETTER, Firmness.FIRM, 3, None),
        (VerdictWord.NOT_WORSE, Firmness.STATED, 3, None),
        (VerdictWord.NOT_WORSE, Firmness.CONDITIONAL, 3, Lack.CONDITIONAL),
        (VerdictWord.WORSE, Firmness.CONDITIONAL, 3, Lack.WORSE),
        (VerdictWord.SIGNS_OF_HARM, Firmness.FIRM, 3, Lack.SIGNS),
        (VerdictWord.CANNOT_TELL, Firmness.FIRM, 3, Lack.OPEN),
        (VerdictWord.CANNOT_TELL, Firmness.FIRM, 0, Lack.UNTESTED),
    ],
)
def test_what_each_verdict_means_for_a_recommendation(
    outcome: VerdictWord, standing: Firmness, n: int, lack: Lack | None
) -> None:
    """Only a claim that stands, and is no harm, lets its batch through."""
    one = found(STUDY).verdicts[0]
    assert lack_of(replace(one, outcome=outcome, standing=standing, n=n)) is lack


USES = (
    STUDY
    + """
[application.roller]
weight = { haze = 5, gloss = 0.2 }
margin = { gloss = 4 }

[application.airless]
weight = { gloss = 5, haze = 0.2 }
decisive = ["adhesion"]
"""
)


def test_each_application_has_its_own_recommendation() -> None:
    """Who weighs haze gets mica, who weighs gloss gets talc; margins of its own judge anew."""
    hazy = {**VALUES, "haze": {**VALUES["haze"], "RB-012": [1, 1.02, 0.98]}}
    comparison = found(USES, haze=hazy["haze"])
    asked: list[Study] = []

    def again(study: Study) -> Comparison:
        asked.append(study)
        table = pd.concat([panel_rows(name, of, unit="GU") for name, of in hazy.items()])
        return compared(
            table, study, kind="film", batches=comparison.batches.reset_index(drop=True)
        )

    both = recommendations(comparison, ranking_of(comparison), again)
    assert {one.application: one.batch for one in both} == {"roller": "RB-012", "airless": "RB-011"}
    assert [one.property[0].margin for one in asked] == [4]  # weights alone judge nothing anew
    roller, airless = both
    assert {one.limit_low for one in roller.verdicts(roller.first) if one.property == "gloss"} == {
        -4
    }
    assert [one.decisive for one in airless.comparison.properties] == [False, False, True]
    assert recommendation_words(roller).startswith(
        f"roller: Recommended is {MICA}. It comes first in "
    )
    assert application_rows(both)[0][:2] == [
        "roller",
        "weight of haze 5; weight of gloss 0.2; margin of gloss 4",
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (
            "[application.roller]\nweight = { glos = 2 }",
            (
                "line 20: application.roller.weight: no [[property]] of the study is 'glos';"
                " allowed are 'gloss'"
            ),
        ),
        (
            "[application.roller]\nmargin_percent = { adhesion = 20 }\nmargin = { adhesion = 1 }",
            (
                "line 21: application.roller.margin: adhesion: both margin and margin_percent;"
                " allowed is one of them"
            ),
        ),
        (
            '[application.roller]\ndecisive = [["glos", "epoxy primer"]]',
            "line 20: application.roller.decisive: no [[property]] of the study is 'glos'",
        ),
        (
            '[application.roller]\nmargin = { gloss = { "epoxy primer" = "x" } }',
            "line 20: application.roller.margin.gloss.epoxy primer = 'x': allowed is a number",
        ),
        (
            "[application.roller]\nwieght = { gloss = 2 }",
            (
                "line 20: application.roller.wieght: there is no such key; did you mean 'weight'?"
                " allowed are weight, margin, margin_percent, decisive; such as weight = 2"
            ),
        ),
        (
            "[application.roller]\nweight = 2",
            (
                "line 20: application.roller.weight: found weight = 2;"
                " expected weight = { modulus = 2 }"
            ),
        ),
        (
            "[application.roller]\nweight = { gloss = -2 }",
            "allowed is greater than or equal to 0, such as weight = { modulus = 2 }",
        ),
    ],
)
def test_an_application_that_cannot_be_followed_is_refused_in_words(text: str, fault: str) -> None:
    """Which one, what was found, and what is allowed."""
    with pytest.raises(SettingInvalid) as caught:
        load_study(f"{STUDY}\n{text}")
    assert fault in str(caught.value)


def test_what_is_not_recommended_names_the_next_best_and_what_would_decide() -> None:
    """Two that are near each other, on one of which adhesion is open: how many panels would do."""
    near = {"RB-010": [80, 80.1, 79.9], "RB-011": [90, 90.1, 89.9], "RB-012": [89.9, 90, 90.1]}
    wide = {"RB-010": [7, 7.1, 6.9], "RB-011": [7.9, 5.2, 9.1], "RB-012": [7.2, 7.3, 7.1]}
    one = told(found(STUDY, gloss=near, haze=VALUES["haze"], adhesion=wide))
    assert one.batch == ""
    assert {one.leading, one.next_best} == {"RB-011", "RB-012"}
    (lacking,) = one.undecided
    assert (lacking.property, lacking.lack, lacking.batches) == (
        "adhesion",
        Lack.OPEN,
        ("RB-011",),
    )
    assert lacking.needed is not None
    assert lacking.needed > 3
    assert one.ranking is not None
    who, share = TALC if one.next_best == "RB-011" else MICA, one.ranking.chances[1][one.next_best]
    words = recommendation_words(one)
    next_words = (
        f" Next is {who}, first in {share_words(share)} of the recalculations. It is better"
    )
    assert next_words in words
    assert words.endswith(
        f" To decide between the two it would take {lacking.needed} panels of each for adhesion."
    )


GLOSS = STUDY[: STUDY.index('[[property]]\nname = "haze"')]


def test_who_is_first_in_more_draws_than_the_first_in_rank_is_named_with_both_numbers() -> None:
    """Mica is mostly a little better than talc, and at times far worse: its mean is the lower one.

    By hand: 5 below the control's 80 is 0, the best mean, 85.5, is 1; so talc at 85 has 10 / 10.5,
    or 0.95. Mica, 85.5 with a standard error of 2 / sqrt(3), is above 85 where Student's t of 2
    degrees of freedom is above -0.433: in 0.5 + 0.433 / (2 sqrt(2 + 0.433^2)), or 65 %, of draws.
    """
    gloss = {
        "RB-010": [80, 80.01, 79.99],
        "RB-011": [85, 85.01, 84.99],
        "RB-012": [85.5, 87.5, 83.5],
    }
    one = told(found(GLOSS, gloss=gloss, haze={}, adhesion={}))
    assert one.ranking is not None
    assert (one.leading, one.next_best) == ("RB-011", "RB-012")
    less, more = one.ranking.share, float(one.ranking.chances[1]["RB-012"])
    assert (less, more) == (pytest.approx(0.35, abs=0.03), pytest.approx(0.65, abs=0.03))
    mica = float(one.ranking.table.set_index("batch")["desirability"]["RB-012"])
    assert 0.9 < mica < 0.945
    assert recommendation_words(one).startswith(
        f"No recommendation yet. {TALC} leads, but not surely: it comes first in"
        f" {share_words(less)} {WITHIN}, and 80 % are asked. Next is {MICA}, first in"
        f" {share_words(more)} of the recalculations. {MICA} comes first more often"
        f" ({share_words(more)} against {share_words(less)}), but on the average of all"
        f" recalculations {TALC} stands better: 0.95 against {mica:.2f} on a scale from 0 to 1."
    )
    sure = {**gloss, "RB-012": [84.8, 84.9, 84.7]}
    assert "more often" not in recommendation_words(
        told(found(GLOSS, gloss=sure, haze={}, adhesion={}))
    )


def test_where_nothing_is_open_what_is_wanted_decides() -> None:
    """Each is the better one on a property, and all is settled: no further panel would help."""
    haze = {"RB-010": [5, 5.02, 4.98], "RB-011": [4.9, 4.92, 4.88], "RB-012": [2, 2.02, 1.98]}
    adhesion = {b: [7, 7.02, 6.98] for b in VALUES["adhesion"]}
    one = told(found(STUDY, haze=haze, adhesion=adhesion))
    assert (one.batch, one.undecided) == ("", ())
    assert one.next_best in {"RB-011", "RB-012"}
    assert recommendation_words(one).endswith(
        "On neither of the two anything is open: how much each property weighs decides between"
        " them, and that is for the responsible person to say."
    )


def test_what_is_wanted_decides_nothing_where_one_is_never_behind() -> None:
    """Both are better on both properties, by about as much: it is not the weights that decide."""
    gloss = {"RB-010": [80, 80.5, 79.5], "RB-011": [90, 91, 89], "RB-012": [89.9, 90.9, 88.9]}
    haze = {"RB-010": [9, 9.1, 8.9], "RB-011": [4, 4.2, 3.8], "RB-012": [4, 4.2, 3.8]}
    study = STUDY[: STUDY.index('[[property]]\nname = "adhesion"')]
    one = told(found(study, gloss=gloss, haze=haze, adhesion={}))
    assert {x.outcome for x in one.comparison.verdicts} == {VerdictWord.BETTER}
    assert (one.batch, one.first, one.undecided) == ("", "", ())
    assert not one.weights_decide
    leading, behind = (TALC, MICA) if one.leading == "RB-011" else (MICA, TALC)
    assert recommendation_words(one).endswith(
        f" On neither of the two anything is open, and {behind} is ahead of {leading} on"
        " nothing that is weighed: they lie too close together to be told apart."
    )


def test_who_is_recommended_needs_no_next_best() -> None:
    """A recommendation names one."""
    one = told(found(STUDY))
    assert (one.batch, one.leading, one.next_best, one.undecided) == ("RB-011", "", "", ())
