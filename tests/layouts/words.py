"""The words of the trade by concept and language."""

from __future__ import annotations

import tomllib
from pathlib import Path
from random import Random

WORDS: dict[str, dict[str, dict[str, list[str]]]] = tomllib.loads(
    Path(__file__).with_name("words.toml").read_text(encoding="utf-8")
)
LANGUAGES = ("en", "de", "fr", "es", "it", "pl", "nl", "cs")


def words_for(concept: str, language: str) -> list[str]:
    """Return all words for a concept such as `impedance.frequency`; English where there is none."""
    subject, _, name = concept.partition(".")
    by_language = WORDS[subject][name]
    found = by_language.get("any", []) + by_language.get(language, [])
    return found or by_language["en"]


def word(dice: Random, concept: str, language: str) -> str:
    """Return one of the words for a concept."""
    return dice.choice(words_for(concept, language))
