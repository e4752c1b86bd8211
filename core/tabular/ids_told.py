"""The panel or batch that headings and the name of a sheet tell."""

from __future__ import annotations

import re

from tiecoat.tabular.attempts import BY_LOOK, TAUGHT, Attempt, Given
from tiecoat.tabular.id_looks import IdLooks, in_texts, one_id
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.told_entries import ToldEntry


def _told_elsewhere(found: Attempt, given: Given) -> bool:
    """Tell whether an entry above another table gives it, or on another sheet a text that is no id.

    What stands beside the table itself says more.
    """
    told = given.told
    if told is None or told.table == found.table.number:
        return False
    of_sheet = told.sheet == found.table.seen.sheet
    return told.table is not None or not (of_sheet or given.level == BY_LOOK)


def take_ids(found: Attempt, ids: IdLooks) -> None:
    """Take an id from a line above the table, else from the name of its sheet."""
    kind = found.lexicon.kind
    _drop_what_is_no_id(found, ids)
    headings = [line.text for line in reversed(found.table.headings)]
    texts = [*headings]
    texts += [f"{told.title.raw} {told.value}" for told in found.table.entries]
    texts += [found.table.seen.sheet] if found.table.seen.sheet else []
    texts += _only_heading(found, ids)
    for name, pattern in (("panel", ids.panel), ("batch", ids.batch)):
        if name == "panel" and kind.per == "batch":
            continue
        before = found.given.get(name)
        if before is not None and not _told_elsewhere(found, before):
            continue
        nearer = before is not None and before.told is not None and before.told.table is not None
        given = headings if nearer else texts
        if name == "batch" and kind.per == "panel":  # what a panel's id tells, the keying finds
            given = [in_texts(ids.panel).sub(" ", text) for text in given]
        for text in _of_no_channels(found, given, pattern):
            if (identity := one_id(pattern, text)) is not None:
                told = ToldEntry(
                    Title(name, name), identity, None, found.table.seen.header_row, None, None
                )
                found.given[name] = Given(found.lexicon.roles[name], BY_LOOK, told=told)
                break


def _of_no_channels(found: Attempt, texts: list[str], pattern: re.Pattern[str]) -> list[str]:
    """Return texts without those that give several ids to channels: the nearest is that of one alone."""
    ids = {one.upper() for one in found.file.on_channels}
    given = {text: one_id(pattern, text) for text in texts} if ids else {}
    several = len({one for one in given.values() if one in ids}) > 1
    return [text for text in texts if not (several and given[text] in ids)]


def _drop_what_is_no_id(found: Attempt, ids: IdLooks) -> None:
    """Drop a text in an entry that is no id where the file's name or its folder is one: `Probe: Fe 1.5`."""
    per = found.lexicon.kind.per
    given, export = found.given.get(per), found.file.export
    look = ids.panel if per == "panel" else ids.batch
    if given is None or given.told is None or given.level in (BY_LOOK, TAUGHT):
        return
    named = one_id(look, export.name.rpartition(".")[0]) or one_id(look, export.folder)
    if named is not None and " " in str(given.told.value).strip():
        del found.given[per]


def _only_heading(found: Attempt, ids: IdLooks) -> list[str]:
    """Return the headings of the first table of a sheet for a later one, where no other names an id."""
    seen = found.table.seen
    tables = [table for table in found.file.tables if table.seen.sheet == seen.sheet]
    headed = [
        table
        for table in tables
        if any(
            one_id(look, line.text) is not None
            for line in table.headings
            for look in (ids.panel, ids.batch)
        )
    ]
    if headed != tables[:1] or found.table is headed[0]:
        return []
    return [line.text for line in headed[0].headings]
