"""Do the films still hold on? Pull-off strength and where it failed, with DuckDB alone.

    python with_duckdb.py

Panels with and without a topcoat are told apart. Adhesive failure is what broke between two layers
(A/B, B/C, ...); what broke in or at the test adhesive (Y, -/Y, Y/Z) says of the film only that it
is stronger.
"""

from pathlib import Path

import duckdb

ARCHIVE = Path(__file__).resolve().parent.parent / "archive"

# DuckDB finds these by their names in the query
pull_off = duckdb.read_parquet(f"{ARCHIVE}/pull_off/*/data.parquet")
batches = duckdb.read_parquet(f"{ARCHIVE}/batches/*/data.parquet")
panels = duckdb.read_parquet(f"{ARCHIVE}/panels/*/data.parquet")

duckdb.sql(
    """
    with parts as (  -- '60 % B, 40 % B/C' -> one row for each share
        select batch, panel, determination, strength_mpa,
            unnest(string_split(failure, ',')) as part
        from pull_off
        where withdrawn is null
    ),
    determinations as (
        select panel, any_value(strength_mpa) as strength_mpa,
            sum(cast(regexp_extract(part, '[0-9.]+') as double))
                filter (part like '%/%' and part not like '%Y%') as adhesive_percent,
            sum(cast(regexp_extract(part, '[0-9.]+') as double))
                filter (part like '%Y%') as glue_percent
        from parts
        group by batch, panel, determination
    )
    select coat_system, candidate, dose_percent,
        count(*) as n,
        round(avg(strength_mpa), 2) as mean_mpa,
        round(stddev_samp(strength_mpa), 2) as sd_mpa,
        round(avg(coalesce(adhesive_percent, 0))) as adhesive_percent,
        round(avg(coalesce(glue_percent, 0))) as glue_percent
    from determinations join panels using (panel) join batches on batches.batch = panels.batch
    where batches.withdrawn is null and panels.withdrawn is null
    group by all
    order by coat_system, mean_mpa desc
    """
).show(max_width=200)
