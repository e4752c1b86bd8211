"""What an instrument writes in any dialect comes back to the digit, or is held."""

from __future__ import annotations

import math
import tempfile
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.dialect.numbers import two_readings
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

PREAMBLES = [
    "",
    "Film impedance in 3 % NaCl\nPanel: RB-014-3\n\n",
    "Panel;RB-014-3\n\n",
    "µ, Ω; 5 °C\n",
]
ENCODINGS = ["utf-8", "utf-8-sig", "cp1252", "utf-16"]
HUGE = 1e15
VALUES = st.floats(-HUGE, HUGE, allow_nan=False).filter(lambda v: v == 0 or abs(v) > 1e-15)
TITLES = {"f": ("Frequency",), "re": ("Z'",), "temp": ("Temp.",)}


def written(value: float, decimal: str, thousands: str) -> str:
    text = f"{value:{',' if thousands else ''}.6f}" if thousands else repr(value)
    return text.translate(str.maketrans({",": thousands, ".": decimal}))


def opened(raw: bytes, habits: Habits = Habits()) -> Export:
    with tempfile.NamedTemporaryFile(delete=False) as file:
        file.write(raw)
    export = Export(Path(file.name), "export.csv", "", habits)
    export.head  # noqa: B018 (read before the file goes)
    Path(file.name).unlink()
    return export


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(VALUES, VALUES, VALUES), min_size=1, max_size=8),
    st.sampled_from([";", "\t", ",", "|"]),
    st.sampled_from([(".", ""), (",", ""), (".", ","), (",", "."), (",", " "), (".", "'")]),
    st.sampled_from(PREAMBLES),
    st.booleans(),
    st.sampled_from(ENCODINGS),
    st.sampled_from(["\n", "\r\n"]),
)
def test_numbers_come_back_from_every_dialect(  # noqa: PLR0917 (hypothesis fills them in)
    rows: list[tuple[float, float, float]],
    delimiter: str,
    marks: tuple[str, str],
    preamble: str,
    unit_row: bool,
    encoding: str,
    line_end: str,
) -> None:
    """Delimiter x decimal mark x thousands mark x preamble x unit row x encoding x line end."""
    decimal, thousands = marks
    assume("Ω" not in preamble or encoding != "cp1252")
    quote = '"' if delimiter == "," and "," in marks else ""
    header = (
        ["Frequency", "Z'", "Temp."] if unit_row else ["Frequency [Hz]", "Z' / Ohm", "Temp. (°C)"]
    )
    lines = [delimiter.join(header)]
    lines += [delimiter.join(["Hz", "Ohm", "°C"])] if unit_row else []
    lines += [
        delimiter.join(f"{quote}{written(value, decimal, thousands)}{quote}" for value in row)
        for row in rows
    ]
    text = (preamble + "\n".join(lines) + "\n").replace("\n", line_end)
    export = opened(text.encode(encoding))
    (table,) = export.tables(TITLES)
    columns = [table.numbers("f", "Hz"), table.numbers("re", "ohm"), table.numbers("temp", "degC")]
    found = list(zip(*columns, strict=True))
    start = preamble.count("\n") + 2 + unit_row
    assert table.rows == list(range(start, start + len(rows)))
    assert {fault.reason for fault in export.faults} <= {Reason.AMBIGUOUS_NUMBER}
    for given_row, read_row in zip(rows, found, strict=True):
        for value, read in zip(given_row, read_row, strict=True):
            if export.faults and two_readings(written(value, decimal, thousands)):
                assert math.isnan(read)
            else:
                assert read == (round(value, 6) if thousands else value)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=400), st.sampled_from([";", ",", "\t"]))
def test_any_text_gives_tables_or_a_reason(text: str, delimiter: str) -> None:
    """Nothing but FileHeld is raised for what a file holds."""
    header = delimiter.join(["Frequency", "Z'", "Temp."])
    export = opened((text[:200] + "\n" + header + "\n" + text[200:]).encode("utf-8", "replace"))
    export.first_lines()
    export.missing(TITLES)
    try:
        tables = export.tables(TITLES)
    except FileHeld as error:
        assert error.faults  # noqa: PT017 (either outcome is right)
        return
    for table in tables:
        assert len(table.numbers("f", "Hz")) == len(table.texts("re")) == len(table.rows)
        table.times("temp")
        table.entry_number(("Panel", ""), "um")
        table.entry_time(("Panel",))


@settings(max_examples=200, deadline=None)
@given(
    st.integers(0, 10),
    st.integers(0, 26 * 60),
    st.sampled_from(["%d.%m.%Y %H:%M", "%Y-%m-%dT%H:%M", "%Y/%m/%d %H:%M"]),
)
def test_times_around_the_clock_changes_come_back_or_are_held(
    year: int, minutes: int, form: str
) -> None:
    """Every minute of the two days of the year on which the clocks of Berlin change."""
    zone = ZoneInfo("Europe/Berlin")
    for month in (3, 10):
        last = datetime(2020 + year, month, 31)  # noqa: DTZ001 (local)
        sunday = last - timedelta(days=(last.weekday() + 1) % 7)
        local = sunday + timedelta(minutes=minutes)
        export = opened(f"t;n\n{local.strftime(form)};1\n".encode(), Habits(zone=zone))
        (moment,) = export.tables({"t": ("t",), "n": ("n",)})[0].times("t")
        changes = local.date() == sunday.date() and local.hour == 2
        if changes:
            reason = Reason.SKIPPED_TIME if month == 3 else Reason.DOUBLED_TIME
            assert [fault.reason for fault in export.faults] == [reason]
            assert moment is None
        else:
            assert moment is not None
            assert moment.astimezone(zone).replace(tzinfo=None) == local
