"""The kinds and readers: what is filed, in which units and bounds, and what exports call it."""

from __future__ import annotations

import inspect
from collections.abc import Iterator

from tiecoat.contract.columns import KEYS, MARKS, ORIGIN, REMARKS, ColumnInfo, columns_of
from tiecoat.extend.loading import Plugins
from tiecoat.intake.workers.validating import allowed_by
from tiecoat.plugin import Kind, Reader
from tiecoat.reference.docstring import markdown_of, row_of, summary_of
from tiecoat.reference.entry import ReferenceEntry
from tiecoat.wording import unit_told

KINDS, READERS = "Kinds", "Readers"
EVERY_TABLE = "columns of every table"
TYPES = {
    "float": "number",
    "str": "text",
    "time": "time",
    "whole": "whole number",
    "bool": "true or false",
    "int": "whole number",
}


def kind_entries(plugins: Plugins) -> Iterator[ReferenceEntry]:
    """Return the entries of the kinds, after one of the columns that all tables have."""
    shared = (*KEYS, *ORIGIN, *REMARKS, *MARKS)
    words = "What each row of the archive has beside the columns of its kind."
    table = _table([(info, "may be empty" if info.nullable else "never empty") for info in shared])
    names = tuple(info.name for info in shared)
    yield ReferenceEntry(KINDS, EVERY_TABLE, words, f"{words}\n\n{table}", names)
    for name in sorted(plugins.kinds):
        yield _kind(plugins.kinds[name], plugins.sources["kind", name])


def reader_entries(plugins: Plugins) -> Iterator[ReferenceEntry]:
    """Return the entries of the readers."""
    for name in sorted(plugins.readers):
        reader = plugins.readers[name]
        doc = _doc_of(reader)
        every = getattr(reader, "last_resort", False)
        facts = [
            f"- reads: {'every kind that has words' if every else f'`{reader.kind}`'}",
            f"- comes from: {plugins.sources['reader', name]}, version {reader.version}",
        ]
        if hasattr(reader, "choices"):
            facts.append(f"- settings: `read.{name}`")
        text = "\n".join(facts) + f"\n\n{markdown_of(doc)}"
        yield ReferenceEntry(READERS, name, summary_of(doc), text)


def _doc_of(reader: Reader) -> str:
    return type(reader).__doc__ or inspect.getdoc(inspect.getmodule(type(reader))) or ""


def _kind(kind: Kind, source: str) -> ReferenceEntry:
    columns, allowed = columns_of(kind), allowed_by(kind)
    rows = [(info, allowed[info.name] or "any") for info in columns]
    parts = [
        markdown_of(kind.model.__doc__),
        "\n".join(f"- {fact}" for fact in _facts(kind, source)),
        _table(rows),
        *_sources(kind),
        *_words(kind),
    ]
    text = "\n\n".join(part for part in parts if part)
    holds = tuple(info.name for info in columns) + tuple(one.name for one in kind.sources)
    return ReferenceEntry(KINDS, kind.name, summary_of(kind.model.__doc__), text, holds)


def _facts(kind: Kind, source: str) -> Iterator[str]:
    owner = {"panel": "a panel", "batch": "a batch (wet paint: panel is empty)"}[kind.per]
    yield f"belongs to: {owner}"
    yield f"comes from: {source}, version {kind.version}"
    same = "by batch, panel and time"
    yield f"two determinations are told apart {same}" + (
        f", and by {_listed(kind.identity)}" if kind.identity else ""
    )
    if kind.repeats:
        yield f"{_listed(kind.repeats)} tells repeats apart: counts on these are added up"
    if kind.unique:
        yield f"no two rows of one measurement agree in {_listed(kind.unique)}"
    if kind.order:
        yield f"rows stand in the order of {_listed(kind.order)}"
    if kind.replaces:
        yield "a later row takes the place of the earlier one (register)"
    if kind.timed:
        yield "no row without its time"
    for name, value in kind.defaults:
        yield f"where an export says nothing, `{name}` is taken for `{value}`"
    for custom in kind.customs:
        taken = f"is taken for `{custom.value}`" if custom.value else "may be missing"
        yield f"`{custom.column}` {taken}, with a remark, {custom.why}"
    for relation in kind.relations:
        yield (
            f"`{relation.gives}` is computed from {_listed(relation.needs)}; where both are given"
            f" they may differ by {relation.within * 100:g} %"
        )


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _table(rows: list[tuple[ColumnInfo, str]]) -> str:
    lines = ["| column | type | unit | allowed | meaning |", "| --- | --- | --- | --- | --- |"]
    for info, allowed in rows:
        cells = (f"`{info.name}`", TYPES[info.type], unit_told(info.unit), allowed, info.meaning)
        lines.append(row_of(cells))
    return "\n".join(lines)


def _sources(kind: Kind) -> Iterator[str]:
    if kind.sources:
        lines = [
            f"- `{one.name}` ({unit_told(one.unit) or one.type}): {one.meaning}"
            for one in kind.sources
        ]
        yield "**Read in place of a column, and never filed**\n\n" + "\n".join(lines)


def _words(kind: Kind) -> Iterator[str]:
    """Return what exports call each column, language by language."""
    declared = kind.model.to_schema().columns
    told = [(name, one.metadata or {}) for name, one in declared.items()]
    told += [(one.name, {"words": one.words}) for one in kind.sources]
    lines = []
    for name, said in told:
        if words := _in_lines(said.get("words", "")):
            lines.append(f"- `{name}`\n{words}")
        if values := _in_lines(said.get("values", "")):
            lines.append(f"- `{name}`, what stands in its cells\n{values}")
    if lines:
        yield "**What exports call it**\n\n" + "\n".join(lines)


def _in_lines(words: str) -> str:
    """Return words as they are written, a list item for each language."""
    items: list[str] = []
    for line in filter(None, map(str.strip, words.splitlines())):
        language, colon, _ = line.partition(": ")
        begins = bool(colon) and len(language) == 2 and language.isalpha()
        if begins or not items or items[-1].endswith("\n"):
            items.append(line)
        else:
            items[-1] += f" {line}"
    return "\n".join(f"    - {_plain(item)}" for item in items)


def _plain(text: str) -> str:
    """Return a text in which nothing is taken for a mark of Markdown."""
    return "".join(f"\\{letter}" if letter in "\\`*_[]<>#|~" else letter for letter in text)
