"""A closed vocabulary with one word more than its code knows, to see who notices."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum
from typing import Any, TypeVar

Word = TypeVar("Word", bound=Enum)


@contextmanager
def one_more_word(words: type[Word], value: Any, **said: Any) -> Iterator[Word]:
    """Give an enum another member for a while, as if it stood in its class.

    Parameters
    ----------
    value
        Its value; a text where the members are texts.
    **said
        Attributes that every member has beside its value.
    """
    name = "ONE_MORE"
    member: Any = str.__new__(words, value) if issubclass(words, str) else object.__new__(words)
    member._name_, member._value_ = name, value
    member.__objclass__ = words
    for attribute, one in said.items():
        setattr(member, attribute, one)
    every: Any = words
    every._member_names_.append(name)
    every._member_map_[name] = member
    every._value2member_map_[value] = member
    try:
        yield member
    finally:
        every._member_names_.remove(name)
        del every._member_map_[name]
        del every._value2member_map_[value]
