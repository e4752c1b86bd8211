"""What a person says that a title of a wide layout, or a place in a form, tells beside its value."""

from __future__ import annotations

from tiecoat.tabular.across import amount_of
from tiecoat.tabular.lexicon import Lexicon


def keys_of(lexicon: Lexicon) -> tuple[str, ...]:
    """Return the columns that tell two values of one row of a file apart: a sweep runs along some."""
    return (*lexicon.kind.identity, *lexicon.kind.unique)


def key_told(lexicon: Lexicon, key: str, value: float | str) -> tuple[str, float | str]:
    """Return a key and its value as the kind writes them: at elapsed_s 10 min, at property scribe.

    Raises
    ------
    ValueError
        If the kind has no such key, or the value is none of it.
    """
    if key == lexicon.kind.per:  # the id under which a column stands: see `tell_other_id`
        return key, f"{value:g}" if isinstance(value, float) else value
    if key not in (keys := keys_of(lexicon)):
        raise ValueError(f"{key!r} is none of {', '.join(keys) or 'no key'}")
    if lexicon.infos[key].type != "str":
        if isinstance(value, float):
            return key, value
        if (amount := amount_of(value, lexicon.infos[key].unit)) is None:
            raise ValueError(f"{value!r} is no number, and {key} is one")
        return key, amount
    text = f"{value:g}" if isinstance(value, float) else value
    allowed = tuple(map(str, lexicon.closed[key].payloads)) if key in lexicon.closed else ()
    text = lexicon.in_words_of_kind(key, text) or text
    if allowed and lexicon.is_closed(key) and text not in allowed:
        raise ValueError(f"{text!r} is no {key}; there are {', '.join(allowed)}")
    return key, text
