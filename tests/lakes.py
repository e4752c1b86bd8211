"""Lakes for tests: an S3 server of this machine, and the promise that all of them keep."""

from __future__ import annotations

import json
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import archive_rows
import pandas as pd

import tiecoat
import tiecoat.lake
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Incoming, Store
from tiecoat.lab.settings import Lab
from tiecoat.lake.columns import MEANINGS
from tiecoat.lake.publishing import KindPublished, Publisher

PATIENCE_S = 60.0
OURS = list(MEANINGS)


def file(lab: Lab, *incoming: Incoming) -> None:
    """File exports, with something in the journal, as the intake has it: labs are told by that."""
    archive_rows.file(lab, *incoming)
    Journal(lab).append([{"event": "overtaken", "sha256": one.sha256} for one in incoming])


def retract(lab: Lab, name: str) -> None:
    """Retract the first measurement of an export."""
    with open_index(lab) as index, write_lock(lab):
        Store(lab, index).retract(
            [f"{archive_rows.sha_of(name)[:16]}-0001"], "M. Keller", "wet cup"
        )


def publish(lab: Lab, url: str | Path, name: str | None = None) -> dict[str, KindPublished]:
    """Publish a lab and say what was done by kind, where anything was."""
    done = Publisher(lab, url, name).publish()
    return {one.kind: one for one in done.kinds if one.changed or one.gone or one.refused}


def lake_equals(url: str | Path, labs: Mapping[str, Lab]) -> None:
    """Fail unless a lake holds every row of these archives once, in their order, and no other."""
    lake = tiecoat.lake.open(url)
    assert lake.labs() == sorted(labs)
    archives = {name: tiecoat.open(lab.root) for name, lab in labs.items()}
    kinds = lake.kinds()
    for kind in kinds:
        every = lake.read(kind, withdrawn=True)
        assert {*every["lab"]} <= {*labs}
        for name, archive in archives.items():
            found = every[every["lab"] == name].reset_index(drop=True)
            if kind not in archive.kinds():
                assert found.empty
                continue
            expected = archive.read(kind, withdrawn=True)
            pd.testing.assert_frame_equal(
                found.drop(columns=OURS)[expected.columns], expected, check_exact=True
            )
            assert (found["table_row"] == found.groupby("batch").cumcount()).all()
    assert {kind for archive in archives.values() for kind in archive.kinds()} <= {*kinds}


@contextmanager
def s3_server(folder: Path) -> Iterator[dict[str, str]]:
    """Run an S3 server on this machine; give the environment that finds it and its bucket lake."""
    ready = folder / "s3.log"
    with ready.open("wb") as log:
        process = subprocess.Popen([sys.executable, "-c", SERVE], stdout=log, stderr=log)
    try:
        until = time.monotonic() + PATIENCE_S
        while not (port := _port(ready)):
            assert process.poll() is None, ready.read_text()
            assert time.monotonic() < until, ready.read_text()
            time.sleep(0.05)
        endpoint = f"http://127.0.0.1:{port}"
        made = urllib.request.Request(f"{endpoint}/lake", method="PUT")
        urllib.request.urlopen(made).close()
        yield {
            "AWS_ENDPOINT_URL": endpoint,
            "AWS_ALLOW_HTTP": "true",
            "AWS_REGION": "us-east-1",
            "AWS_ACCESS_KEY_ID": "technician",
            "AWS_SECRET_ACCESS_KEY": "not-for-any-log",
        }
    finally:
        process.kill()
        process.wait()


SERVE = """
import json
from moto.server import DomainDispatcherApplication, create_backend_app
from werkzeug.serving import make_server
server = make_server("127.0.0.1", 0, DomainDispatcherApplication(create_backend_app), threaded=True)
print(json.dumps({"port": server.port}), flush=True)
server.serve_forever()
"""


def _port(ready: Path) -> int | None:
    first, end, _ = ready.read_text(encoding="utf-8").partition("\n")
    return int(json.loads(first)["port"]) if end and first.startswith("{") else None
