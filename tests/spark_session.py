"""A session of Spark on this machine, for tests; they are skipped where it cannot be had."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest


@contextmanager
def spark_session() -> Iterator[Any]:
    """Run Spark on two cores, by this Python."""
    sql = pytest.importorskip("pyspark.sql", reason="Spark is not installed (pip install pyspark)")
    if shutil.which("java") is None:
        pytest.skip("Java is not installed, on which Spark runs")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYSPARK_PYTHON", sys.executable)
        made = sql.SparkSession.builder.master("local[2]").config("spark.ui.enabled", "false")
        spark = made.config("spark.driver.host", "127.0.0.1").getOrCreate()
        try:
            yield spark
        finally:
            spark.stop()
