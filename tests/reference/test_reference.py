"""The reference has an entry for all that is public, and says what it is."""

from __future__ import annotations

import inspect
import json
import re
import tomllib
from dataclasses import fields, is_dataclass
from functools import cached_property
from html.parser import HTMLParser
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from build_example import EXAMPLE
from pydantic import BaseModel

import tiecoat
from tiecoat.cli import main
from tiecoat.contract.columns import columns_of
from tiecoat.extend.loading import load_evaluations, load_plugins
from tiecoat.lab.new_lab import TEMPLATE, new_lab
from tiecoat.lab.settings import Settings
from tiecoat.plugin import Hooks
from tiecoat.reasons import Reason
from tiecoat.reference.entry import ReferenceEntry, found, near, saying
from tiecoat.reference.names import FACES
from tiecoat.reference.pages import pages_of
from tiecoat.reference.reference import Reference, reference
from tiecoat.remarks import Remark
from tiecoat.wording import unit_told

EVALUATED = [
    *("chamber_record", "cross_section", "defects", "density", "film_thickness", "gloss"),
    *("pull_off", "rust_image", "viscosity"),
    *(pytest.param(kind, marks=pytest.mark.thorough) for kind in ("exposure_rating", "impedance")),
]


@pytest.fixture(scope="module")
def made() -> Reference:
    """The reference of this program, made once."""
    return reference()


def named(made: Reference, name: str) -> ReferenceEntry:
    """Return the one entry of this name."""
    (one,) = [entry for entry in made.entries if entry.name == name]
    return one


def test_no_entry_is_empty_or_there_twice(made: Reference) -> None:
    """Each has a line and a text, of a person and no program; names differ in a chapter."""
    assert made.problems == ()
    for one in made.entries:
        assert one.summary, one.name
        assert one.text.strip(), one.name
        assert not one.summary.startswith(f"{one.name}("), "the docstring of a bare dataclass"
    assert len({(one.chapter, one.name.casefold()) for one in made.entries}) == len(made.entries)


@pytest.mark.parametrize("path", sorted(FACES))
def test_all_that_can_be_imported_has_its_entry(made: Reference, path: str) -> None:
    """Every public name, and of its class every public method and property, with its docstring."""
    module = import_module(path)
    own = [
        name
        for name, one in vars(module).items()
        if inspect.isfunction(one) and one.__module__ == path and name[0] != "_"
    ]
    names = list(getattr(module, "__all__", own))
    assert names
    told = {one.name: one for one in made.chapters[FACES[path]]}
    assert {*told} == {path, *names}
    for name in names:
        what = getattr(module, name)
        if not inspect.isclass(what):
            continue
        members = {
            member
            for cls in what.__mro__
            if cls.__module__.startswith("tiecoat")
            for member, one in vars(cls).items()
            if member[0] != "_"
            and (
                inspect.isfunction(one) or isinstance(one, property | cached_property | classmethod)
            )
        }
        assert {f"{name}.{one}" for one in members} <= {*told[name].holds}, name
        for member in members:
            heading = rf"^#### `{name}\.{member}[`(].*\n\n\S"
            assert re.search(heading, told[name].text, re.MULTILINE), f"{name}.{member}: no words"


def test_every_hook_has_its_entry(made: Reference) -> None:
    """With what it is given, and what it returns."""
    hooks = {name for name in vars(Hooks) if name[0] != "_"}
    assert {one.name for one in made.chapters["Hooks"]} == hooks
    assert "tiecoat_announce(event: Event) -> None" in named(made, "tiecoat_announce").text


def test_what_plugins_bring_to_reports_and_commands_is_told(made: Reference) -> None:
    """Of which kind, with its title, and where it comes from; what a command answers scripts."""
    page = named_in(made, "Pages of reports", "failure")
    assert page.summary == "Where the films failed"
    assert "- of studies with: `pull_off`\n- comes from: report_failures of tiecoat " in page.text
    plate = named_in(made, "Commands of plugins", "plate").text
    assert "`tiecoat plate --help`" in plate
    assert "- `plates[].png` (text): path of the picture for the screen" in plate


def test_every_column_of_every_kind_is_told(made: Reference) -> None:
    """With unit, meaning, and each word that exports may call it."""
    kinds = load_plugins(None).kinds
    told = {one.name: one for one in made.chapters["Kinds"]}
    assert {*kinds} == {*told} - {"columns of every table"}
    for kind in kinds.values():
        declared = kind.model.to_schema().columns
        text = told[kind.name].text
        for info in columns_of(kind):
            (row,) = re.findall(rf"^\| `{info.name}` \|.*$", text, re.MULTILINE)
            assert f" {unit_told(info.unit)} |" in row
            assert row.endswith(f" {info.meaning.replace('|', chr(92) + '|')} |")
            words = re.findall(r"\w+", declared[info.name].metadata["words"])
            assert {*words} <= {*re.findall(r"\w+", text)}, info.name


def test_bounds_and_closed_words_are_told(made: Reference) -> None:
    """As they stand in the models, written out here by hand."""
    pull_off = named_in(made, "Kinds", "pull_off").text
    assert "| `dolly_diameter_mm` | number | mm | between 5 and 100 mm, never empty |" in pull_off
    panels = named_in(made, "Kinds", "density").text
    assert "one of: as mixed, " in panels


def named_in(made: Reference, chapter: str, name: str) -> ReferenceEntry:
    """Return the entry of a chapter."""
    (one,) = [entry for entry in made.chapters[chapter] if entry.name == name]
    return one


def test_every_evaluation_has_its_entry(made: Reference) -> None:
    """Of what it is made and by which formulas; each formula that is named has an entry."""
    told = {one.name: one for one in made.chapters["Evaluations"]}
    assert {*told} == {*load_evaluations(None).evaluations}
    formulas = {one.name for one in made.chapters["Formulas"]}
    for one in told.values():
        line = re.search(r"^- formulas: (.*)$", one.text, re.MULTILINE)
        if line:
            assert {*re.findall(r"`([^`]+)`", line[1])} <= formulas
    assert "`wet_paint.bubbles`" in told["viscosity"].text


@pytest.mark.parametrize("kind", EVALUATED)
def test_every_quantity_of_the_example_is_told(made: Reference, kind: str) -> None:
    """What the built-in evaluations give stands in the entry of the one that does.

    By its name; where there is one for each grade, `...` stands for that.
    """
    told = {one.name: one.text for one in made.chapters["Evaluations"]}
    of_kind = [one.name for one in load_evaluations(None).evaluations.values() if one.kind == kind]
    said = " ".join(told[name] for name in of_kind)
    given = {*tiecoat.open(EXAMPLE).evaluate(kind)["quantity"]}
    assert given
    forms = [one.split("...") for one in re.findall(r"\w*_?\.\.\._?\w*", said) if len(one) > 3]
    missing = {one for one in given if not re.search(rf"\b{one}\b", said)}
    by_form = {
        one
        for one in missing
        for begin, end in forms
        if one.startswith(begin) and one.endswith(end)
    }
    assert missing - by_form == set()


def keys_of(model: Any, at: str = "") -> set[str]:
    """Every key of the settings below a model, with its section."""
    if isinstance(model, type) and issubclass(model, BaseModel):
        parts = {name: one.annotation for name, one in model.model_fields.items()}
    elif is_dataclass(model):
        import typing

        hints = typing.get_type_hints(model)
        parts = {one.name: hints[one.name] for one in fields(model)}
    else:
        for inner in getattr(model, "__args__", ()):
            if inner is not ... and (found_keys := keys_of(inner, at)):
                return found_keys
        return set()
    keys = set()
    for name, one in parts.items():
        keys |= keys_of(one, f"{at}.{name}" if at else name) or {
            f"{at or 'top of the file'}.{name}"
        }
    return keys


def test_every_setting_is_told_with_a_meaning(made: Reference) -> None:
    """Each key that the settings have, those of plugins too; `words` has those of the kinds."""
    plugins, evaluations = load_plugins(None), load_evaluations(None).evaluations
    wanted = keys_of(Settings) - {"top of the file.words"}
    for name, reader in plugins.readers.items():
        wanted |= keys_of(getattr(reader, "choices", None), f"read.{name}")
    for name, one in evaluations.items():
        if one.choices.__name__ != "Choices":
            wanted |= keys_of(one.choices, f"evaluate.{name}")
    assert len(wanted) > 100
    told = {}
    for one in made.chapters["Settings: tiecoat.toml"]:
        for row in re.findall(
            r"^\| `(\w+)` \| `(.*?)` \| (.+?) \| (.+) \|$", one.text, re.MULTILINE
        ):
            told[f"{one.name}.{row[0]}"] = row
    assert {*told} == wanted


def test_the_defaults_are_those_of_a_new_lab(made: Reference) -> None:
    """What a new lab's settings show is what the reference tells, key by key."""
    shown = tomllib.loads(TEMPLATE)
    told = {one.name: one.text for one in made.chapters["Settings: tiecoat.toml"]}
    compared = 0
    for section, values in shown.items():
        tables = (
            {section: values}
            if section not in {"evaluate", "read"}
            else {f"{section}.{name}": one for name, one in values.items()}
        )
        for name, table in tables.items():
            if not isinstance(table, dict):
                continue
            for key, value in table.items():
                default = re.search(rf"^\| `{key}` \| `(.*?)` \|", told[name], re.MULTILINE)
                assert default, f"{name}.{key}"
                assert json.loads(default[1]) == value, f"{name}.{key}"
                compared += 1
    assert compared > 90


def test_every_reason_and_remark_is_told(made: Reference) -> None:
    """With its text and what to do."""
    reasons = {one.name: one.text for one in made.chapters["Reasons for holding"]}
    assert {*reasons} == {one.code for one in Reason}
    for reason in Reason:
        assert reason.text in reasons[reason.code]
        assert reason.advice in reasons[reason.code]
    remarks = {one.name: one.text for one in made.chapters["Remarks"]}
    assert {*remarks} == {one.code for one in Remark}
    for remark in Remark:
        assert remark.text in remarks[remark.code]


def test_words_find_entries(made: Reference) -> None:
    """By name, by what an entry holds, by its text; near names where there is none."""
    assert [(one.chapter, one.name) for one in found(made.entries, "Density")] == [
        ("Kinds", "density"),
        ("Evaluations", "density"),
    ]
    assert [one.name for one in found(made.entries, "strength_mpa")] == ["pull_off"]
    assert [one.name for one in found(made.entries, "[evaluate.density]")] == ["evaluate.density"]
    assert [one.name for one in found(made.entries, "Export.companion")] == ["Export"]
    assert "impedance" in [one.name for one in saying(made.entries, "modulus_decline")]
    assert found(made.entries, "strengthmpa") == []
    assert near(made.entries, "strengthmpa")[0] == "strength_mpa"
    assert near(made.entries, "zzzzzz") == []


class Links(HTMLParser):
    """What a page links to, what can be linked to on it, and what it would load."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.to: list[str] = []
        self.ids: list[str] = []
        self.loaded: list[str] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note links and anchors."""
        given = dict(attrs)
        if tag == "a":
            self.to.append(given["href"] or "")
        self.ids += [given["id"] or ""] if "id" in given else []
        self.loaded += [tag] if tag in {"script", "link", "img"} else []


def test_the_pages_lead_to_each_other_and_load_nothing(made: Reference) -> None:
    """Each link of each page ends at an entry that is there; no page needs a network."""
    pages = {name: Links(text) for name, text in pages_of(made).items()}
    assert len(pages) == len(made.chapters) + 1
    for name, page in pages.items():
        assert page.loaded == []
        assert len({*page.ids}) == len(page.ids), name
        for link in page.to:
            home, _, anchor = link.partition("#")
            target = pages[home or name]
            assert not anchor or anchor in target.ids, f"{name}: {link}"
    every = sum(len(page.ids) for page in pages.values())
    assert every == len(made.entries)
    assert "kinds.html#panels" in pages["evaluations.html"].to


def test_the_command_tells_lists_and_writes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a lab; a word that is unknown is answered with near ones, and code 2."""
    monkeypatch.chdir(tmp_path)
    assert main(["reference"]) == 0
    assert "  pull_off\tPull-off test" in capsys.readouterr().out
    assert main(["reference", "no-scale"]) == 0
    assert Reason.NO_SCALE.advice in capsys.readouterr().out
    assert main(["reference", "settled_s"]) == 2
    assert "near are: settle_s" in capsys.readouterr().err
    assert main(["reference", "pull_off", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [one["chapter"] for one in answer["entries"]] == ["Kinds", "Evaluations"]
    assert main(["reference", "--html", str(tmp_path / "pages")]) == 0
    assert (tmp_path / "pages" / "index.html").read_text(encoding="utf-8").startswith("<!doctype")


KIND = '''
import pandera.pandas as pa
from tiecoat.plugin import Kind, column, hookimpl

class Pendulum(pa.DataFrameModel):
    """Pendulum damping of the dry film (ISO 1522)."""
    damping_s: float = column("s", "time until the swing has died down", ge=0, le=1000)

@hookimpl
def tiecoat_kinds():
    return [Kind("pendulum", Pendulum, per="panel")]
'''


def test_what_a_lab_has_of_its_own_is_told_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A kind from its readers folder, and what was left out of it, with the reason."""
    settings = TEMPLATE.replace("folder = false ", "folder = true  ")
    lab = new_lab(tmp_path / "lab", settings)
    (lab.readers / "pendulum.py").write_text(KIND, encoding="utf-8")
    (lab.readers / "broken.py").write_text("import nothing_of_this_name\n", encoding="utf-8")
    assert main(["reference", "damping_s", "--lab", str(lab.root)]) == 0
    told = capsys.readouterr()
    assert "| `damping_s` | number | s | between 0 and 1000 s, never empty |" in told.out
    assert "broken.py was left out" in told.err
