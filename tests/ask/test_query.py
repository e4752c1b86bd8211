"""Questions to the archive and what they answer."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import polars as pl
import pyarrow as pa
import pytest
from archive_rows import export, file, make_lab, plate, recipe, sha_of, sweep, wet

import tiecoat
from tiecoat.ask.query import Archive, open_archive
from tiecoat.errors import ArchiveDamaged, QueryInvalid, UnknownName
from tiecoat.lab.ids import table_path
from tiecoat.lab.settings import Lab


@pytest.fixture
def lab(tmp_path: Path) -> Lab:
    return make_lab(tmp_path / "lab")


@pytest.fixture
def archive(lab: Lab) -> Archive:
    file(
        lab,
        export("day1.csv", {"impedance": [sweep("RB-014-1"), sweep("RB-014-2", scale=2)]}),
        export("day2.csv", {"impedance": [sweep("RB-014-1", 48), sweep("RB-015-1")]}),
        export("wet.csv", {"density": [wet(1.30), wet(1.36, "RB-015")]}),
        export("register.xlsx", {"batches": [recipe("RB-014", "talc"), recipe("RB-016", "none")]}),
    )
    return Archive(lab)


def test_open_reads_a_lab(archive: Archive, lab: Lab) -> None:
    """tiecoat.open gives the archive of a lab folder."""
    opened = tiecoat.open(lab.root)

    assert opened.kinds() == ["batches", "density", "impedance"]
    assert opened.batches() == ["RB-014", "RB-015", "RB-016"]


def test_read_by_batch_and_panel(archive: Archive) -> None:
    """A kind is read whole, by batch or by panel, in a fixed order."""
    assert len(archive.read("impedance")) == 12
    assert list(archive.read("impedance", batch="RB-014")["panel"].unique()) == [
        "RB-014-1",
        "RB-014-2",
    ]
    rows = archive.read("impedance", panel="RB-014-1")
    assert list(rows["frequency_hz"]) == [0.1, 100.0, 1e5] * 2
    assert list(rows["exposure_h"]) == [24.0] * 3 + [48.0] * 3
    assert archive.read("impedance", batch="RB-014", panel="RB-014-1").equals(rows)


def test_ids_in_another_case(archive: Archive) -> None:
    """Ids and kinds are understood in upper and lower case."""
    wanted = archive.read("impedance", batch="RB-014", panel="RB-014-1")

    assert archive.read("Impedance", batch=" rb-014", panel="rb-014-1 ").equals(wanted)
    assert len(archive.measurements(batch="rb-014", panel="Rb-014-2")) == 1


def test_unknown_names_are_told_with_near_ones(archive: Archive) -> None:
    """An unknown kind, batch or panel is told with those that there are or that are near."""
    with pytest.raises(UnknownName, match=r"near it: impedance$"):
        archive.read("impedanz")
    with pytest.raises(UnknownName, match="there are: batches, density, impedance"):
        archive.read("haze")
    with pytest.raises(UnknownName, match="near it: RB-01"):
        archive.read("impedance", batch="RB-041")
    with pytest.raises(UnknownName, match=r"no panel 'RB-014-9'.*RB-014-1"):
        archive.read("impedance", panel="RB-014-9")
    with pytest.raises(UnknownName, match="no panel 'RB-014-9'"):
        archive.read("impedance", batch="RB-014", panel="RB-014-9")
    with pytest.raises(UnknownName, match="no panel"):
        archive.measurements(panel="../etc")
    with pytest.raises(UnknownName, match="no kind"):
        archive.arrow("..")


def test_a_known_batch_without_such_a_measurement_is_empty(archive: Archive) -> None:
    """A batch that exists but was not measured so gives no rows, with the columns of the kind."""
    rows = archive.read("impedance", batch="RB-016")

    assert len(rows) == 0
    assert "frequency_hz" in rows.columns


def test_pairs_that_cannot_be_are_told(archive: Archive) -> None:
    """A panel of another batch, or of a kind that knows none, is no question without an answer."""
    told = r"panel 'RB-014-1' is not of RB-015, but of RB-014"
    with pytest.raises(UnknownName, match=told):
        archive.read("impedance", batch="RB-015", panel="RB-014-1")
    with pytest.raises(UnknownName, match=told):
        archive.read("impedance", ["RB-015"], ["RB-015-1", "RB-014-1"])
    for kind in ("impedance", None):
        with pytest.raises(UnknownName, match=told):
            archive.measurements(kind, batch="RB-015", panel="RB-014-1")
    with pytest.raises(UnknownName, match=told):
        archive.evaluate("impedance", batch="RB-015", panel="RB-014-1")
    whose = "density is measured of a batch and not of a panel; ask for RB-014"
    with pytest.raises(UnknownName, match=whose):
        archive.read("density", panel="RB-014-1")
    with pytest.raises(UnknownName, match=whose):
        archive.measurements("density", panel="RB-014-1")
    both = archive.read("impedance", ["RB-014", "RB-015"], panel="RB-015-1")
    assert both["batch"].unique().tolist() == ["RB-015"]


def test_where(archive: Archive) -> None:
    """A condition in SQL picks rows and keeps their order."""
    rows = archive.read("impedance", where="frequency_hz < 1 and panel like 'RB-014%' -- low")

    assert list(rows["panel"]) == ["RB-014-1", "RB-014-1", "RB-014-2"]
    with pytest.raises(QueryInvalid, match=r"(?s)frequenz_hz.*Columns:.*frequency_hz"):
        archive.read("impedance", where="frequenz_hz < 1")


def test_measurements(archive: Archive) -> None:
    """There is one row for each measurement, with its origin."""
    found = archive.measurements(kind="impedance")

    assert list(found["panel"]) == ["RB-014-1", "RB-014-1", "RB-014-2", "RB-015-1"]
    assert set(found["n_rows"]) == {3}
    assert list(found["source_row"]) == [2, 2, 5, 5]
    assert str(found["measured_at"].dtype) == "datetime64[us, UTC]"
    assert list(archive.measurements(batch="RB-015")["kind"]) == ["density", "impedance"]
    assert len(archive.measurements()) == 8


def test_since_and_until(tmp_path: Path) -> None:
    """Dates without a zone are dates of the lab; a date as the end includes its day."""
    lab = make_lab(tmp_path / "lab", '[times]\nzone = "Europe/Berlin"\n')
    midnight = datetime(2026, 10, 2, 22, 0, tzinfo=UTC)  # in Berlin the 3rd begins
    late = [{**wet(1.3)[0], "measured_at": midnight}]
    file(lab, export("a.csv", {"density": [late, wet(1.2), recipe_less()]}))
    archive = Archive(lab)

    def count(**limits: object) -> int:
        return len(archive.measurements(**limits))  # type: ignore[arg-type]

    assert count() == 3
    assert count(since="2026-10-03") == 1
    assert count(until="2026-10-02") == 1
    assert count(until=date(2026, 10, 3)) == 2
    assert count(until="2026-10-03 00:00") == 1
    assert count(since=midnight) == 1
    assert count(since=np.datetime64("2026-10-03T00:00")) == 1
    assert count(since="2026-10-02T22:00:00+00:00") == 1
    with pytest.raises(QueryInvalid, match="'yesterday' is no date; write it as 2026-10-01"):
        count(since="yesterday")


def recipe_less() -> list[dict[str, object]]:
    """A density that says no time."""
    return [{**wet(1.25, state="filtered")[0], "measured_at": None}]


def test_sql(archive: Archive) -> None:
    """SQL joins kinds; each is a table of valid rows."""
    answer = archive.sql(
        "select batch, candidate, density_g_cm3 from density join batches using (batch)"
    )

    assert answer.values.tolist() == [["RB-014", "talc", 1.30]]
    assert archive.sql("select 1 as one")["one"].tolist() == [1]
    assert set(archive.sql("show tables")["name"]) >= {"density", "density_all", "impedance"}


def test_sql_that_is_not_understood(archive: Archive) -> None:
    """A query that is not understood is told in DuckDB's words, with the tables there are."""
    with pytest.raises(QueryInvalid, match=r"(?s)densities.*Tables: batches, batches_all, density"):
        archive.sql("select * from densities")
    with pytest.raises(QueryInvalid, match="syntax"):
        archive.sql("selct 1")


def test_sql_of_withdrawn_rows_and_of_later_columns(lab: Lab) -> None:
    """`<kind>_all` has the withdrawn rows; columns that only some batches have are united."""
    file(lab, export("a.xlsx", {"batches": [recipe("RB-014", "talc")]}))
    newer = [{**recipe("RB-015", "mica")[0], "supplier": "north"}]
    file(lab, export("b.xlsx", {"batches": [newer]}, batches={"supplier": pa.string()}))
    file(lab, export("c.xlsx", {"batches": [recipe("RB-014", "talc", 3.0)]}))
    archive = Archive(lab)

    assert archive.sql("select dose_percent, supplier from batches order by batch").fillna(
        "-"
    ).values.tolist() == [[3.0, "-"], [2.0, "north"]]
    assert archive.sql("select count(*) as n from batches_all")["n"].tolist() == [3]
    assert list(archive.read("batches")["supplier"].fillna("-")) == ["-", "north"]


def test_sql_with_pattern_signs_in_the_path(tmp_path: Path) -> None:
    """A lab folder may have brackets, quotes and blanks in its name."""
    lab = make_lab(tmp_path / "lab [1] o'clock")
    file(lab, export("a.csv", {"density": [wet(1.3)]}))

    assert Archive(lab).sql("select density_g_cm3 from density").values.tolist() == [[1.3]]


def test_arrow_gives_a_dataset(archive: Archive) -> None:
    """The dataset serves pyarrow and polars and leaves withdrawn rows out."""
    rows = archive.arrow("impedance")

    assert rows.count_rows() == 12
    lazy = pl.scan_pyarrow_dataset(rows).filter(pl.col("panel") == "RB-014-2")
    assert lazy.collect().height == 3
    assert rows.schema.field("z_real_ohm").metadata[b"meaning"] == b"the z_real_ohm"


def test_arrow_of_withdrawn_rows(lab: Lab) -> None:
    """Withdrawn rows come with the dataset only when they are asked for."""
    for name, substrate in (("a.xlsx", "S235"), ("b.xlsx", "S355")):
        file(lab, export(name, {"panels": [plate("RB-014-1", "RB-014", substrate)]}))
    archive = Archive(lab)

    assert archive.arrow("panels").to_table()["substrate"].to_pylist() == ["S355"]
    assert archive.arrow("panels", withdrawn=True).count_rows() == 2


def test_original(archive: Archive, lab: Lab) -> None:
    """The original is found by its SHA-256 and by a measurement from it."""
    sha256 = sha_of("day1.csv")
    path = lab.originals / sha256[:2] / sha256 / "day1.csv"
    path.parent.mkdir(parents=True)
    path.write_text("day1.csv")  # the content of this SHA-256

    assert archive.original(sha256.upper()) == path
    assert archive.original(archive.measurements()["measurement"].iloc[-4]) == path
    (path.parent / ".DS_Store").write_text("put there by a system")
    assert archive.original(sha256) == path
    path.write_text("edited")
    with pytest.raises(ArchiveDamaged, match="was changed after it was stored"):
        archive.original(sha256)
    for name in (sha_of("other"), "../../..", "", "*"):
        with pytest.raises(UnknownName, match="no original"):
            archive.original(name)


def test_an_empty_lab(lab: Lab) -> None:
    """A lab without tables answers in plain words."""
    archive = Archive(lab)

    assert archive.kinds() == archive.batches() == []
    assert len(archive.measurements()) == 0
    with pytest.raises(UnknownName, match="nothing has been filed"):
        archive.read("impedance")
    with pytest.raises(QueryInvalid, match="none yet"):
        archive.sql("select * from impedance")


def test_a_damaged_table_is_named(archive: Archive, lab: Lab) -> None:
    """A table that does not open is named."""
    path = table_path(lab.archive, "density", "RB-015")
    path.write_bytes(b"PAR1")

    for ask in (
        lambda: archive.read("density"),
        lambda: archive.sql("select * from density"),
        lambda: archive.arrow("density"),
    ):
        with pytest.raises(ArchiveDamaged, match=r"RB-015|density"):
            ask()
    assert len(archive.read("density", batch="RB-014")) == 1


def test_reading_changes_nothing_and_needs_no_index(archive: Archive, lab: Lab) -> None:
    """Without an index every answer is the same, and reading makes none."""

    def answers() -> list[object]:
        return [
            archive.read("impedance", panel="RB-014-2").to_dict(),
            archive.measurements(kind="impedance").to_dict(),
            archive.sql("select * from impedance order by all").to_dict(),
        ]

    before = answers()
    for path in lab.root.glob("index.sqlite*"):
        path.unlink()

    assert answers() == before
    file(lab, export("late.csv", {"impedance": [sweep("RB-014-7")]}))
    for path in lab.root.glob("index.sqlite*"):
        path.unlink()
    assert len(archive.measurements(panel="RB-014-7")) == 1
    assert not lab.index.exists()


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda archive: archive.original(3), "name must be a text"),
        (lambda archive: archive.arrow(3), "kind must be a text"),
        (lambda archive: archive.versions(3), "kind must be a text"),
        (lambda archive: archive.read("density", withdrawn="no"), "True or False; found 'no'"),
        (lambda archive: archive.arrow("density", withdrawn="no"), "True or False; found 'no'"),
        (lambda archive: archive.evaluate("pull_off", quantity=3), "quantity must be a text"),
        (lambda archive: archive.measurements(kind=3), "kind must be a text"),
        (lambda archive: archive.measurements(since=3), "3 .* is no date"),
        (lambda archive: open_archive(5), "folder is 5 .*expected the path of a lab"),
    ],
)
def test_what_is_of_a_wrong_type_is_told(
    archive: Archive, ask: Callable[[Archive], object], said: str
) -> None:
    """With what was found and what is expected, for every argument."""
    with pytest.raises(QueryInvalid, match=said):
        ask(archive)
