"""Which column of a table is what for a kind: by words, units, the look of ids, and what is needed."""

from __future__ import annotations

from dataclasses import dataclass

from tiecoat.dialect.numbers import DecimalMark
from tiecoat.tabular.across import count_on_along_places, take_across
from tiecoat.tabular.attempts import TAUGHT, Attempt, ColumnLook, Given
from tiecoat.tabular.by_notation import (
    note_by_notation,
    read_numbers_in_notation,
    take_by_notation,
)
from tiecoat.tabular.columns_again import ColumnsGiven
from tiecoat.tabular.columns_given import (
    complete_what_is_shown,
    give_columns,
    note_left_over,
    told_by_entry,
)
from tiecoat.tabular.composed import take_composed
from tiecoat.tabular.conclusion import conclude
from tiecoat.tabular.entries_given import drop_mere_number, take_entries, take_labels
from tiecoat.tabular.facts import told_mark
from tiecoat.tabular.file import File
from tiecoat.tabular.general_values import (
    take_general_value,
    take_peak_in_unit_told,
    take_result_of_its_unit,
)
from tiecoat.tabular.id_looks import IdLooks
from tiecoat.tabular.ids_told import take_ids
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.no_reading import leave_out_no_readings
from tiecoat.tabular.plus_minus import take_plus_minus
from tiecoat.tabular.summaries import pass_over_means
from tiecoat.tabular.teaching import NOTHING, Teaching
from tiecoat.tabular.times_from_zero import read_at_once
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.title_readings import (
    best_reading,
    by_legend,
    numbered_apart,
    of_its_parts,
    of_the_area,
    of_the_controller,
)
from tiecoat.tabular.told_entries import FileTable, ToldEntry
from tiecoat.tabular.told_in_parts import take_told_in_parts
from tiecoat.tabular.worded import take_by_words, take_worded
from tiecoat.tabular.words_of_key import take_word_that_follows


@dataclass(frozen=True)
class TableLook:
    """The columns of a table by the look of their cells, the same for every kind."""

    mark: DecimalMark | None
    columns: list[ColumnLook]


def look_of(
    file: File,
    table: FileTable,
    ids: IdLooks,
    mark: DecimalMark | None = None,
    taught: Teaching = NOTHING,
) -> TableLook:
    """Look at the cells of a table, under a decimal mark that was taught or that they tell."""
    mark = mark or _mark_of(file, table)
    return TableLook(
        mark,
        [
            ColumnLook(each.cells, mark, ids, taught.clock_of(each.title) or each.title)
            for each in table.seen.columns
        ],
    )


def attempt(
    file: File,
    table: FileTable,
    lexicon: Lexicon,
    ids: IdLooks,
    taught: Teaching = NOTHING,
    *,
    look: TableLook | None = None,
    before: ColumnsGiven | None = None,
) -> Attempt:
    """Read a table as a kind, as far as words, units and what was taught allow.

    Parameters
    ----------
    look
        Its cells, where somebody has looked at them before.
    before
        What the columns of a table of its outline and titles were given to.
    """
    look = look or look_of(file, table, ids, taught.decimal, taught)
    found = Attempt(lexicon, file, table, look.columns, look.mark, [], taught)
    if before is None or not before.give(found):
        _search_columns(found)
    take_entries(found, ids)
    take_labels(found)
    told_by_entry(found)
    take_ids(found, ids)
    if not take_composed(found, ids):
        take_across(found)
    count_on_along_places(found)
    drop_mere_number(found)
    pass_over_means(found)
    complete_what_is_shown(found)
    take_word_that_follows(found)
    take_plus_minus(found)
    take_general_value(found)
    take_peak_in_unit_told(found)
    take_result_of_its_unit(found)
    take_by_notation(found)
    take_told_in_parts(found)
    note_left_over(found)
    note_by_notation(found)
    conclude(found)
    leave_out_no_readings(found)
    return found


def _search_columns(found: Attempt) -> None:
    """Read the titles of a table and give its columns to what they say."""
    lexicon, file, table, taught = found.lexicon, found.file, found.table, found.taught
    below = [column.unit for column in table.seen.columns]
    titles = [
        taught.taught(
            of_the_controller(
                lexicon,
                best_reading(
                    lexicon,
                    lexicon.as_code(
                        by_legend(lexicon, file, of_the_area(file.with_listed_unit(title))), unit
                    ),
                ),
            ),
            lexicon.roles,
        )
        for title, unit in zip(numbered_apart(table.titles, below), below, strict=True)
    ]
    parts = [column.parts for column in table.seen.columns]
    found.titles = [
        of_its_parts(lexicon, title, column.parts, column.unit, parts)
        for title, column in zip(titles, table.seen.columns, strict=True)
    ]
    _tell_taught(found)
    read_numbers_in_notation(found)
    read_at_once(found)
    give_columns(found)
    take_by_words(found)
    take_worded(found)
    found.by_titles = dict(found.given)


def _mark_of(file: File, table: FileTable) -> DecimalMark | None:
    mark = told_mark([column.cells for column in table.seen.columns], table.seen.grid.delimiter)
    return mark if mark is not None else file.mark


def _tell_taught(found: Attempt) -> None:
    """Take what a person has said holds for every row."""
    roles = found.lexicon.roles
    row, sheet = found.table.seen.header_row, found.table.seen.sheet
    for name, value in found.taught.told.items():
        if name in roles:
            told = ToldEntry(Title(name, name), value, None, row, None, sheet)
            found.given[name] = Given(roles[name], TAUGHT, told=told)
    layout = found.file.told
    for told in layout.named(found.file.export, sheet, row) if layout else ():
        if told.title.raw in found.taught.told_by_names:
            found.given[told.title.raw] = Given(roles[told.title.raw], TAUGHT, told=told)
