"""How much air does each paint keep? Density as mixed and without air, with polars alone.

    python with_polars.py

The volume share of air is 1 - (density as mixed) / (density after the vacuum).
"""

from pathlib import Path

import polars as pl

ARCHIVE = Path(__file__).resolve().parent.parent / "archive"


def valid(kind: str) -> pl.LazyFrame:
    """Read all tables of a kind, without the rows that were superseded or retracted."""
    return pl.scan_parquet(ARCHIVE / kind / "*" / "data.parquet").filter(
        pl.col("withdrawn").is_null()
    )


def mean_in(state: str) -> pl.Expr:
    """Return the mean density in one state."""
    return pl.col("density_g_cm3").filter(pl.col("state") == state).mean()


air = (
    valid("density")
    .group_by("batch")
    .agg(as_mixed=mean_in("as mixed"), deaerated=mean_in("deaerated"))
    .with_columns(air_percent=100 * (1 - pl.col("as_mixed") / pl.col("deaerated")))
    .join(valid("batches").select("batch", "candidate", "dose_percent"), on="batch")
    .select("batch", "candidate", "dose_percent", "as_mixed", "deaerated", "air_percent")
    .sort("batch")
    .collect()
)
print("density in g/cm³, air in % by volume")
with pl.Config(tbl_rows=-1, tbl_cols=-1, tbl_hide_dataframe_shape=True, float_precision=3):
    print(air)
