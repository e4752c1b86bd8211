"""Why a file is held: stable codes, each with a plain text and an advice.

The codes stand in `reason.json` and in the journal and never change their meaning.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from enum import Enum
from typing import Any

from tiecoat.wording import shortened

FAULTS_KEPT = 1000
_ROWS_SHOWN = 5


class Reason(Enum):
    """A stable code, a text that completes "This file is held: ...", and what to do next."""

    code: str
    text: str
    advice: str

    def __init__(self, code: str, text: str, advice: str) -> None:
        self.code = code
        self.text = text
        self.advice = advice

    @classmethod
    def of(cls, code: str) -> Reason:
        """Return the reason with this code; KeyError if there is none."""
        return _BY_CODE[code]

    EMPTY_FILE = (
        "empty-file",
        "the file is empty",
        "Export it again from the instrument; then discard this one.",
    )
    NOT_A_FILE = (
        "not-a-file",
        "this is a link, not a file, and links are not followed",
        "Copy the file itself into the inbox; then discard this one.",
    )
    NOT_TEXT = (
        "not-text",
        "the file is neither text nor a workbook that can be read",
        "Export it as text (CSV) or as .xlsx; or add a reader for this format and try again.",
    )
    TOO_LARGE = (
        "too-large",
        "the file is larger than the limit of this lab",
        "Export a smaller part, or raise intake.max_file_mb in tiecoat.toml and try again.",
    )
    WRONG_ENCODING = (
        "wrong-encoding",
        "the characters of the file cannot be decoded as its reader expects",
        "Export as UTF-8, or name the right encoding in the table profile, then try again.",
    )
    DAMAGED_SHEET = (
        "damaged-sheet",
        "the workbook is damaged, or it unpacks to more than a laboratory sheet can be",
        (
            "Open it, save the sheet you need as a new .xlsx or as CSV, drop that, then discard "
            "this one."
        ),
    )
    NO_READER = (
        "no-reader",
        "no reader knows this file",
        "Teach the layout with tiecoat learn; or add a reader for it, and try again.",
    )
    COMPANION_MISSING = (
        "companion-missing",
        "a file that belongs with it has not come",
        (
            "Put the missing file into the inbox, together with a copy of this one from its held "
            "folder: this hold ends by itself when both have come; or discard this one."
        ),
    )
    SEVERAL_READERS = (
        "several-readers",
        "more than one reader claims this file, equally sure",
        "Make one of the readers stricter, or take one out of the readers folder, then try again.",
    )
    NOTES_INVALID = (
        "notes-invalid",
        "the notes beside the file are not valid TOML, or say what they may not",
        (
            "Correct the notes beside the file in its held folder (its name and .toml), then try "
            "again."
        ),
    )
    DAMAGED_PICTURE = (
        "damaged-picture",
        "the picture is damaged or cut off",
        "Save it again as PNG, TIFF or JPEG, drop that, then discard this one.",
    )
    PICTURE_TOO_LARGE = (
        "picture-too-large",
        "the picture unpacks to more than a photograph can have",
        "Save the part that matters as a smaller picture, drop that, then discard this one.",
    )
    NO_SCALE = (
        "no-scale",
        "nothing says how large a pixel of the picture is",
        (
            "Write um_per_pixel into the notes beside the picture in its held folder (its name and "
            ".toml), or set it in tiecoat.toml, then try again."
        ),
    )
    SCALE_ABSURD = (
        "scale-absurd",
        "a pixel of the picture would be impossibly large or small",
        (
            "Correct um_per_pixel in the notes beside the picture in its held folder (its name and "
            ".toml), or in tiecoat.toml, then try again."
        ),
    )
    NOTHING_TO_MEASURE = (
        "nothing-to-measure",
        "there is nothing on the picture that could be measured",
        "See whether it is the right picture; take another one, then discard this one.",
    )
    DAMAGED_NESTED = (
        "damaged-nested",
        "the file is damaged or cut off: it is no whole JSON or XML",
        "Export it again, drop that, then discard this one.",
    )
    READER_SAYS = (
        "reader-says",
        "its reader finds something wrong with it",
        (
            "Correct what the reader says in a copy, drop that, then discard this one; or report "
            "it to whoever wrote the reader, and try again when it is mended."
        ),
    )
    READER_FAILED = (
        "reader-failed",
        "the reader broke down on this file",
        "Report the detail to whoever wrote the reader; try again when it is mended.",
    )
    READER_TOO_SLOW = (
        "reader-too-slow",
        "the reader did not finish within its time and was stopped",
        "If the file is in order, raise readers.time_limit_s in tiecoat.toml and try again.",
    )
    READER_DIED = (
        "reader-died",
        "the reader ended its process while it read this file",
        "Report it to whoever wrote the reader; try again when it is mended.",
    )
    READER_OUT_OF_MEMORY = (
        "reader-out-of-memory",
        "the reader asked for more memory than it may have and was stopped",
        "If the file is in order, raise readers.memory_limit_mb in tiecoat.toml and try again.",
    )
    READER_BROKE_RULES = (
        "reader-broke-rules",
        "the reader returned something else than its kind asks for",
        "Report the detail to whoever wrote the reader; try again when it is mended.",
    )
    KIND_CHANGED = (
        "kind-changed",
        "its kind has changed, and the tables of this archive have not followed",
        (
            "See what has changed, and what it lacks, with tiecoat upgrade --show, and have the "
            "plugin mended. A service that runs then follows and takes this file up by itself "
            "(start it anew where the plugin is an installed package); without one, try again."
        ),
    )
    KIND_GONE = (
        "kind-gone",
        "the plugin that brings its kind is not there any more",
        (
            "Put the plugin back, into readers/ of the lab or by installing it: a service that "
            "runs then takes this file up by itself (start it anew where the plugin is an "
            "installed package); without one, try again. What is no file of that kind is taught "
            "with tiecoat learn."
        ),
    )
    CUT_OFF = (
        "cut-off",
        "the last row is shorter than the others: the file seems to be cut off",
        (
            "Export it again, and wait until the instrument has finished writing; then discard "
            "this one."
        ),
    )
    UNEVEN_ROW = (
        "uneven-row",
        "a row has more or fewer fields than the header",
        (
            "Correct the row in a copy, or export again with another separator; drop that, then "
            "discard this one."
        ),
    )
    UNREAD_ROWS = (
        "unread-rows",
        "rows that look like results stand outside every table that was read",
        (
            "Correct the titles above these rows, or take the rows out if they are no results, in "
            "a copy, drop that, then discard this one; or have tiecoat learn pass over what begins "
            "with a word of theirs (rows:WORD), or name the titles of their table as ignore under "
            "[layout] in the table profile, and try again."
        ),
    )
    EMPTY_TABLE = (
        "empty-table",
        "the table has a header and no rows",
        "Export it again with the results; then discard this one.",
    )
    MISSING_COLUMN = (
        "missing-column",
        "a column or an entry that is needed is not there",
        (
            "Teach with tiecoat learn where it stands or what it is; or export again with it, drop "
            "that, then discard this one."
        ),
    )
    UNTAKEN_COLUMN = (
        "untaken-column",
        "a column holds values, and nothing says what they are",
        (
            "Teach the layout with tiecoat learn, which asks what the column is or passes it over; "
            "or give it a title of the trade in a copy, drop that, then discard this one."
        ),
    )
    UNKNOWN_UNIT = (
        "unknown-unit",
        "a unit is not known, or does not fit the quantity",
        ("Say the unit with tiecoat learn; or correct a copy, drop that, then discard this one."),
    )
    NOT_A_NUMBER = (
        "not-a-number",
        "there is text where a number belongs",
        "Correct or empty the cell in a copy, drop that, then discard this one.",
    )
    AMBIGUOUS_NUMBER = (
        "ambiguous-number",
        "a number can be read in two ways: decimal comma or thousands mark",
        "Say which with tiecoat learn; or set numbers.decimal in tiecoat.toml and try again.",
    )
    NOT_A_TIME = (
        "not-a-time",
        "a date or time cannot be understood",
        (
            "Correct the time in a copy, drop that, then discard this one; or, if it is right, set "
            "times.formats in tiecoat.toml, or format in the table profile, and try again."
        ),
    )
    SKIPPED_TIME = (
        "skipped-time",
        "this local time does not exist: the clocks were put forward over it",
        "Correct the time in a copy, drop that, then discard this one.",
    )
    DOUBLED_TIME = (
        "doubled-time",
        "this local time occurs twice: the clocks were put back over it",
        (
            "Write the time with its offset (such as 02:30+01:00) in a copy, drop that, then "
            "discard this one."
        ),
    )
    BAD_ID = (
        "bad-id",
        "an id holds characters that an id may not have",
        (
            "Correct the id in a copy, drop that, then discard this one; or, if all of the file "
            "belongs to one batch or panel, assign that."
        ),
    )
    ID_NOT_IN_PATTERN = (
        "id-not-in-pattern",
        "an id does not look like the ids of this lab",
        (
            "Correct the id in a copy, drop that, then discard this one; or, if all of the file "
            "belongs to one batch or panel, assign that; or widen the pattern under [ids] in "
            "tiecoat.toml and try again."
        ),
    )
    NO_BATCH = (
        "no-batch",
        "neither the file nor its name nor the register says which batch it belongs to",
        (
            "Assign the batch if all of the file belongs to one, or several to what is of several "
            "at once, such as the record of a chamber; or register the panel and try again."
        ),
    )
    NO_PANEL = (
        "no-panel",
        "neither the file nor its name says which panel it belongs to",
        (
            "Assign the panel if all of the file belongs to one; or write it into a copy, or its "
            "name, and drop that."
        ),
    )
    OTHER_BATCH = (
        "other-batch",
        "two places say different batches: the file, its name, the id of its panel, the register",
        (
            "Find out which is right; correct it in a copy and drop that, or correct the register "
            "and try again, or assign what is right."
        ),
    )
    OTHER_PANEL = (
        "other-panel",
        "the file or folder name says another panel than the file itself",
        (
            "Find out which is right and assign that; or correct the name or a copy, drop that, "
            "then discard this one."
        ),
    )
    IN_FUTURE = (
        "in-future",
        "it is said to be measured in the future",
        (
            "Correct the time in a copy, drop that, then discard this one; set the clock of the "
            "instrument right, or the time zone in tiecoat.toml."
        ),
    )
    BEFORE_MADE = (
        "before-made",
        "it is said to be measured before the panel was coated or the batch was mixed",
        (
            "Find out which is right; correct the date in the register and try again, or the time "
            "in a copy and drop that."
        ),
    )
    NOT_REGISTERED = (
        "not-registered",
        "the register does not know the panel or batch, and this lab has such files held",
        "Register it and try again; a register sheet that is dropped does so by itself.",
    )
    AGAINST_REGISTER = (
        "against-register",
        "the file contradicts the dates of the register",
        (
            "Find out which is right; correct the register and try again, or correct a copy of "
            "the file and drop that."
        ),
    )
    TWICE_IN_REGISTER = (
        "twice-in-register",
        "a batch or panel stands twice in one register sheet, with different values",
        "Leave one of the rows out in a copy, drop that, then discard this one.",
    )
    OUT_OF_BOUNDS = (
        "out-of-bounds",
        "a value is outside what is possible for its column",
        (
            "Check the value, its unit and its decimal mark; correct it in a copy, drop that, then "
            "discard this one."
        ),
    )
    MISSING_VALUE = (
        "missing-value",
        "a value that is needed is not there",
        "Fill the cell in a copy, or leave out its row, drop that, then discard this one.",
    )
    REPEATED_ROW = (
        "repeated-row",
        "two rows of one determination share what must differ",
        (
            "Leave one of them out in a copy, drop that, then discard this one. Two sweeps in one "
            "file, such as down and up, become two copies, each with its own time: they count as "
            "repeats."
        ),
    )
    BAD_NOTATION = (
        "bad-notation",
        "a failure pattern is not in the notation of ISO 4624, or its shares do not add to 100 %",
        "Correct it in a copy (such as 60 % B, 40 % B/C), drop that, then discard this one.",
    )
    INCONSISTENT = (
        "inconsistent",
        "values that belong together contradict each other",
        "Find out which is right, correct it in a copy, drop that, then discard this one.",
    )
    GIVEN_TWICE = (
        "given-twice",
        "the file gives one determination more than once, with different values",
        (
            "If they are several determinations, have them told apart (by the number of the spot "
            "or dolly, or the time: a column that tiecoat learn is told of) and try again; if one "
            "is wrong, leave it out in a copy, drop that, then discard this one."
        ),
    )
    CONFLICT = (
        "conflict",
        "the archive already holds this determination with other values",
        (
            "If the new values are right, run the supersede command below; if not, discard this "
            "file. If it was measured again, drop a copy that says when."
        ),
    )
    CHANGED_SINCE = (
        "changed-since",
        "the file was filed, and was changed after that otherwise than by more at its end",
        (
            "Find out who changed it in done/, and why; what was filed stays as it is. If this is "
            "an export of its own, try again; if not, discard this one."
        ),
    )


ADDED = ("file", "at", "words")
_BY_CODE = {reason.code: reason for reason in Reason}


@dataclass(frozen=True)
class Fault:
    """One fault of one file, where it stands and what was expected.

    `row` is the line of a text file or the row of a sheet, counted from 1 as an editor shows it;
    `file` is the name of a companion where it stands in one, `at` the place in a nested file, such
    as /points/3/f. `words` are those of its reader, with the reason READER_SAYS. What the file says
    is `shortened`.

    Raises
    ------
    TypeError
        If `reason` is none.
    """

    reason: Reason
    row: int | None = None
    column: str | None = None
    found: str | None = None
    expected: str | None = None
    sheet: str | None = None
    file: str | None = None
    at: str | None = None
    words: str | None = None

    def __post_init__(self) -> None:
        given: object = self.reason
        if not isinstance(given, Reason):
            raise TypeError(
                f"Fault begins with a Reason; found {given!r}. Words of your own are"
                " Fault(Reason.READER_SAYS, row, column, words=...)"
            )
        for name in ("column", "found", "expected", "sheet", "file", "at", "words"):
            if (text := getattr(self, name)) is not None:
                object.__setattr__(self, name, shortened(text))

    @property
    def sentence(self) -> str:
        """The fault in one line."""
        place = [f"{self.file}"] if self.file else []
        place += [f"sheet {self.sheet!r}"] if self.sheet else []
        place += [f"row {self.row}"] if self.row is not None else []
        place += [f"column {self.column!r}"] if self.column else []
        place += [f"at {self.at}"] if self.at else []
        said = [self.words] if self.words else []
        said += [] if self.found is None else [f"found {self.found}"]
        said += [] if self.expected is None else [f"expected {self.expected}"]
        start = ", ".join(place)
        text = "; ".join(said) or self.reason.text
        return f"{start}: {text}" if start else text

    def at_rows(self, rows: Sequence[int]) -> str:
        """Return the fault in one line where it stands in several rows alike.

        Examples
        --------
        >>> Fault(Reason.NOT_A_NUMBER, 3, "F", "'x'", "a number").at_rows([3, 4, 9])
        "rows 3, 4 and 9, column 'F': found 'x'; expected a number"
        """
        if len(rows) < 2:
            return self.sentence
        shown = [str(row) for row in rows[:_ROWS_SHOWN]]
        last = shown.pop() if len(rows) <= _ROWS_SHOWN else f"{len(rows) - _ROWS_SHOWN} more"
        return self.sentence.replace(f"row {self.row}", f"rows {', '.join(shown)} and {last}", 1)

    def as_record(self) -> dict[str, Any]:
        """Return plain values for JSON."""
        record = {**asdict(self), "reason": self.reason.code}
        rare = [name for name in ADDED if record[name] is None]  # which older programs do not know
        return {name: value for name, value in record.items() if name not in rare}

    @classmethod
    def from_record(cls, record: dict[str, Any]) -> Fault:
        """Return the fault that `as_record` wrote."""
        return cls(**{**record, "reason": Reason.of(record["reason"])})


def once_each(faults: Iterable[Fault]) -> list[tuple[Fault, list[int]]]:
    """Return faults that differ in more than their row, each with its rows.

    Examples
    --------
    >>> same = [Fault(Reason.NOT_A_NUMBER, row, "F", "'x'", "a number") for row in (3, 4)]
    >>> [(fault.row, rows) for fault, rows in once_each(same)]
    [(3, [3, 4])]
    """
    found: dict[Fault, tuple[Fault, list[int]]] = {}
    for fault in faults:
        _, rows = found.setdefault(replace(fault, row=None), (fault, []))
        rows += [fault.row] if fault.row is not None else []
    return list(found.values())
