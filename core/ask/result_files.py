"""Results in a file, for the spreadsheet or for a script."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.disk import fsio
from tiecoat.errors import ArchiveFault, QueryInvalid

if TYPE_CHECKING:
    import pandas as pd

    from tiecoat.lab.settings import Lab

FORMULA = ("=", "+", "-", "@", "\t", "\r")  # how a text begins that a spreadsheet would compute
THERE_ALREADY = "{path} is there already, and may be filled in: name another"


def refuse_place(
    path: Path, lab: Lab, ends: Sequence[str] = (".csv", ".parquet"), what: str = "results are"
) -> None:
    """Refuse a place where a file cannot stand: to be asked before it is computed.

    Parameters
    ----------
    ends
        How its name may end.
    what
        What is written, with its verb.

    Raises
    ------
    QueryInvalid
        If the name ends otherwise, the place is one of the lab's own folders, or there is no such
        folder.
    """
    path = path.absolute()
    if path.suffix.lower() not in ends:
        raise QueryInvalid(f"{path.name}: {what} written as {' or '.join(ends)}")
    refuse_own_folders(path, lab)
    if not fsio.is_folder(path.parent):
        raise QueryInvalid(f"{path} cannot be written: there is no folder {path.parent}")


def write_results(parts: Iterable[pd.DataFrame], path: Path, lab: Lab) -> int:
    """Write results as CSV or Parquet, by the end of the file's name; return how many there are.

    They are written part by part, as these come. CSV is UTF-8 with a byte-order mark, so that
    spreadsheets read it rightly, with comma and decimal point. A text that a spreadsheet would take
    for a formula gets an apostrophe in front. A file of that name is replaced, once the new one is
    whole.

    Raises
    ------
    QueryInvalid
        As `refuse_place` raises it, or if the file cannot be written.
    """
    refuse_place(path, lab)
    path = path.absolute()
    write = _write_csv if path.suffix.lower() == ".csv" else _write_parquet
    try:
        with made_whole(path) as half_made:
            return write(parts, half_made)
    except ArchiveFault:  # while a part was computed
        raise
    except OSError as error:
        raise QueryInvalid(f"{path} cannot be written: {error.strerror or error}") from error


def _write_csv(parts: Iterable[pd.DataFrame], path: Path) -> int:
    count, titles = 0, True
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        for part in parts:
            harmless(part).to_csv(file, index=False, header=titles)
            count, titles = count + len(part), False
            del part  # before the next are computed: they may be large
    return count


def _write_parquet(parts: Iterable[pd.DataFrame], path: Path) -> int:
    import pyarrow as pa
    import pyarrow.parquet as pq

    count, writer = 0, None
    with ExitStack() as opened:
        for part in parts:
            table = pa.Table.from_pandas(part, preserve_index=False)
            writer = writer or opened.enter_context(pq.ParquetWriter(path, table.schema))
            writer.write_table(table)
            count += len(table)
            del part, table
    return count


@contextmanager
def made_whole(path: Path) -> Iterator[Path]:
    """Give the place where a file is made, from which it replaces one of its name once it is whole.

    Where it does not become whole, what there is of it goes.
    """
    path = path.absolute()
    half_made = path.with_name(f".{path.name}.part")
    try:
        yield half_made
        half_made.replace(path)
    except BaseException:
        half_made.unlink(missing_ok=True)
        raise


def refuse_new_place(path: Path, lab: Lab) -> None:
    """Refuse a place where no new file can stand: to be asked before its text is made.

    Raises
    ------
    QueryInvalid
        If there is such a file, or the place is one of the lab's own folders.
    """
    refuse_own_folders(path.absolute(), lab)
    if fsio.is_there(path):
        raise QueryInvalid(THERE_ALREADY.format(path=path.absolute()))


def write_new_text(text: str, path: Path, lab: Lab) -> None:
    """Write a text that a person goes on with; what is there already is not replaced.

    Raises
    ------
    QueryInvalid
        As `refuse_new_place` raises it, or if the file cannot be written.
    """
    refuse_new_place(path, lab)
    path = path.absolute()
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise QueryInvalid(THERE_ALREADY.format(path=path)) from None
    except OSError as error:
        raise QueryInvalid(f"{path} cannot be written: {error.strerror or error}") from error


def refuse_own_folders(path: Path, lab: Lab) -> None:
    """Refuse to write where the lab keeps its own.

    Raises
    ------
    QueryInvalid
        If the place is in the archive, beside it among what only the program writes, or in an
        inbox, where it would be taken for an export.
    """
    own = (lab.archive, lab.originals, lab.held, lab.stage, lab.journal)
    for folder in (*own, *map(lab.inbox_path, lab.settings.inbox)):
        if path.resolve().is_relative_to(folder.resolve()):
            raise QueryInvalid(f"{folder} is the lab's own; name a place outside of it")


def harmless(table: pd.DataFrame) -> pd.DataFrame:
    """Return the table with an apostrophe before each text that looks like a formula.

    Examples
    --------
    >>> import pandas as pd
    >>> harmless(pd.DataFrame({"condition": ["-/Y", "B"], "value": [-1.0, 2.0]}))
      condition  value
    0      '-/Y   -1.0
    1         B    2.0
    """
    changed = {}
    for name in table.select_dtypes(include=["object", "str"]):
        texts = table[name].astype("str")
        risky = texts.str.startswith(FORMULA)
        changed[str(name)] = texts.mask(risky, "'" + texts)
    return table.assign(**changed)
