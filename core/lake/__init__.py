"""A lake: Delta Lake tables that the archives of many labs are published into.

    import tiecoat.lake

    lake = tiecoat.lake.open("s3://coatings/lake")
    lake.read("pull_off", lab="hall-3")
    lake.evaluate("impedance", on=client)    # on Dask; on a session of Spark alike

Needs the extra: pip install "tiecoat[lake]".
"""

from __future__ import annotations

from tiecoat.lake.reading import Lake
from tiecoat.lake.reading import open_lake as open  # noqa: A004 - as tiecoat.open

__all__ = ["Lake", "open"]
