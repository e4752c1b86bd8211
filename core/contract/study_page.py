"""A page that a plugin adds to the report of a study, and what it is made from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

from tiecoat.contract.study_figure import StudyFigure

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class StudyContents:
    """What a study compares, as a page of its report is made from it.

    Parameters
    ----------
    title
        The name of the study.
    control
        The batch that the others are compared with; "" where there is none.
    names
        By batch what it is called, the control first.
    verdicts
        A row a verdict, as `verdicts.csv` of a report has them.
    results, rows
        By kind, of the batches and panels compared: results as `archive.evaluate` gives them, rows
        as `archive.read` does, but for an empty panel, which is "" in both.
    panels
        The register of these panels.
    """

    title: str
    control: str
    names: Mapping[str, str]
    verdicts: pd.DataFrame = field(repr=False)
    results: Mapping[str, pd.DataFrame] = field(repr=False)
    rows: Mapping[str, pd.DataFrame] = field(repr=False)
    panels: pd.DataFrame = field(repr=False)


@dataclass(frozen=True)
class PageTable:
    """A table on a page: its numbers with few digits there, with all in `tables/` and the workbook.

    Parameters
    ----------
    caption
        What it shows.
    table
        Its columns are headed by their names.
    """

    caption: str
    table: pd.DataFrame = field(repr=False)


PagePart: TypeAlias = "str | PageTable | StudyFigure"


@dataclass(frozen=True)
class StudyPage:
    """A section of the report: texts, tables and figures under a heading.

    Parameters
    ----------
    name
        Unique among the pages of all plugins: lower-case letters, digits and underscores, and none
        of the report's own sections.
    kind
        There is no page where a study has nothing of this kind; "" is always.
    title
        Its heading, in the contents too.
    tell
        A pure function: gets the `StudyContents` and returns in their order texts (a paragraph
        each), `PageTable` and `StudyFigure`. Without any there is no page. What it raises stands in
        the place of the page.
    """

    name: str
    kind: str
    title: str
    tell: Callable[[StudyContents], Iterable[PagePart]]

    def parts(self, study: StudyContents) -> Iterable[PagePart]:
        """Return what it tells, part by part.

        Raises
        ------
        TypeError
            If that is nothing, or one text, whose letters would be paragraphs.
        """
        told = self.tell(study)
        if isinstance(told, str) or not isinstance(told, Iterable):
            found = "one text" if isinstance(told, str) else type(told).__name__
            raise TypeError(f"tell returns {found}; expected several parts: yield each, or a list")
        return told


OWN_SECTIONS = frozenset(  # of the report itself, and its figures: no page is called so
    {
        *("answer", "appendix", "changes", "impedance", "links", "methods", "notes", "pairs"),
        *("plates", "quality", "ranking", "steps", "strength", "study", "tables", "trends"),
        *("values", "verdicts"),
        *("bode", "line_up", "air", "foam", "modulus", "gloss"),
        *("rust", "blisters", "cracking", "flaking", "delamination", "corrosion"),
    }
)
