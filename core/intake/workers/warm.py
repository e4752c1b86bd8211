"""Imported once by the server that workers are forked from, so that none of them starts cold.

It loads libraries and no plugin: a plugin's code runs in workers only.
"""

import pandas as pd
import pandera.pandas as pa
import pyarrow.ipc  # noqa: F401
import python_calamine  # noqa: F401

import tiecoat.intake.workers.reading  # noqa: F401
from tiecoat.dialect.units import scale

scale("mm", "um")  # builds the registry of units
pa.DataFrameSchema({"a": pa.Column(float)}).validate(pd.DataFrame({"a": [0.0]}))  # and the checks
