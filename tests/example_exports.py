"""Everything that the example laboratory drops into its inbox."""

from __future__ import annotations

from functools import cache

import example_exposure
import example_film
import example_foam
import example_formats
import example_photographs
import example_sections
import example_topcoat


@cache
def exports() -> dict[str, bytes]:
    """Return the register and all tables: path below the inbox -> bytes; they are made once."""
    return (
        example_formats.exports()
        | example_topcoat.exports()
        | example_film.exports()
        | example_foam.exports()
        | example_exposure.exports()
    )


@cache
def pictures() -> dict[str, bytes]:
    """Return all pictures, and the notes beside some of them: path below the inbox -> bytes.

    They take seconds to make and are made once.
    """
    return example_sections.exports() | example_photographs.exports()
