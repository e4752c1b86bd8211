"""Every text that a result or a comparison can say has its German: the source is walked for them.

A report shows conditions, methods, flags, reasons, cautions and remarks as the rest of the program
says them. The example says some of them only.
"""

from __future__ import annotations

import ast
import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from test_only_german import is_english

from tiecoat.report.words import Language, speaking, translated

ROOT = Path(__file__).parents[2] / "core"
ROOMS = ("compare", "evaluate")
MODULES = ("remarks.py", "intake/checks/oddities.py", "intake/checks/spread.py")
FILES_OF_STUDIES = ("study_draft.py", "study_faults.py")  # what is written or wrong in them
SENTENCE = re.compile(r"[a-z]{2,},? [a-z(]", re.IGNORECASE)
FILLED = ("7", "RB-7", "0.5", "panel", "panels", "7 readings", "7 panels", "margin", "halved")
FEW = 3  # more fields than that are filled in by the first three only
TOLD = {"NotDeterminable", "NotComparable", "NotTested"}  # what else is raised reaches no page
NEVER_SHOWN = {
    "Pa s",  # the same in both languages, as are all units
    "Pa s^n",
    "ohm cm2",
    "s^n/(ohm cm2)",
    "ohm cm2/s^(1/2)",
    "% of modulus",
    "drawn at [0-9.]+",  # patterns, and what the archive says
    "coat (\\d+)",
    "system, dry",
    "better or not worse on {}",  # the report tells these in its own words
    "not firm on {}",
    "cannot tell on any property",
    "not worse (within the margin)",
    "as the study states",
    "probability of superiority",
    "the ratio of their rates",  # errors of a study file
    "the study names the {} {}, which has data but is not in the register: register it first",
    "the study names the {} {}, which the register does not hold{}",
    "the study names the dose {} %, which none of its batches has{}",
    "{} names the coat system {}, which no registered panel has{}",
    "the study",
    "the property {}",
    "no [[property]] of the study is {}; allowed are {}",
    "those that have a table",
    "against names {}, the control: every candidate is compared with it anyway",
    "against names {}, which is no candidate of the study{}",
    "why names {}, which no property and no result is called{}; tiecoat why lists all",
    "{} h of exposure",  # the fault of a held file, told as it was
    "one that the register knows",
    "after {} ({} in the register)",
    "after coat {} ({} in the register)",
    "not after {}, now",
}
AS_SAID = {  # what is a part of a sentence only, and such a sentence
    "the control": "the control RB-010 has one panel only: nothing tells its spread",
    "not comparable: {} of {} panels of {}{} begin below {} {}, the lowest at {}, and {} at {}:"
    " what begins low has little to lose": (
        "not comparable: 1 of 6 panels of the control RB-010 begin below 1e+08 ohm cm2, the lowest"
        " at 3e+07, and RB-011 at 9.6e+08: what begins low has little to lose"
    ),
    "is an outlier (Grubbs) and is kept": (
        "determination 5 of RB-018-3 (6.46 MPa) is an outlier (Grubbs) and is kept"
    ),
    "{}{} has {}: nothing tells its spread": "RB-011 has one panel only: nothing tells its spread",
    "with lower bounds as such (censored normal)": (
        "difference of means with lower bounds as such (censored normal), panels as unit"
    ),
    "of lower bounds": "ratio of geometric means of lower bounds, panels as unit",
    "mean of {}": "mean of 3 determinations at 23 °C",
    "Dunnett over {}": "Dunnett over 4, 16 degrees of freedom",
    "Tukey and Kramer over {} batches": "Tukey and Kramer over 5 batches, 16 degrees of freedom",
    "{}, {} degrees of freedom": "Dunnett over 4, 16 degrees of freedom",
    "{} as unit": "difference of means, determinations as unit",
    "Sidak over {}": "Poisson, exact interval; panels agree (dispersion p 0.4), Sidak over 4",
    "{}; {}s as unit": "mean by number; fields as unit",
    "share of the area; {} as unit": "share of the area; determinations as unit",
    "{}Wilcoxon-Mann-Whitney from {}, Sidak over {}": (
        "probability that a panel of the candidate is rated better than one of the control;"
        " Wilcoxon-Mann-Whitney from all splits, Sidak over 4; interval: Newcombe"
    ),
    "Welch of the rates{}": "difference of rates, panels as unit; Welch of the rates, Sidak over 3",
    "Welch of the logarithms of the rates{}": (
        "ratio of rates, panels as unit; Welch of the logarithms of the rates, Sidak over 3"
    ),
    "the panel {} has no data{}": "the panel RB-010-9 has no data; near it: RB-010-1",
    "no batch compared has the role control{}; name one in the study: nothing is compared": (
        "no batch compared has the role control; the register has RB-010; name one in the study:"
        " nothing is compared"
    ),
    "not comparable: the control {} has it of {}": (
        "not comparable: the control RB-010 has it of several together: primer and topcoat"
    ),
    "{} and lies beyond the margin": "the interval excludes equality and lies beyond the margin",
    "the whole interval lies within the margin{}": (
        "the whole interval lies within the margin; different for certain, but by less"
    ),
    "{}, where {} for at least {}": ("5 determinations, where the settings ask for at least 8"),
    "the settings ask": "1 determination, where the settings ask for at least 8",
    "{} without a place of failure: a lower bound if the glue failed": (
        "2 determinations without a place of failure: a lower bound if the glue failed"
    ),
    "{}: the plain mean is too low": (
        "2 of 6 determinations are lower bounds, the glue failed: the plain mean is too low"
    ),
    "normal, {}, maximum likelihood": "normal, 2 lower bounds, maximum likelihood",
    "lower bound": "normal, 1 lower bound, maximum likelihood",
    "the interval has no {} end": "the interval has no lower end",
    "least on {}, no bound for the whole film": "least on 12 fields, no bound for the whole film",
    "{} cut by the picture's edge left out of the sizes": (
        "3 pores cut by the picture's edge left out of the sizes"
    ),
    "sizes and distances lack {} that the archive does not have": (
        "sizes and distances lack 1 pore that the archive does not have"
    ),
    "{} defects too {} in defect_regions": "3 defects too few in defect_regions",
    "whole pore": "3 whole pores; it takes 30",
    "up to {over:.2g} % by volume too high: how much of Z' is the film's is not known": (
        "up to 0.45 % by volume too high: how much of Z' is the film's is not known"
    ),
    "the film was wet already at the first spectrum, {first:g} h: too low": (
        "the film was wet already at the first spectrum, 2 h: too low"
    ),
    "not identifiable: the spectrum sets no limit from {}": (
        "not identifiable: the spectrum sets no limit from above"
    ),
    "between measured points, interpolated straight in": (
        "between measured points, interpolated straight in lg-lg"
    ),
    "{} lg f": "between measured points, interpolated straight in lg f",
    "the phase only rises through -45 degrees {}": (
        "the phase only rises through -45 degrees from 0.01 to 1e+05 Hz"
    ),
    "the phase stays above -45 degrees {}": (
        "the phase stays above -45 degrees from 0.01 to 1e+05 Hz"
    ),
    "the phase stays below -45 degrees {}: the breakpoint lies lower": (
        "the phase stays below -45 degrees from 0.01 to 1e+05 Hz: the breakpoint lies lower"
    ),
    "all {} {}s are equal: their spread is not resolved": (
        "all 3 readings are equal: their spread is not resolved"
    ),
    "ratio of medians of log-normal times from intervals, panels as unit; by profile": (
        "ratio of medians of log-normal times from intervals, panels as unit; by profile, each"
        " batch with its own spread, Sidak over 3"
    ),
    "each batch with its own spread": (
        "ratio of medians of log-normal times from intervals, panels as unit; by profile, each"
        " batch with its own spread, Sidak over 3"
    ),
    "{} panels against {} {} come out better or worse": (
        "3 panels against 3 cannot come out better or worse: p is 0.1 at the least; 4 of each"
        " would do"
    ),
    "none, against {} counted on the control, {} come out better": (
        "none, against 3 counted on the control, cannot come out better: p is 0.25 at the least; 4"
        " of each would do"
    ),
    "by their order alone": (
        "3 panels against 3 cannot come out better or worse by their order alone: p is 0.1 at the"
        " least, 0.57 over 8 candidates, 1 over 5 properties too; 7 of each would do"
    ),
    "{} over {} properties too": (
        "3 panels against 3 cannot come out better or worse by their order alone: p is 0.1 at the"
        " least, 0.57 over 8 candidates, 1 over 5 properties too; 7 of each would do"
    ),
    "{}; {} of each would do": (
        "3 panels against 3 cannot come out better or worse by their order alone: p is 0.1 at the"
        " least, 0.57 over 8 candidates, 1 over 5 properties too; 7 of each would do"
    ),
    "only after other properties have": (
        "5 panels against 5 can come out better or worse only after other properties have: p is"
        " 0.0079 at the least, 0.04 over 5 properties too; 6 of each would do"
    ),
    "{} {} against {} {} come out better or worse{}{}: {}; {} of each would do": (
        "3 panels against 3 could not come out better or worse: p is 0.1 at the least; 4 of each"
        " would do"
    ),
    "could not": (
        "3 panels against 3 could not come out better or worse: p is 0.1 at the least; 4 of each"
        " would do"
    ),
    "each batch with its own spread, and by order (Mantel, Gehan) from {}": (
        "ratio of medians of log-normal times from intervals, panels as unit; by profile, each"
        " batch with its own spread, and by order (Mantel, Gehan) from all splits, Sidak over 3"
    ),
    "one spread for both": (
        "ratio of medians of log-normal times from intervals, panels as unit; by profile, one"
        " spread for both, Sidak over 3"
    ),
    "geometric mean": "geometric mean of panels, t interval over panels",
    "of panels, t interval over panels": "mean of panels, t interval over panels",
    "{} of panels, t interval over panels": "mean of panels, t interval over panels",
    "{}: none of the circuits tried describes the spectrum": (
        "the residuals follow a pattern: none of the circuits tried describes the spectrum"
    ),
    "another circuit describes the spectrum nearly as well": (
        "another circuit describes the spectrum nearly as well: film with pores or relaxing film"
    ),
    "{}: {}, which has none": (
        "another circuit describes the spectrum nearly as well: blocking film, which has none"
    ),
    "{}: {}, with another value": (
        "another circuit describes the spectrum nearly as well: film with pores, with another value"
    ),
    "the film failed between {}: {}": (
        "the film failed between 24 and 72 h: from 1e+09 to 2e+05 ohm cm2, and hardly any further"
    ),
    "the film failed within {} h: {}": (
        "the film failed within 24 h: from 1e+09 to 2e+05 ohm cm2, and hardly any further"
    ),
    "from {} to {} ohm cm2, and hardly any further": (
        "the film failed within 24 h: from 1e+09 to 2e+05 ohm cm2, and hardly any further"
    ),
    "fell by {} {}": "fell by 2.3 decades between two exposures: when between is open",
    "decades between two exposures: when between is open": (
        "fell by 2.3 decades between two exposures: when between is open"
    ),
    "the exposures leave it open": (
        "the exposures leave it open: something is known of 2 panels; a distribution needs 3 at"
        " least"
    ),
    "at least half have not crossed it by {} h": (
        "at least half have not crossed it by 168 h: only one panel reached it; two are needed"
    ),
    "crossed by {} h": (
        "crossed by 24 h: something is known of 2 panels; a distribution needs 3 at least"
    ),
    "after {} h and by {} h": (
        "after 24 h and by 72 h: something is known of 2 panels; a distribution needs 3 at least"
    ),
    "lg(Ct/C0)/lg(permittivity of water)": (
        "lg(Ct/C0)/lg(permittivity of water), C0 of the first spectrum of panel and spot (Brasher"
        " and Kingsbury 1954)"
    ),
    "C0 of the first spectrum of panel and spot": (
        "lg(Ct/C0)/lg(permittivity of water), C0 of the first spectrum of panel and spot (Brasher"
        " and Kingsbury 1954)"
    ),
    "C0 of the dry film, extrapolated by Fick's law": (
        "lg(Ct/C0)/lg(permittivity of water), C0 of the dry film, extrapolated by Fick's law"
        " (Brasher and Kingsbury 1954)"
    ),
    "(Brasher and Kingsbury 1954)": (
        "Fick's law, film on metal; interval by profile (Brasher and Kingsbury 1954)"
    ),
    "panels of several {}s together: {}": "panels of several substrates together: steel and zinc",
    "without a temperature": "2 of 3 runs without a temperature; the standard asks for 23 °C",
    "it is too low": (
        "2 of 3 runs beyond the range of the cup, 30 to 100 s, not in the mean: it is too low"
    ),
    "it is too high": (
        "2 of 3 runs beyond the range of the cup, 30 to 100 s, not in the mean: it is too high"
    ),
    "{} of {} runs beyond the range of the cup, {} to {} s, not in the mean{}": (
        "2 of 3 runs beyond the range of the cup, 30 to 100 s, not in the mean"
    ),
    "not determinable from rates above {} 1/s": (
        "not determinable from rates above 0.1 1/s: the points are described best by the Cross"
        " model, which has no yield stress; Bingham and Casson would do as well"
    ),
    "{}{} would describe the points without a yield stress as well as {} does with one": (
        "not determinable from rates above 0.1 1/s: power law, Cross would describe the points"
        " without a yield stress as well as Casson does with one"
    ),
    "rates above {} 1/s": (
        "whether there is a yield stress is not determinable from rates above 0.1 1/s"
    ),
    "whether there is a yield stress is not determinable from {}": (
        "whether there is a yield stress is not determinable from rates above 0.1 1/s"
    ),
    "measured at {}, {} {}": "measured at 2026-09-01, the panel was coated 2026-09-03",
    "beside {} others of {} from {} to {}": (
        "spread: strength_mpa 52 MPa beside 5 others of RB-010-1 from 4.8 to 5.3 (median 5)"
    ),
}


def modules() -> list[Path]:
    """Return the modules whose texts can reach a page."""
    found = [path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py"))]
    return [path for path in found if path.name not in FILES_OF_STUDIES] + [
        ROOT / name for name in MODULES
    ]


def unsaid(tree: ast.AST) -> set[int]:
    """Return the nodes of docstrings, parts of f-strings, annotations and errors."""
    found: set[int] = set()
    for node in ast.walk(tree):
        inner: list[ast.AST] = []
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef):
            first = node.body[0] if node.body else None
            inner = [first] if isinstance(first, ast.Expr) else []
        elif isinstance(node, ast.JoinedStr):
            for part in node.values:
                inside = [*ast.walk(part)]
                found |= {id(one) for one in inside if not _is_text_of_a_field(part, one)}
        elif isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
            inner = [] if getattr(node.exc.func, "id", "") in TOLD else [node]
        elif isinstance(node, ast.Assert):
            inner = [node.msg] if node.msg else []
        found |= {id(one) for each in inner for one in ast.walk(each)}
    return found


def _is_text_of_a_field(part: ast.expr, one: ast.AST) -> bool:
    """Whether it is a text of its own within a field, such as both ends of a choice."""
    return isinstance(part, ast.FormattedValue) and isinstance(one, ast.Constant)


def said(path: Path) -> Iterator[tuple[int, str, int]]:
    """Yield the texts of a module: line, text with its fields marked, and how many there are."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    left_out = unsaid(tree)
    for node in ast.walk(tree):
        if id(node) in left_out:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        elif isinstance(node, ast.JoinedStr):
            text = "".join(
                one.value if isinstance(one, ast.Constant) else "\0" for one in node.values
            )
        else:
            continue
        if SENTENCE.search(text):
            yield node.lineno, text.strip(" ;,:"), text.count("\0")


def has_german(text: str, fields: int) -> bool:
    """Whether it is translated whole with its fields filled in, by numbers or by names."""
    alike = [(value,) * fields for value in FILLED]  # found by most, and found fast
    fillings = FILLED if fields <= FEW else FILLED[:FEW]
    for values in itertools.chain(alike, itertools.product(fillings, repeat=fields)):
        filled = text
        for value in values:
            filled = filled.replace("\0", value, 1)
        german = translated(filled)
        if german != filled and not is_english(german):
            return True
    return False


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_every_text_that_can_reach_a_page_has_its_german(path: Path) -> None:
    """A new method, flag or reason without its German is named with its line."""
    lacking = []
    with speaking(Language.GERMAN):
        for line, text, fields in said(path):
            shown = text.replace("\0", "{}")
            whole = AS_SAID.get(shown)
            known = has_german(text, fields) if whole is None else has_german(whole, 0)
            if shown not in NEVER_SHOWN and not known:
                lacking.append(f"{path.name}:{line}: {shown}")
    assert lacking == []


def test_what_is_left_out_is_still_said() -> None:
    """A text that the program says no more is not excused any longer."""
    shown = {text.replace("\0", "{}") for path in modules() for _, text, _ in said(path)}
    assert shown >= NEVER_SHOWN | set(AS_SAID)


def test_a_text_without_its_german_is_found() -> None:
    """What tells that a text is lacking can fail."""
    with speaking(Language.GERMAN):
        assert has_german("{} readings left out: no numbers, or no denser than air".replace(
            "{}", "\0"), 1)  # fmt: skip
        assert not has_german("the gauge was not wound up before the reading", 0)
        assert not has_german("\0 gauges were not wound up", 1)
