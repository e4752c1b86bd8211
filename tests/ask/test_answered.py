"""A remark that a register has answered since is told neither by rows nor by SQL."""

from __future__ import annotations

import duckdb
import pyarrow as pa
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.ask.choosing import Registered, as_registered, claims
from tiecoat.ask.sql import remark_in_sql
from tiecoat.remarks import Remark, together, without_unregistered

PARTS = [
    *(one.said() for one in Remark),
    "unregistered-panel: near it, RB-014-3 and 'RB-014-5'",
    "cell leaked",
    "told as unregistered",
]
REGISTERED = Registered(panels={"RB-014-1", "RB-014-2"}, batches={"RB-015"})
PLACES = [("RB-014", "RB-014-1"), ("RB-014", "RB-014-3"), ("RB-015", None), ("RB-016", None)]
ROWS = st.lists(
    st.tuples(st.sampled_from(PLACES), st.lists(st.sampled_from(PARTS), unique=True)), max_size=12
)


@given(ROWS)
def test_rows_and_sql_tell_the_same(drawn: list[tuple[tuple[str, str | None], list[str]]]) -> None:
    """Each is what `without_unregistered` leaves where the register knows, else all of it."""
    names = {"batch": pa.string(), "panel": pa.string(), "remark": pa.string()}
    rows = pa.table(
        [
            pa.array([place[0] for place, _ in drawn], pa.string()),
            pa.array([place[1] for place, _ in drawn], pa.string()),
            pa.array([together(parts) for _, parts in drawn], pa.string()),
        ],
        schema=pa.schema(names),
    )
    known = (("RB-014", "RB-014-1"), ("RB-015", None))
    expected = [
        without_unregistered(together(parts)) if place in known else together(parts)
        for place, parts in drawn
    ]
    found = as_registered(rows, REGISTERED)
    assert found["remark"].to_pylist() == expected
    assert found.drop_columns("remark") == rows.drop_columns("remark")
    changed = expected != rows["remark"].to_pylist()
    assert claims(rows) >= changed
    claiming = {place for place, parts in drawn if any("unregistered-" in part for part in parts)}
    said = remark_in_sql(claiming, REGISTERED)
    assert bool(said) == changed
    if said:
        answer = duckdb.sql(f"SELECT {said} AS remark FROM rows").fetchall()
        assert [remark for (remark,) in answer] == expected
