"""The Delta tables of a lake by URL: opened, made, and changed by optimistic commits.

Whatever a commit does is there whole or not at all. Where somebody else was faster it is worked out
anew on what stands there then.
"""

from __future__ import annotations

import os
import random
import re
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar
from urllib.parse import quote

from tiecoat.errors import LakeOutOfReach, NotPossibleHere, QueryInvalid, TiecoatError
from tiecoat.lab.lake_address import checked_address

if TYPE_CHECKING:
    import pyarrow as pa
    from deltalake import CommitProperties, DeltaTable, WriterProperties

T = TypeVar("T")

NEEDED = 'This needs libraries that are not installed here: pip install "tiecoat[lake]"'
TRIES = 50  # of a commit that others were faster than
LONGEST_WAIT_S = 2.0  # between two of them
COMMITS_ABOVE = 1000  # by others that change nothing of ours: the library places ours above them
ROWS_IN_GROUP = 65_536  # few enough that some batches are found without reading all of a lab
SECRET = re.compile(r"SECRET|KEY|TOKEN|PASSWORD|SAS|SIGNATURE|CREDENTIAL", re.IGNORECASE)
SHORTEST_SECRET = 6  # what is shorter could be any word


class LakeTables:
    """The tables of a lake.

    Parameters
    ----------
    url
        A folder, or an address as `checked_address` takes it.

    Raises
    ------
    QueryInvalid
        If the address is of another storage, or holds a password or a key.
    NotPossibleHere
        If the extra is not installed.
    """

    def __init__(self, url: str | Path) -> None:
        try:
            import deltalake  # noqa: F401
        except ImportError as error:
            raise NotPossibleHere(NEEDED) from error
        if not isinstance(url, str | Path) or not str(url).strip():
            raise QueryInvalid(f"name a folder or an address as the lake; found {url!r}")
        self.url = checked_address(str(url))

    def open(self, name: str, version: int | None = None) -> DeltaTable | None:
        """Return a table, as it is now or was at a version; None if there is none."""
        from deltalake import DeltaTable
        from deltalake.exceptions import TableNotFoundError

        with self.reached():
            try:
                return DeltaTable(self.uri(name), version=version)
            except TableNotFoundError:
                return None

    def made(
        self, name: str, schema: pa.Schema, said: str, configuration: Mapping[str, str]
    ) -> DeltaTable:
        """Return a table, made empty if there was none, by a commit; it is partitioned by lab."""
        from deltalake import DeltaTable

        if (table := self.open(name)) is not None:
            return table
        return DeltaTable.create(  # two at once: one fails, and finds it when it tries again
            self.uri(name),
            schema,
            mode="ignore",
            partition_by=["lab"],
            name=name,
            description=said,
            configuration=dict(configuration),
            raise_if_key_not_exists=False,
        )

    def uri(self, name: str) -> str:
        """Return where a table stands."""
        return f"{self.url}/{quote(name, safe='')}"

    def committed(self, attempt: Callable[[], T]) -> T:
        """Do what ends in a commit; anew, from its beginning, where somebody else was faster.

        Raises
        ------
        LakeOutOfReach
            If the storage refuses, or others are always faster.
        """
        from deltalake.exceptions import CommitFailedError

        with self.reached():
            for number in range(TRIES):
                try:
                    return attempt()
                except CommitFailedError:
                    if number == TRIES - 1:
                        raise
                    time.sleep(random.uniform(0, min(LONGEST_WAIT_S, 0.05 * 2**number)))
        raise AssertionError("unreachable")

    @contextmanager
    def reached(self) -> Iterator[None]:
        """Tell what the storage or the library says as one error, without any secret."""
        from deltalake.exceptions import DeltaError

        try:
            yield
        except TiecoatError:
            raise
        except (DeltaError, OSError) as error:
            raise LakeOutOfReach(
                f"the lake {self.url} cannot be used: {without_secrets(str(error))}\n"
                "Look at the address, and at what the environment says of its storage and its"
                " credentials. What was published before stands as it is."
            ) from None


def commit_properties(transactions: Mapping[str, int], said: Mapping[str, str]) -> CommitProperties:
    """Return what a commit bears: of two that bear the same transaction at once, one fails."""
    from deltalake import CommitProperties, Transaction

    every = [Transaction(name, number) for name, number in transactions.items()]
    return CommitProperties(
        custom_metadata=dict(said), max_commit_retries=COMMITS_ABOVE, app_transactions=every
    )


def write(
    table: DeltaTable,
    rows: pa.Table | pa.RecordBatchReader,
    bears: CommitProperties,
    *,
    instead_of: str | None = None,
    anew: bool = False,
) -> None:
    """Write rows in one commit.

    Parameters
    ----------
    instead_of
        In SQL, the rows whose place they take; they must all fulfil it themselves.
    anew
        Whether they take the place of all rows, and their columns that of all columns.
    """
    from deltalake import write_deltalake

    how = writer_properties()
    if anew:
        write_deltalake(
            table,
            rows,
            mode="overwrite",
            schema_mode="overwrite",
            writer_properties=how,
            commit_properties=bears,
        )
    elif instead_of is not None:
        write_deltalake(
            table,
            rows,
            mode="overwrite",
            predicate=instead_of,
            writer_properties=how,
            commit_properties=bears,
        )
    else:
        write_deltalake(table, rows, mode="append", writer_properties=how, commit_properties=bears)


def writer_properties() -> WriterProperties:
    """Return how files are written."""
    from deltalake import WriterProperties

    return WriterProperties(compression="ZSTD", max_row_group_size=ROWS_IN_GROUP)


def without_secrets(text: str) -> str:
    """Return what a library says in brief: no traceback, no secret of the environment, no query.

    Examples
    --------
    >>> import os
    >>> os.environ["A_SECRET_KEY"] = "hunter2hunter2"
    >>> without_secrets("GET https://storage/lake?sig=abc failed for hunter2hunter2")
    'GET https://storage/lake?... failed for ***'
    """
    text = text.partition(" Detail: Python exception")[0]
    for name, value in os.environ.items():
        if SECRET.search(name) and len(value) >= SHORTEST_SECRET:
            text = text.replace(value, "***")
    return re.sub(r"\?[^\s)\"']+", "?...", text).strip()
