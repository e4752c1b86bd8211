"""What the models of all built-in kinds have in common."""

from __future__ import annotations

import pandera.pandas as pa


class StrictModel(pa.DataFrameModel):
    """Nothing is converted; other columns are refused."""

    class Config:
        """pandera's own settings."""

        strict = True
        coerce = False
        unique_column_names = True
