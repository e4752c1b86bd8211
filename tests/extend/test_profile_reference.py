"""Every key of a profile and every answer is explained, and nothing is that is none."""

from __future__ import annotations

import re
import textwrap
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel

from tiecoat.extend.loading import load_plugins
from tiecoat.extend.profile import WrittenProfile
from tiecoat.extend.profile_file import load_profile
from tiecoat.extend.profile_reference import REFERENCE
from tiecoat.reasons import Reason
from tiecoat.tabular.answers import ANSWERS
from tiecoat.tabular.forms import take_of
from tiecoat.tabular.taught import Taking, TaughtProfile

ROOT = Path(__file__).parents[2]
_BLOCK = re.compile(r"(?:^(?:  .*)?\n)+", re.MULTILINE)
OF_ONE_FILE = {"batch", "panel"}  # answers that no profile keeps


def profiles() -> dict[str, str]:
    """Return the examples of the reference that are whole profiles, by name."""
    blocks = [textwrap.dedent(block) for block in _BLOCK.findall(REFERENCE)]
    whole = [block for block in blocks if re.search(r"^name = ", block, re.MULTILINE)]
    return {str(tomllib.loads(block)["name"]): block for block in whole}


def keys_of(model: type[BaseModel]) -> Iterator[str]:
    """Yield every key of a section and of those below it, as it is written."""
    for name, field in model.model_fields.items():
        yield field.alias or name
        for section in sections_in(field.annotation):
            yield from keys_of(section)


def sections_in(annotation: object) -> Iterator[type[BaseModel]]:
    """Yield the models that an annotation speaks of."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in getattr(annotation, "__args__", ()):
        yield from sections_in(part)


def written_keys(text: str) -> set[str]:
    """Return every key and section that the examples of a text show."""
    found = set(re.findall(r"(?:^|[{,\[.])\s*\"?(\w+)\"?\s*=(?!=)", text, re.MULTILINE))
    return found | set(re.findall(r"\[(\w+)", text))


@pytest.mark.parametrize("name", profiles())
def test_each_example_is_a_profile(tmp_path: Path, name: str) -> None:
    """The examples load as they stand, so that every key in them is one."""
    path = tmp_path / f"{name}.toml"
    path.write_text(profiles()[name], encoding="utf-8")
    assert load_profile(path, load_plugins(None).kinds).name == name


def test_the_example_of_the_readme_is_a_profile(tmp_path: Path) -> None:
    """What the README shows loads as it stands."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = [
        text for text in re.findall(r"```toml\n(.*?)```", readme, re.DOTALL) if "titles" in text
    ]
    assert shown
    for number, text in enumerate(shown):
        path = tmp_path / f"p{number}.toml"
        path.write_text(text, encoding="utf-8")
        assert load_profile(path, load_plugins(None).kinds)


@pytest.mark.parametrize("model", [TaughtProfile, Taking, WrittenProfile])
def test_every_key_stands_in_the_reference(model: type[BaseModel]) -> None:
    """A key that a profile may have is shown with an example or named."""
    shown = written_keys("\n".join(profiles().values())) | set(re.findall(r"\w+", REFERENCE))
    in_examples = written_keys("\n".join(profiles().values()))
    keys = set(keys_of(model))
    assert keys <= shown
    assert len(keys - in_examples) <= 3, keys - in_examples  # in a comment: by, date and clock


def test_every_answer_stands_in_the_reference_and_no_other() -> None:
    """The answers that the reference lists are those that there are."""
    part = REFERENCE.partition("Answers of tiecoat learn")[2].partition("An older form")[0]
    listed = set(re.findall(r"^  (\w+)[:=]", part, re.MULTILINE))
    assert listed - {"ROLE"} - OF_ONE_FILE == set(ANSWERS)


def test_the_readme_names_answers_that_there_are() -> None:
    """Each answer in the README is one of the reference, or names a field of some kind."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    fields = {
        info
        for kind in load_plugins(None).kinds.values()
        for info in kind.model.to_schema().columns
    }
    said = re.findall(r"--answer \"?([a-z]\w*)[:=]", readme)
    assert len(said) >= 3
    assert set(said) <= {*ANSWERS, *fields, *OF_ONE_FILE}


def test_what_may_follow_a_role_is_explained() -> None:
    """Words behind a role that the reference names are understood."""
    assert "in UNIT, at KEY VALUE" in " ".join(REFERENCE.split())
    take = take_of("z_imag_ohm in kohm at spot 2 turned log10 times 3")
    assert (take.unit, take.given, take.turned, take.log, take.factor) == (
        "kohm",
        ("spot", 2.0),
        True,
        True,
        3.0,
    )


def test_every_key_that_a_reason_names_stands_in_the_reference() -> None:
    """Advice that sends a person to a key of the profile sends them to one that is explained."""
    named: set[str] = set()
    for reason in Reason:
        advice = " ".join((reason.text, reason.advice))
        if "profile" in advice:
            named |= set(re.findall(r"\[(\w+)\]", advice))
            named |= set(
                re.findall(r"(?:as|by|or|with) (\w+)(?: under \[| in the table profile)", advice)
            )
    assert {"layout", "ignore", "format"} <= named
    assert named <= set(re.findall(r"\w+", REFERENCE))
