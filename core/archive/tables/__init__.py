"""The tables on disk: Parquet files, and what stands in them."""
