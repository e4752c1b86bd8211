"""Imported once by the server that workers are forked from, so that none of them starts cold.

It loads libraries and the words of the built-in kinds, and no plugin of others: their code runs in
workers only.
"""

import gc
from importlib.metadata import entry_points

import pandas as pd
import pandera.pandas as pa
import pyarrow.ipc  # noqa: F401
import python_calamine  # noqa: F401

import tiecoat.intake.workers.reading
import tiecoat.tabular.reader  # noqa: F401
from tiecoat.dialect.units import scale
from tiecoat.extend.loading import GROUP, built_in_kinds
from tiecoat.tabular.lexicon import lexicon_of

scale("mm", "um")  # builds the registry of units
pa.DataFrameSchema({"a": pa.Column(float)}).validate(pd.DataFrame({"a": [0.0]}))  # and the checks
kinds = built_in_kinds()
KEPT = (  # made for what stays behind in the caches
    [lexicon_of(kind).closed for kind in kinds],
    entry_points(group=GROUP),
)
gc.freeze()
gc.enable()
gc.set_threshold(20_000, 20, 20)  # a file makes thousands of objects, which go by themselves
