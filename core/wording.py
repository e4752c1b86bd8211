"""Words that every part of the program puts together in the same way."""

from __future__ import annotations

LONGEST = 1000  # characters of a text from a file, or of a message, that are told


def counted(number: int, noun: str) -> str:
    """Return such as "1 row" or "2,000 rows"."""
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"


def shortened(text: str, longest: int = LONGEST) -> str:
    """Return a text as it is told, on the screen, in logs, reasons and the health file alike.

    What a file holds may be of any length. What is cut ends in how much there was.
    """
    if len(text) <= longest:
        return text
    end = f"... ({counted(len(text), 'character')})"
    return text[: max(longest - len(end), 0)] + end
