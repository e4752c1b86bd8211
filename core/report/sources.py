"""Where the methods come from: the references behind what a report names."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence

import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.properties import Property
from tiecoat.compare.result_rows import is_near
from tiecoat.compare.samples import Sample
from tiecoat.report.evidence import single_tests
from tiecoat.report.labels import title_of
from tiecoat.report.words import joined, say, say_counted

# Word in a method, and the reference. Journal, volume, year and first page were looked up in what
# cites them (documentation of scipy and R packages, published reference lists), but for Hsu and
# Mansfeld, Orchard, and the books, which are from memory.
REFERENCES: Mapping[str, str] = {
    "Dunnett": "C. W. Dunnett, J. Am. Stat. Assoc. 50 (1955) 1096",
    "Welch": "B. L. Welch, Biometrika 34 (1947) 28",
    "Sidak": "Z. Šidák, J. Am. Stat. Assoc. 62 (1967) 626",
    "Games-Howell": "P. A. Games, J. F. Howell, J. Educ. Stat. 1 (1976) 113",
    "Holm": "S. Holm, Scand. J. Stat. 6 (1979) 65",
    "Wilcoxon-Mann-Whitney": "H. B. Mann, D. R. Whitney, Ann. Math. Stat. 18 (1947) 50",
    "Newcombe": "R. G. Newcombe, Stat. Med. 25 (2006) 543 and 559",
    "Derringer and Suich": "G. Derringer, R. Suich, J. Qual. Technol. 12 (1980) 214",
    "Student's t": "Student, Biometrika 6 (1908) 1",
    "Draper and Smith": "N. R. Draper, H. Smith, Applied Regression Analysis, Wiley, 1966",
    "Lawless": (
        "J. F. Lawless, Statistical Models and Methods for Lifetime Data, 2nd ed., Wiley, 2003"
    ),
    "Mantel": "N. Mantel, Biometrics 23 (1967) 65",
    "Gehan": "E. A. Gehan, Biometrika 52 (1965) 203",
    "Kaplan-Meier": "E. L. Kaplan, P. Meier, J. Am. Stat. Assoc. 53 (1958) 457",
    "Grubbs": "F. E. Grubbs, Technometrics 11 (1969) 1",
    "Brasher and Kingsbury": "D. M. Brasher, A. H. Kingsbury, J. Appl. Chem. 4 (1954) 62",
    "Boukamp": "B. A. Boukamp, J. Electrochem. Soc. 142 (1995) 1885",
    "Schoenleber": "M. Schönleber, D. Klotz, E. Ivers-Tiffée, Electrochim. Acta 131 (2014) 20",
    "Garwood": "F. Garwood, Biometrika 28 (1936) 437",
    "Turnbull": "B. W. Turnbull, J. R. Stat. Soc. B 38 (1976) 290",
    "Bacon, Smith and Rugg": "R. C. Bacon, J. J. Smith, F. M. Rugg, Ind. Eng. Chem. 40 (1948) 161",
    "Brug": "G. J. Brug et al., J. Electroanal. Chem. 176 (1984) 275",
    "Hsu and Mansfeld": "C. H. Hsu, F. Mansfeld, Corrosion 57 (2001) 747",
    "Hurvich and Tsai": "C. M. Hurvich, C.-L. Tsai, Biometrika 76 (1989) 297",
    "Delesse": "A. Delesse, Annales des Mines, 4th series, 13 (1848) 379",
    "Saltykov": "S. A. Saltykov, Stereometric Metallography, 2nd ed., Moscow 1958",
    "Orchard": "S. E. Orchard, Appl. Sci. Res. A 11 (1962) 451",
    "ISO 4624": "ISO 4624, Paints and varnishes: pull-off test for adhesion",
    "ISO 4628-3": "ISO 4628-3, Paints and varnishes: assessment of degree of rusting",
    "ISO 4628-8": "ISO 4628-8, Paints and varnishes: delamination and corrosion around a scribe",
    "ISO 19840": "ISO 19840, Paints and varnishes: dry film thickness on rough surfaces",
    "ISO 9227": "ISO 9227, Corrosion tests in artificial atmospheres: salt spray tests",
    "ASTM D610": "ASTM D610, Evaluating degree of rusting on painted steel surfaces",
}
TESTS = ("kramers_kronig_passes", "grubbs_statistic")
NUMBER = re.compile(r"(?<![A-Za-z])\d+(?:\.\d+)?(?:e[-+]?\d+)?")
ALWAYS = {
    "does no harm": "R. L. Berger, Technometrics 24 (1982) 295 (all properties must hold at once)",
}


def method_rows(data: StudyData) -> list[tuple[str, str, str]]:
    """Return for each property what it is, how it was computed and how it was compared."""
    told = []
    for wanted in data.comparison.properties:
        found = data.comparison.samples.get(wanted.label, {})
        samples = [one for one in found.values() if isinstance(one, Sample)]
        how = [_sizes(samples)] if samples else []
        if wanted.method == "strengths":
            how += _of_strengths(data, wanted, samples)
        else:
            how += _distinct(_methods(data.results.get(wanted.kind), wanted, samples))
        verdicts = [one for one in data.comparison.verdicts if one.property == wanted.label]
        compared = _distinct(one.method for one in verdicts)
        told.append((title_of(wanted), "\n".join(how), "\n".join(compared)))
    return told


def tests_named(data: StudyData) -> list[str]:
    """Return the methods of the tests of the data that a report tells of besides the properties."""
    told = [
        method
        for table in data.results.values()
        if "quantity" in table
        for method in table.loc[table["quantity"].isin(TESTS), "method"].unique().tolist()
    ]
    return [*told, *(["ISO 4624"] if "pull_off" in data.rows else [])]


def references(texts: Iterable[str]) -> list[tuple[str, str]]:
    """Return what texts name, each with its reference.

    Examples
    --------
    >>> references(["Welch, Sidak over 8"])[0]
    ('Welch', 'B. L. Welch, Biometrika 34 (1947) 28')
    """
    whole = "\n".join(texts)
    found = [(name, text) for name, text in REFERENCES.items() if name in whole]
    return [*found, *ALWAYS.items()]


def _sizes(samples: Sequence[Sample]) -> str:
    """Return how many panels or determinations of each batch are compared."""
    by_size: dict[tuple[int, str], list[str]] = {}
    for one in samples:
        by_size.setdefault((one.n, one.counted_as), []).append(one.batch)
    if len(by_size) == 1:
        ((n, noun),) = by_size
        return say("{number} of each batch", number=_counted(n, noun))
    parts = [
        say("{number} of {names}", number=_counted(n, noun), names=joined(batches))
        for (n, noun), batches in by_size.items()
    ]
    return "; ".join(parts)


def _counted(n: int, noun: str) -> str:
    return say_counted(n, "panel") if noun == "panel" else say_counted(n, "determination")


def _of_strengths(data: StudyData, wanted: Property, samples: Sequence[Sample]) -> list[str]:
    """Return how the strength of a panel was found from its determinations."""
    tests = single_tests(data, wanted)
    if tests is None or not samples:
        return []
    batches = [one.batch for one in samples]
    of_panels = tests[tests["batch"].isin(batches)].groupby("panel").size()
    least, most = of_panels.min(), of_panels.max()
    each = say_counted(int(most), "determination")
    each = each if least == most else f"{least}–{each}"
    told = [say("of each panel the mean of its {number}", number=each)]
    if censored := [f"{one.batch} ({one.bounds})" for one in samples if one.bounds]:
        told.append(
            say(
                "of batches with lower bounds (how many): what the panel adds to the mean by"
                " maximum likelihood, the bounds as such (censored normal): {names}",
                names=joined(censored),
            )
        )
    return told


def _methods(
    table: pd.DataFrame | None, wanted: Property, samples: Sequence[Sample]
) -> Iterable[str]:
    """Return the methods of the results that are compared, and of no others."""
    if table is None or "quantity" not in table:
        return []
    mine = table[(table["quantity"] == wanted.quantity) & (table["condition"] == wanted.condition)]
    if not math.isnan(wanted.exposure_h):
        mine = mine[is_near(mine["exposure_h"], wanted.exposure_h)]
    names = {(one.batch, name) for one in samples for name in one.names}
    for of in ("panel", "measurement"):
        is_one = [key in names for key in zip(mine["batch"], mine[of], strict=True)]
        if any(is_one):
            return map(str, mine.loc[is_one, "method"])
    pooled = mine[mine["batch"].isin([one.batch for one in samples]) & (mine["panel"] == "")]
    return map(str, pooled["method"])


def _distinct(texts: Iterable[str]) -> list[str]:
    """Return texts that differ by more than their numbers; numbers that vary as their range.

    Examples
    --------
    >>> _distinct(["against 1.47 g/cm3", "against 1.44 g/cm3", "Dunnett over 8", ""])
    ['against 1.44 to 1.47 g/cm3', 'Dunnett over 8']
    """
    variants: dict[str, dict[str, None]] = {}
    for text in filter(None, texts):
        variants.setdefault(NUMBER.sub("…", text), {})[text] = None
    return [_with_ranges(list(same)) for same in variants.values()]


def _with_ranges(same: Sequence[str]) -> str:
    columns = zip(*(NUMBER.findall(text) for text in same), strict=True)
    numbers = [
        column[0]
        if len(set(column)) == 1
        else f"{min(column, key=float)} to {max(column, key=float)}"
        for column in columns
    ]
    told = iter(numbers)
    return NUMBER.sub(lambda _: next(told), same[0])
