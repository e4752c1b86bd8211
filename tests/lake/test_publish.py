"""What is published is what stands in the archives: once, as it is now, and each lab its own."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest
from archive_rows import (
    decided,
    export,
    make_lab,
    plate,
    recipe,
    sweep,
    wet,
)

pytest.importorskip("deltalake", reason="the extra lake is not installed")

import pyarrow as pa
import pyarrow.dataset as ds
from deltalake import DeltaTable
from lakes import file, lake_equals, publish, retract

import tiecoat
import tiecoat.lake
from tiecoat.cli import main
from tiecoat.errors import LakeDisagrees, LakeOutOfReach, NotPossibleHere, QueryInvalid, UnknownName
from tiecoat.lab.settings import Lab
from tiecoat.lake import labs, publishing
from tiecoat.lake.publishing import Publisher
from tiecoat.lake.tables import LakeTables

REGISTER = {
    "batches": [recipe("RB-014", "flake"), recipe("RB-015", "talc")],
    "panels": [plate("RB-014-1", "RB-014"), plate("RB-015-1", "RB-015")],
}


@pytest.fixture
def lab(tmp_path: Path) -> Lab:
    """A lab with a register, and measurements of two batches."""
    made = make_lab(tmp_path / "hall")
    file(
        made,
        export("register.csv", REGISTER),
        export("a.csv", {"impedance": [sweep(), sweep("RB-015-1")]}),
        export("b.csv", {"density": [wet(1.31), wet(1.27, "RB-015")]}),
    )
    return made


def take_place(lab: Lab, of: Lab) -> None:
    """Put another archive in the place of that of a lab, as a rebuild does."""
    shutil.rmtree(lab.archive)
    shutil.copytree(of.archive, lab.archive)
    shutil.copy(of.index, lab.index)


def versions(url: Path) -> dict[str, int]:
    """The version of each table of a lake, which every commit raises."""
    return {path.name: DeltaTable(path).version() for path in sorted(url.iterdir())}


def test_each_run_publishes_what_has_changed_and_nothing_else(tmp_path: Path, lab: Lab) -> None:
    """A second run commits nothing; a file replaces its batch; withdrawn rows keep their marks."""
    url = tmp_path / "lake"
    assert {kind: one.changed for kind, one in publish(lab, url).items()} == dict.fromkeys(
        ("batches", "density", "impedance", "panels"), ("RB-014", "RB-015")
    )
    lake_equals(url, {"hall": lab})
    before = versions(url)
    assert publish(lab, url) == {}
    assert versions(url) == before

    file(lab, export("c.csv", {"density": [wet(1.25, "RB-015", "deaerated")]}))
    done = publish(lab, url)
    assert {kind: one.changed for kind, one in done.items()} == {"density": ("RB-015",)}
    assert versions(url) == before | {
        "density": before["density"] + 1,
        "labs": before["labs"] + 1,
    }
    lake_equals(url, {"hall": lab})

    retract(lab, "c.csv")
    file(lab, decided(export("d.csv", {"density": [wet(1.30)]}), "M. Keller", "weighed again"))
    assert publish(lab, url)["density"].changed == ("RB-014", "RB-015")
    lake_equals(url, {"hall": lab})
    density = tiecoat.lake.open(url).read("density", withdrawn=True)
    assert density["withdrawn"].dropna().tolist() == ["superseded", "retracted"]
    assert density["withdrawn_why"].dropna().tolist() == ["weighed again", "wet cup"]
    assert tiecoat.lake.open(url).read("density")["density_g_cm3"].tolist() == [1.30, 1.27]


def test_what_is_gone_from_an_archive_goes_from_the_lake(tmp_path: Path, lab: Lab) -> None:
    """A rebuild can take a table away; a table that is lost without one takes nothing away."""
    url = tmp_path / "lake"
    publish(lab, url)
    shutil.rmtree(lab.archive / "density" / "RB-015")
    with pytest.raises(tiecoat.ArchiveDamaged, match="RB-015"):
        publish(lab, url)
    assert len(tiecoat.lake.open(url).read("density")) == 2
    other = make_lab(tmp_path / "anew" / "hall")
    file(other, export("b.csv", {"density": [wet(1.31)]}))
    take_place(lab, other)
    done = publish(lab, url)
    assert done["density"].gone == ("RB-015",)
    assert done["panels"].gone == ("RB-014", "RB-015")
    lake_equals(url, {"hall": lab})


def test_several_labs_share_the_tables(tmp_path: Path, lab: Lab) -> None:
    """Their rows stand side by side, batches of equal ids too; what one changes is its own."""
    url, other = tmp_path / "lake", make_lab(tmp_path / "quay")
    file(other, export("o.csv", {"density": [wet(1.19)], "impedance": [sweep(scale=2.0)]}))
    publish(lab, url)
    publish(other, url)
    retract(other, "o.csv")
    publish(other, url)
    lake_equals(url, {"hall": lab, "quay": other})
    lake = tiecoat.lake.open(url)
    assert lake.read("density", batch="rb-014")["lab"].tolist() == ["hall"]
    assert lake.read("impedance", "quay", columns=["batch", "z_real_ohm"])[
        "z_real_ohm"
    ].tolist() == [2e7, 2e4, 20.0]


def test_a_lab_has_its_name_for_itself(tmp_path: Path, lab: Lab) -> None:
    """A second lab of the same name publishes nothing until it is given another."""
    url, other = tmp_path / "lake", make_lab(tmp_path / "elsewhere" / "Hall")
    file(other, export("o.csv", {"density": [wet(1.19)]}))
    publish(lab, url)
    with pytest.raises(LakeDisagrees, match=r"another lab is called 'Hall'[\s\S]*--as NAME"):
        publish(other, url)
    lake_equals(url, {"hall": lab})
    publish(other, url, "quay 2")
    lake_equals(url, {"hall": lab, "quay 2": other})
    with pytest.raises(LakeDisagrees, match="called 'quay 2' in this lake, and keeps its name"):
        publish(other, url, "quay 3")
    moved = lab.root.with_name("hall of before")
    lab.root.rename(moved)
    with pytest.raises(LakeDisagrees, match=r"called 'hall of before'[\s\S]*--instead"):
        publish(tiecoat.open(moved).lab, url)
    assert Publisher(tiecoat.open(moved).lab, url, instead=True).publish().lab == "hall"
    assert Publisher(tiecoat.open(moved).lab, url).publish().lab == "hall"
    with pytest.raises(QueryInvalid, match="cannot be the name of a lab"):
        publish(make_with_density(tmp_path / "third"), url, "o'clock")


def make_with_density(root: Path) -> Lab:
    lab = make_lab(root)
    file(lab, export("t.csv", {"density": [wet(1.1)]}))
    return lab


def test_a_copy_of_another_name_publishes_nothing_as_the_lab(
    tmp_path: Path, lab: Lab, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was retracted in a copy, to try it, does not go where the lab has published."""
    url, copy = tmp_path / "lake", tmp_path / "trial"
    publish(lab, url)
    shutil.copytree(lab.root, copy)
    trial = tiecoat.open(copy).lab
    retract(trial, "b.csv")
    for more in ([], ["--as", "trial"]):
        assert main(["publish", str(url), *more, "--lab", str(copy)]) == 2
        said = capsys.readouterr().err
        assert "'hall' has published here from a folder called 'hall'" in said
        assert "this folder is called 'trial'" in said
        assert "--instead" in said
    lake_equals(url, {"hall": lab})
    assert main(["publish", str(url), "--instead", "--lab", str(copy)]) == 0
    lake_equals(url, {"hall": trial})
    publish(trial, url)  # the folder is known by now
    with pytest.raises(LakeDisagrees, match=r"from a folder called 'trial'[\s\S]*--instead"):
        publish(lab, url)


def test_labs_of_a_lake_of_before_are_known(tmp_path: Path, lab: Lab) -> None:
    """A table of labs that tells no folders gets them with the next publishing of each."""
    url = tmp_path / "lake"
    with pytest.MonkeyPatch.context() as patch:
        names = [field for field in labs._schema() if field.name != "folder"]
        patch.setattr(labs, "_schema", lambda: pa.schema(names))
        publish(lab, url)
    assert tiecoat.lake.open(url).labs() == ["hall"]
    publish(lab, url)
    (entry,) = labs.entries(LakeTables(url).open("labs"))
    assert entry.folder == "hall"
    lake_equals(url, {"hall": lab})


def test_a_copy_that_has_gone_its_own_way_overwrites_nothing(tmp_path: Path, lab: Lab) -> None:
    """An older copy, or one with other files since, is refused until a person says which counts."""
    url, copy = tmp_path / "lake", tmp_path / "copy" / "hall"
    shutil.copytree(lab.root, copy)
    publish(lab, url)
    publish(tiecoat.open(copy).lab, url)  # it is the same so far
    file(lab, export("c.csv", {"density": [wet(1.25, "RB-015", "deaerated")]}))
    publish(lab, url)
    with pytest.raises(LakeDisagrees, match=r"another copy of this lab[\s\S]*--instead"):
        publish(tiecoat.open(copy).lab, url)
    lake_equals(url, {"hall": lab})
    file(tiecoat.open(copy).lab, export("k.csv", {"density": [wet(1.4, "RB-016")]}))
    assert main(["publish", str(url), "--instead", "--lab", str(copy)]) == 0
    lake_equals(url, {"hall": tiecoat.open(copy).lab})
    with pytest.raises(LakeDisagrees, match="another copy of this lab"):
        publish(lab, url)


def test_units_and_meanings_stand_in_the_lake(tmp_path: Path, lab: Lab) -> None:
    """In the fields, as comments, and the kind among the properties of its table."""
    url = tmp_path / "lake"
    publish(lab, url)
    table = DeltaTable(url / "density")
    field = next(one for one in table.schema().fields if one.name == "density_g_cm3")
    assert field.metadata == {
        "unit": "",
        "meaning": "the density_g_cm3",
        "role": "value",
        "comment": "the density_g_cm3",
    }
    said = table.metadata()
    assert said.partition_columns == ["lab"]
    assert said.configuration["tiecoat.kind"] == "density"
    types = {one.name: one.type.type for one in table.schema().fields}
    assert {types[name] for name in ("lab", "batch", "panel")} == {"string"}
    told = tiecoat.lake.open(url).columns("density")
    assert told.loc["density_g_cm3", "meaning"] == "the density_g_cm3"
    assert told.loc["lab", "meaning"] == "the lab that published it"


def test_a_column_that_is_added_is_added_in_the_lake(tmp_path: Path, lab: Lab) -> None:
    """Rows of before, and of labs with the earlier kind, have none; they go on to publish."""
    import pyarrow as pa

    url, newer = tmp_path / "lake", make_lab(tmp_path / "newer")
    publish(lab, url)
    more = {"density": {"temperature_c": pa.float64()}}
    warm = [{**wet(1.2)[0], "temperature_c": 23.0}]
    file(newer, export("n.csv", {"density": [warm]}, **more))
    publish(newer, url)
    file(lab, export("c.csv", {"density": [wet(1.25, "RB-016")]}))
    assert publish(lab, url)["density"].changed == ("RB-016",)
    lake_equals(url, {"hall": lab, "newer": newer})
    lake = tiecoat.lake.open(url)
    assert lake.read("density")["temperature_c"].dropna().tolist() == [23.0]
    assert lake.columns("density").loc["temperature_c", "meaning"] == "the temperature_c"
    table = DeltaTable(url / "density")
    assert table.metadata().configuration["tiecoat.kind_version"] == "2"
    before = table.version()
    publish(newer, url)
    assert DeltaTable(url / "density").version() == before


def test_a_changed_unit_is_refused_where_others_have_published(
    tmp_path: Path, lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It says what differs; all other kinds are published; a lab alone has its table made anew."""
    import archive_rows
    import pyarrow as pa

    shared, own = tmp_path / "shared", tmp_path / "own"
    publish(lab, shared)
    monkeypatch.setitem(
        archive_rows.VALUES, "density", {"state": pa.string(), "density_g_cm3": pa.string()}
    )
    other = make_lab(tmp_path / "other")
    texts = [{**wet(0.0)[0], "density_g_cm3": "1.2"}]
    file(
        other,
        export("n.csv", {"density": [texts], "impedance": [sweep()]}, density={"x": pa.string()}),
    )
    done = publish(other, shared)
    assert "column 'density_g_cm3': numbers in the tables, texts now" in done["density"].refused
    assert done["impedance"].changed == ("RB-014",)
    assert set(tiecoat.lake.open(shared).read("density")["lab"]) == {"hall"}
    assert main(["publish", str(shared), "--lab", str(other.root)]) == 1

    monkeypatch.undo()
    alone = make_with_density(tmp_path / "alone")
    publish(alone, own)
    monkeypatch.setitem(
        archive_rows.VALUES, "density", {"state": pa.string(), "density_g_cm3": pa.string()}
    )
    anew = make_lab(tmp_path / "anew" / "alone")
    file(anew, export("n.csv", {"density": [texts]}, density={"x": pa.string()}))
    take_place(alone, anew)
    assert publish(alone, own)["density"].changed == ("RB-014",)
    lake_equals(own, {"alone": alone})
    assert publish(alone, own) == {}
    assert DeltaTable(own / "density").metadata().configuration["tiecoat.kind_version"] == "2"


def test_tables_that_are_replaced_meanwhile_are_of_one_moment(
    tmp_path: Path, lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was filed while rows were read is in the same commit, or in none."""
    url, taken = tmp_path / "lake", []
    real = publishing.lake_rows

    def meanwhile(*given: object) -> object:
        if not taken:
            taken.append(file(lab, export("c.csv", {"batches": [recipe("RB-016", "mica")]})))
        return real(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(publishing, "lake_rows", meanwhile)
    publish(lab, url)
    lake_equals(url, {"hall": lab})
    assert DeltaTable(url / "batches").version() == 1  # made, then one commit


@pytest.mark.thorough
def test_small_files_are_put_together_and_old_ones_deleted(
    tmp_path: Path, lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After many runs there are few files; what a cut publishing left goes, what counts stays."""
    monkeypatch.setattr(publishing, "FILES_AT_MOST", 4)
    url = tmp_path / "lake"
    for number in range(7):
        file(lab, export(f"{number}.csv", {"density": [wet(1.2, f"RB-{number:03d}")]}))
        publish(lab, url)
    table = DeltaTable(url / "density")
    assert len(table.file_uris()) <= 5
    assert {one["operation"] for one in table.history()} >= {"OPTIMIZE", "WRITE"}
    left = url / "density" / "lab=hall" / "part-00000-left.snappy.parquet"
    shutil.copy(next((url / "density" / "lab=hall").glob("*.parquet")), left)
    os.utime(left, (0, 0))
    assert main(["publish", str(url), "--tidy", "--lab", str(lab.root)]) == 0
    assert not left.exists()
    assert len(DeltaTable(url / "density").file_uris()) == 1
    lake_equals(url, {"hall": lab})


def test_rows_are_plain_for_other_programs(tmp_path: Path, lab: Lab) -> None:
    """Whoever reads Delta Lake gets the rows with their lab, without tiecoat."""
    url = tmp_path / "lake"
    publish(lab, url)
    rows = DeltaTable(url / "density").to_pyarrow_dataset()
    found = rows.to_table(["lab", "batch"], filter=ds.field("lab") == "hall").to_pydict()
    assert sorted(found["batch"]) == ["RB-014", "RB-015"]


def test_a_kind_of_the_name_of_the_table_of_labs_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It would stand in its place; all else is published."""
    import archive_rows
    import pyarrow as pa

    monkeypatch.setitem(archive_rows.VALUES, "labs", {"city": pa.string()})
    lab, url = make_with_density(tmp_path / "hall"), tmp_path / "lake"
    file(lab, export("l.csv", {"labs": [[{"batch": "RB-014", "city": "Ulm"}]]}))
    done = publish(lab, url)
    assert "that of the labs" in done["labs"].refused
    assert done["density"].changed == ("RB-014",)
    lake = tiecoat.lake.open(url)
    assert (lake.labs(), lake.kinds()) == (["hall"], ["density"])


def test_no_secret_is_told(tmp_path: Path, lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """An address with a password is refused; what a storage says is told without keys."""
    for address in ("s3://me:hunter2hunter2@lake/x", "az://lake/x?sig=hunter2hunter2"):
        with pytest.raises(QueryInvalid, match="environment") as told:
            publish(lab, address)
        assert "hunter2" not in str(told.value)
    with pytest.raises(QueryInvalid, match="ftp:// is no storage"):
        publish(lab, "ftp://lake/x")
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", "hunter2hunter2")
    tables = LakeTables(tmp_path)
    with (
        pytest.raises(LakeOutOfReach, match=r"GET /x\?\.\.\. for \*\*\*") as told,
        tables.reached(),
    ):
        raise OSError("GET /x?sig=abc for hunter2hunter2")
    assert "hunter2" not in str(told.value)


def test_without_the_extra_it_says_what_to_install(
    tmp_path: Path, lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Publishing and reading name the extra; nothing is half done."""
    monkeypatch.setitem(sys.modules, "deltalake", None)
    for ask in (lambda: publish(lab, tmp_path / "lake"), lambda: tiecoat.lake.open(tmp_path)):
        with pytest.raises(NotPossibleHere, match=r'pip install "tiecoat\[lake\]"'):
            ask()
    assert not (tmp_path / "lake").exists()


def test_what_there_is_none_of_is_told(tmp_path: Path, lab: Lab) -> None:
    """No lake, no kind, no lab, no column; a lab without anything has nothing to publish."""
    with pytest.raises(UnknownName, match="no lab has published"):
        tiecoat.lake.open(tmp_path / "nowhere")
    url = tmp_path / "lake"
    publish(lab, url)
    lake = tiecoat.lake.open(url)
    assert lake.labs() == ["hall"]
    with pytest.raises(UnknownName, match="no kind 'gloss' in this lake; there are: batches"):
        lake.read("gloss")
    with pytest.raises(UnknownName, match="no lab 'quay' has published here; there are: hall"):
        lake.read("density", "quay")
    batch = lake.read("density")["batch"].iloc[0]
    with pytest.raises(UnknownName, match="no batch 'RB-099' of density"):
        lake.read("density", batch=[batch, "RB-099"])
    with pytest.raises(UnknownName, match="no column 'mass'"):
        lake.read("density", columns=["mass"])
    with pytest.raises(LakeDisagrees, match="nothing has been filed"):
        publish(make_lab(tmp_path / "empty"), url)
