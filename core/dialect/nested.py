"""Nested files: JSON and XML, of which every value knows where it stands."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NoReturn, TypeAlias
from xml.etree import ElementTree as ET

from tiecoat.dialect.placed import PlacedIn, PlacedValue
from tiecoat.reasons import Reason

Value: TypeAlias = Any  # of JSON, or an element, attribute or text of XML
_DEEPEST = 200  # levels; a file of a laboratory has a dozen


class Nested(PlacedValue):
    """A value in a nested file, with its place there: faults name it.

    `nested["name"]` is the entry of this name (of XML the one child element, or with "@name" the
    attribute), `nested.get("name")` the same or None, and `nested.every("name")` all of a list, or
    of XML all children of this name. A place is written as a path, such as `/sweeps/0/f`: of JSON
    that is a JSON Pointer (RFC 6901), counted from 0; of XML one of XPath, counted from 1, in which
    names stand without their namespaces.

    Parameters
    ----------
    export
        Where faults are noted.
    value
        What stands there.
    at
        Where.
    """

    def __init__(self, export: PlacedIn, value: Value, at: str) -> None:
        super().__init__(export, {"at": at or "/"})
        self.value = value
        self.at = at

    def __contains__(self, name: str) -> bool:
        return self.get(name) is not None

    def __getitem__(self, name: str) -> Nested:
        """Return an entry; the file is held (MISSING_COLUMN) where there is none."""
        found = self.get(name)
        if found is None:
            self._hold(Reason.MISSING_COLUMN, None, f"an entry '{name}'")
        return found

    def get(self, name: str) -> Nested | None:
        """Return an entry, or None; the file is held where XML has several of this name."""
        if isinstance(self.value, Mapping):
            found = self.value.get(name)
            at = f"{self.at}/{name.replace('~', '~0').replace('/', '~1')}"
            return None if found is None else Nested(self._export, found, at)
        if not isinstance(self.value, ET.Element):
            return None
        if name.startswith("@"):
            text = {_local(key): value for key, value in self.value.items()}.get(name[1:])
            return None if text is None else Nested(self._export, text, f"{self.at}/{name}")
        children = self.every(name)
        if len(children) > 1:
            self._hold(Reason.INCONSISTENT, f"{len(children)} entries '{name}'", "one")
        return children[0] if children else None

    def every(self, name: str) -> list[Nested]:
        """Return all entries of a list by its name; of XML all children of this name; [] for none.

        The file is held (INCONSISTENT) where JSON has something else than a list there.
        """
        if isinstance(self.value, ET.Element):
            children = [one for one in self.value if _local(one.tag) == name]
            at = f"{self.at}/{name}"
            return [
                Nested(self._export, one, at if len(children) == 1 else f"{at}[{n}]")
                for n, one in enumerate(children, 1)
            ]
        found = self.get(name)
        return [] if found is None else [*found]

    def __iter__(self) -> Iterator[Nested]:
        """Go through a list; of XML through all children."""
        if isinstance(self.value, ET.Element):
            for name in dict.fromkeys(_local(one.tag) for one in self.value):
                yield from self.every(name)
            return
        if not isinstance(self.value, Sequence) or isinstance(self.value, str):
            self._hold(Reason.INCONSISTENT, _kind_of(self.value), "a list")
        for n, value in enumerate(self.value):
            yield Nested(self._export, value, f"{self.at}/{n}")

    def number(self, to: str = "", unit: str | None = None) -> float:
        """Return the value as a number in the unit `to`; NaN for none, or where a fault is noted.

        A text may say its unit, such as "12.5 kHz"; `unit` is taken where it says none.
        """
        if isinstance(self.value, int | float) and not isinstance(self.value, bool):
            return self._export.number(self.value, to, unit, **self._place)
        return super().number(to, unit)

    def numbers(self, to: str = "", unit: str | None = None) -> list[float]:
        """Return each of a list as `number` does."""
        return [one.number(to, unit) for one in self]

    def whole_numbers(self, to: str = "", unit: str | None = None) -> list[int | None]:
        """Return each of a list as `whole_number` does."""
        return [one.whole_number(to, unit) for one in self]

    def truths(self) -> list[bool | None]:
        """Return each of a list as `truth` does."""
        return [one.truth() for one in self]

    def text(self) -> str | None:
        """Return the value as a text without blanks around it; None where there is none."""
        if self.value is None:  # a null in a list
            return None
        if isinstance(self.value, ET.Element):
            return "".join(self.value.itertext()).strip() or None
        if isinstance(self.value, bool):
            return "true" if self.value else "false"
        if isinstance(self.value, Mapping | list):
            self._hold(Reason.INCONSISTENT, _kind_of(self.value), "a single value")
        return str(self.value).strip() or None

    def _hold(self, reason: Reason, found: str | None, expected: str) -> NoReturn:
        self._export.hold(reason, found=found, expected=expected, **self._place)


def parse_json(export: PlacedIn, text: str) -> Nested:
    """Return the whole of a JSON file.

    Raises
    ------
    FileHeld
        DAMAGED_NESTED, also where a name stands twice in one place.
    """
    try:
        found = json.loads(text, object_pairs_hook=_once)
    except RecursionError:
        export.hold(Reason.DAMAGED_NESTED, found="values nested deeper than can be read")
    except json.JSONDecodeError as error:
        export.hold(Reason.DAMAGED_NESTED, row=error.lineno, found=error.msg)
    except ValueError as error:
        export.hold(Reason.DAMAGED_NESTED, found=str(error))
    return Nested(export, found, "")


def parse_xml(export: PlacedIn, content: bytes) -> Nested:
    """Return the root element of an XML file; nothing outside of the file is looked up.

    Raises
    ------
    FileHeld
        DAMAGED_NESTED.
    """
    try:
        root = ET.fromstring(content)
    except ET.ParseError as error:
        export.hold(Reason.DAMAGED_NESTED, row=error.position[0], found=str(error))
    level = [root]
    for _ in range(_DEEPEST):
        level = [child for one in level for child in one]
    if level:
        export.hold(Reason.DAMAGED_NESTED, found="elements nested deeper than can be read")
    return Nested(export, root, f"/{_local(root.tag)}")


def _once(pairs: list[tuple[str, Value]]) -> dict[str, Value]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the name {twice!r} twice in one place")
    return found


def _local(tag: str) -> str:
    return str(tag).rpartition("}")[2]


def _kind_of(value: Value) -> str:
    if isinstance(value, Mapping):
        return "an object with names"
    return "a list" if isinstance(value, list) else f"{value!r}"
