"""Words that every part of the program puts together in the same way."""

from __future__ import annotations


def counted(number: int, noun: str) -> str:
    """Return such as "1 row" or "2,000 rows"."""
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"
