"""Everything that a report tells of, taken from the archive at one moment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from tiecoat.archive.journal.records import Journal
from tiecoat.ask.evaluate import Readable, alone, evaluate
from tiecoat.ask.offered import conditions_of_kinds, offered_properties
from tiecoat.ask.row_places import with_places
from tiecoat.compare.batch_scatter import same_recipes
from tiecoat.compare.circumstances import PanelRegister
from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.dose import Trend, dose_trends
from tiecoat.compare.links import Link, PairableResult
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.recommendation import Recommendation, ranking_of, recommendations
from tiecoat.compare.selection import only_panels, unknown_kinds
from tiecoat.compare.study import Study, load_study
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.evaluate.result import together
from tiecoat.extend.loading import load_evaluations
from tiecoat.intake.held.files import Held, list_held
from tiecoat.lab.ids import canonical
from tiecoat.plugin import Evaluation
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from tiecoat.ask.query import Archive
    from tiecoat.lab.settings import Lab

REGISTERS = ("batches", "panels")
PICTURED = ("cross_section", "defects", "rust_image")  # kinds that come from pictures
OF_BATCHES = ("batch", "recipe", "candidate", "dose_percent", "role")


@dataclass(frozen=True)
class PictureTables:
    """What a kind of pictures has of the batches and panels compared.

    Parameters
    ----------
    rows
        As filed, one for each picture.
    results
        What is computed from them.
    """

    rows: pd.DataFrame
    results: pd.DataFrame


@dataclass(frozen=True)
class StudyData:
    """What a report tells of: the comparison, and what it was made from.

    Parameters
    ----------
    comparison
        The verdicts and the values behind them.
    ranking, no_ranking
        The overall ranking, or None and why there is none.
    recommendations
        What is recommended for each application of the study.
    trends
        Dose series.
    results, rows
        Result tables and filed rows by kind, of the batches and panels compared only.
    panels
        The register of their panels.
    pictures
        What pictures show of them, by kind, compared or not; empty unless it was asked for.
    measurements
        Every measurement that stands behind them, as `archive.measurements` lists it, with its
        sheet and last row in the original.
    withdrawn
        Those that were superseded or retracted, which nothing here is computed from.
    held
        Files of the whole lab that are not filed; a held file need not say what it belongs to.
    evaluations
        Name and version of each evaluation that was run.
    left_out
        What could not be computed, in sentences.
    shared
        SHA-256 of originals that hold measurements of other batches too.
    others
        Batches of the archive that are not compared.
    links
        Which results go together; none where nobody asked (`with_links`).
    pairable
        What all can be held against each other; none where nobody asked.
    measured
        Every panel of the archive with a measurement that counts, of any kind.
    last_entry
        The last record of the journal before anything was read: its `hash` stands for the archive
        as it was then. None where there is no journal.
    """

    lab: Lab
    comparison: Comparison
    ranking: Ranking | None
    no_ranking: str
    recommendations: Sequence[Recommendation]
    trends: Sequence[Trend]
    results: Mapping[str, pd.DataFrame] = field(repr=False)
    rows: Mapping[str, pd.DataFrame] = field(repr=False)
    panels: pd.DataFrame = field(repr=False)
    measurements: pd.DataFrame = field(repr=False)
    withdrawn: pd.DataFrame = field(repr=False)
    held: Sequence[Held]
    evaluations: Mapping[str, str]
    left_out: tuple[str, ...]
    shared: frozenset[str] = frozenset()
    others: frozenset[str] = frozenset()
    links: Sequence[Link] = ()
    pairable: Sequence[PairableResult] = ()
    measured: frozenset[str] = frozenset()
    last_entry: Mapping[str, Any] | None = None
    pictures: Mapping[str, PictureTables] = field(default_factory=dict, repr=False)

    @cached_property
    def register(self) -> PanelRegister:
        """What is registered of the panels compared."""
        return PanelRegister.of(self.panels, self.measurements)


def read_study(
    path: Path | None,
    against: Sequence[str] = (),
    why: Sequence[tuple[str, str]] = (),
    *,
    lab: Lab | None = None,
) -> Study:
    """Return the study of a file; without one, everything in the register.

    Parameters
    ----------
    against
        Candidates that it compares with beside those that the file names.
    why
        Pairs of properties, in the place of those that the file names.
    lab
        Whose own evaluations bring properties too, beside those of installed packages.

    Raises
    ------
    QueryInvalid
        If the file cannot be opened, or is not UTF-8.
    SettingInvalid
        If a key or value in it is not allowed.
    """
    catalogue = offered_properties(lab.own_readers if lab else None).catalogue
    if path is None:
        return Study(against=tuple(against), why=tuple(why)).knowing(catalogue)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise QueryInvalid(f"{path} is not UTF-8; save it as UTF-8") from None
    except OSError as error:
        raise QueryInvalid(f"{path} cannot be opened: {error.strerror or error}") from error
    study = load_study(text, str(path), catalogue)
    named = tuple(dict.fromkeys((*study.against, *against)))
    return study.model_copy(update={"against": named, "why": tuple(why) or study.why})


def study_data(
    archive: Archive,
    study: Study,
    told: Told = untold,
    *,
    with_pictures: bool = False,
    with_results: bool = True,
) -> StudyData:
    """Compare what a study names, and gather what its report tells of.

    Parameters
    ----------
    told
        Called with the progress.
    with_pictures
        Whether what pictures show is wanted too, also where the study does not compare it.
    with_results
        Whether the properties of the study are computed and compared; without it there are its
        batches and panels alone.

    Raises
    ------
    UnknownName, SettingInvalid, ArchiveDamaged
        As `Archive.read` and `Archive.evaluate` raise them.
    """
    last_entry = Journal(archive.lab).last()
    offered = offered_properties(archive.lab.own_readers)
    study = study.knowing(offered.catalogue)
    loaded = load_evaluations(archive.lab.own_readers).evaluations.values()
    known = {*archive.kinds(), *(one.kind for one in loaded)} - {*REGISTERS}
    left_out = [*unknown_kinds(study, known), *offered.problems]
    kinds = [kind for kind in study.kinds() if with_results and kind in archive.kinds()]
    pictured = [kind for kind in PICTURED if with_pictures and kind in archive.kinds()]
    register = register_of_batches(archive)
    only = _batches(archive, study, register)
    results = {}
    all_kinds = list(dict.fromkeys([*kinds, *pictured]))
    for number, kind in enumerate(all_kinds):
        told("kinds", number, len(all_kinds))
        results[kind] = results_of(archive, kind, only, left_out, told)
    told("kinds", len(all_kinds), len(all_kinds))
    told("comparing", 0, 1)
    rows = {kind: archive.read(kind, only or None) for kind in all_kinds}
    panels = register_of_panels(archive)
    measurements = archive.measurements(withdrawn=True)
    compared = partial(
        compare,
        results={kind: results[kind] for kind in kinds},
        batches=register,
        panels=panels,
        filed=measurements[measurements["withdrawn"].isna()],
        raw={kind: rows[kind] for kind in study.raw_kinds() if kind in kinds},
        choices=archive.lab.settings.evaluate,
        conditions=conditions_of_kinds(study.counted_kinds(), archive.lab.own_readers),
    )
    comparison = compared(study)
    ranking, no_ranking = ranking_of(comparison)
    told("comparing", 1, 1)
    evaluations = evaluations_of(archive, all_kinds)
    used = {*all_kinds, *REGISTERS, *(need for one in evaluations for need in one.needs)}
    listed = of_study(measurements, comparison)
    listed = with_places(archive, listed[listed["kind"].isin(used)], rows)
    return StudyData(
        lab=archive.lab,
        comparison=comparison,
        ranking=ranking,
        no_ranking=no_ranking,
        recommendations=recommendations(comparison, (ranking, no_ranking), compared),
        trends=dose_trends(comparison) if comparison.control else (),
        results={kind: of_study(results[kind], comparison) for kind in kinds},
        rows={kind: of_study(rows[kind], comparison) for kind in kinds},
        pictures={
            kind: PictureTables(
                of_study(rows[kind], comparison), of_study(results[kind], comparison)
            )
            for kind in pictured
        },
        panels=of_study(panels, comparison),
        measurements=listed[listed["withdrawn"].isna()].reset_index(drop=True),
        withdrawn=listed[listed["withdrawn"].notna()].reset_index(drop=True),
        held=list_held(archive.lab),
        evaluations={one.name: one.version for one in evaluations},
        left_out=tuple(dict.fromkeys(left_out)),
        shared=_of_others(measurements, comparison),
        others=frozenset({*archive.batches(), *register["batch"]} - {*comparison.batches.index}),
        measured=_measured_panels(measurements),
        last_entry=last_entry,
    )


def _batches(archive: Archive, study: Study, register: pd.DataFrame) -> list[str] | None:
    """Return the batches that have to be read, or None for all.

    Beside those of the study they are those that tell how batches of one recipe differ.
    """
    if not study.batches:
        return None
    asked = {canonical(one) for one in (*study.batches, study.control)}
    asked |= {batch for alike in same_recipes(register) for batch in alike}
    return sorted(one for one in archive.batches() if one in asked)


def results_of(
    archive: Archive, kind: str, only: Sequence[str] | None, left_out: list[str], told: Told
) -> pd.DataFrame:
    """Return the results of some batches, each as if it were evaluated alone; of all for None."""
    try:
        groups = alone(archive, kind, only) if only else [None]
        tables = []
        for done, group in enumerate(groups):
            told(f"evaluating {kind}", done, len(groups))
            found = evaluate(archive, kind, group)
            left_out.extend(found.left_out)
            tables.append(found.table)
        told(f"evaluating {kind}", len(groups), len(groups))
        return together(tables)
    except UnknownName as error:  # no evaluation of this kind; counts need none
        left_out.append(str(error))
        return pd.DataFrame(columns=["batch", "panel"])


def of_study(table: pd.DataFrame, comparison: Comparison) -> pd.DataFrame:
    """Return the rows of the batches compared, and of the panels that the study names."""
    mine = table[table["batch"].isin(comparison.batches.index)]
    return only_panels(comparison.panels, mine).reset_index(drop=True)


def _measured_panels(measurements: pd.DataFrame) -> frozenset[str]:
    counts = measurements["withdrawn"].isna() & ~measurements["kind"].isin(REGISTERS)
    return frozenset(measurements.loc[counts, "panel"].dropna().astype(str))


def _of_others(measurements: pd.DataFrame, comparison: Comparison) -> frozenset[str]:
    is_other = ~measurements["batch"].isin(comparison.batches.index)
    return frozenset(measurements.loc[is_other, "source_sha256"])


def evaluations_of(archive: Archive, kinds: Sequence[str]) -> list[Evaluation]:
    lab = archive.lab
    loaded = load_evaluations(lab.own_readers)
    found = [one for one in loaded.evaluations.values() if one.kind in kinds and not one.slow]
    return sorted(found, key=lambda one: one.name)


def register_of_batches(archive: Readable) -> pd.DataFrame:
    """Return the register of batches; of a lab that has none, one without rows."""
    if "batches" in archive.kinds():
        return archive.read("batches")
    return pd.DataFrame({name: pd.Series(dtype="str") for name in OF_BATCHES})


def register_of_panels(archive: Readable) -> pd.DataFrame:
    """Return the register of panels; of a lab that has none, one without rows."""
    return archive.read("panels") if "panels" in archive.kinds() else no_panels()


def no_panels() -> pd.DataFrame:
    """Return a register of panels that holds none."""
    return pd.DataFrame(
        {name: pd.Series(dtype="str") for name in ("batch", "panel", "coat_system")}
    )
