"""Pages of plugins do not stand in the way of what is the report's own."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

from tiecoat.contract.study_page import OWN_SECTIONS
from tiecoat.extend import loading
from tiecoat.extend.loading import load_report_parts
from tiecoat.plugin import StudyCourse

NAME_MAY = "its name may have lower-case letters, digits and underscores"
PAGE = """
from tiecoat.plugin import StudyFigure, StudyPage, hookimpl

def tell(study):
    return []

@hookimpl
def tiecoat_pages():
    return [StudyPage("{name}", "gloss", "Gloss", tell), {more}]
"""


def test_no_page_takes_the_name_of_a_section_of_ours() -> None:
    """Neither its anchor nor the name of its figures among the files of a report."""
    folder = files("tiecoat.report") / "templates"
    texts = [one.read_text(encoding="utf-8") for one in folder.iterdir() if ".j2" in one.name]
    anchors = {one for text in texts for one in re.findall(r' id="([a-z]+)"', text)}
    ours = load_report_parts(None).figures.items()
    courses = {name for name, one in ours if isinstance(one, StudyCourse)}
    figures = {"strength", "line_up", *courses, "bode", "links"}
    assert anchors | figures == OWN_SECTIONS


def test_pages_are_looked_for_in_files_of_their_own_and_beside_evaluations(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What will do is there; what will not is told, with its place and why."""
    monkeypatch.setattr(loading, "entry_points", lambda group: ())
    for cached in (loading.load_evaluations, load_report_parts):
        cached.cache_clear()
    readers = tmp_path / "readers"
    readers.mkdir(mode=0o755)
    for file, name, more in (
        ("evaluate_a.py", "beside", "7"),
        ("report_b.py", "alone", 'StudyPage("beside", "", "Twice", tell)'),
        ("report_c.py", "plates", 'StudyPage("No Name", "", "x", tell)'),
        ("report_d.py", "of_any", 'StudyPage("untold", "", "x", None)'),
        ("page_e.py", "elsewhere", ""),
    ):
        path = readers / file
        path.write_text(PAGE.format(name=name, more=more), encoding="utf-8")
        path.chmod(0o644)
    try:
        parts, evaluations = load_report_parts(readers), loading.load_evaluations(readers)
    finally:
        for cached in (loading.load_evaluations, load_report_parts):
            cached.cache_clear()
    assert sorted(parts.pages) == ["alone", "beside", "of_any"]
    assert evaluations.problems == (
        f"a page of {readers / 'evaluate_a.py'} was left out: it is int, not a StudyPage",
    )
    b, c, d = (readers / f"report_{one}.py" for one in "bcd")
    assert parts.problems == (
        f"page 'beside' of {b} was left out: {readers / 'evaluate_a.py'} has a page of this name",
        f"page 'plates' of {c} was left out: the report has a section of this name itself",
        f"page 'No Name' of {c} was left out: {NAME_MAY}",
        f"page 'untold' of {d} was left out: its tell cannot be called",
    )
