"""The studies of the example and their reports, which many tests look at."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from unittest import mock

from shared_work import SharedWork

import tiecoat
from tiecoat.ask.study_data import StudyData, read_study, study_data
from tiecoat.lab.settings import ReportSettings
from tiecoat.report.brought_pages import made_pages
from tiecoat.report.figures import draw_all
from tiecoat.report.looks import FigureFiles
from tiecoat.report.write import ReportScope, write_report

EXAMPLE = Path(__file__).parents[1] / "archive_example"
STUDY, EXPOSURE_STUDY = "study", "exposure_study"
REPORTED = date(2026, 11, 26)


def example_data(shared: SharedWork, study: str = STUDY) -> StudyData:
    """Return a study of the example, compared."""
    return shared.once(
        f"data of {study}",
        lambda _: study_data(tiecoat.open(EXAMPLE), read_study(EXAMPLE / f"{study}.toml")),
    )


def example_report(shared: SharedWork) -> Path:
    """Return the report of the example, with its appendix."""
    return _report(shared, "report", ReportScope())


def brief_report(shared: SharedWork) -> Path:
    """Return the report of the example without its appendix, with the same figures."""
    return _report(shared, "brief", ReportScope(is_brief=True))


def _report(shared: SharedWork, name: str, scope: ReportScope) -> Path:
    def written(folder: Path) -> Path:
        figures = drawn_figures(shared)
        with mock.patch("tiecoat.report.write.draw_all", return_value=figures):
            return write_report(example_data(shared), folder, REPORTED, scope)

    return shared.once(name, written)


def drawn_figures(shared: SharedWork) -> dict[str, list[FigureFiles]]:
    """Return the figures of the example."""
    data = example_data(shared)
    return shared.once("figures", lambda _: draw_all(data, made_pages(data), with_png=True))


def german_report(shared: SharedWork, study: str = STUDY) -> Path:
    """Return the report of a study of the example in German."""
    data = in_german(example_data(shared, study))
    return shared.once(
        f"german report of {study}", lambda folder: write_report(data, folder, REPORTED)
    )


def in_german(data: StudyData) -> StudyData:
    """Return a study whose lab is set to German."""
    settings = data.lab.settings.model_copy(update={"report": ReportSettings(language="de")})
    return replace(data, lab=replace(data.lab, settings=settings))
