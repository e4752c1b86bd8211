"""Where a lake may be: a folder, or an address of a storage, which never holds credentials."""

from __future__ import annotations

import os
from pathlib import Path
from urllib.parse import SplitResult, urlsplit
from urllib.request import url2pathname

from tiecoat.errors import QueryInvalid

SCHEMES = ("s3", "s3a", "az", "abfs", "abfss", "gs", "file")
CONTAINER_FIRST = ("abfs", "abfss")  # container@account.dfs.core.windows.net


def checked_address(address: str, beside: Path | None = None) -> str:
    """Return an address as it is used, or a folder as an absolute path.

    Parameters
    ----------
    beside
        The folder that a relative path begins in; None for that of the process.

    Raises
    ------
    QueryInvalid
        If it is of a storage that is not known, or holds a password or a key. The message does not
        repeat it.
    """
    if "://" not in address:
        return os.path.abspath(beside / address if beside else address)  # noqa: PTH100 - no links
    parts = urlsplit(address)
    if parts.scheme not in SCHEMES:
        known = ", ".join(f"{one}://" for one in SCHEMES)
        raise QueryInvalid(
            f"{parts.scheme}:// is no storage that is known; use a folder or {known}"
        )
    if _holds_credentials(parts):
        raise QueryInvalid(
            "the address of a lake names no password and no key; set them in the environment, as"
            " the storage has it (such as AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY)"
        )
    return address.rstrip("/")


def _holds_credentials(parts: SplitResult) -> bool:
    """Say whether anything stands there that no address of a container or a folder needs.

    A key may hold a slash, so what stands before an @ need not be in the first part of it.
    """
    host = parts.netloc.replace("@", "", 1) if parts.scheme in CONTAINER_FIRST else parts.netloc
    return ":" in host or "@" in host + parts.path or bool(parts.query or parts.fragment)


def folder_of(address: str) -> Path | None:
    """Return the folder that an address names; None for a storage elsewhere.

    Examples
    --------
    >>> folder_of("file:///srv/lake") == Path("/srv/lake"), folder_of("s3://coatings/lake")
    (True, None)
    """
    if "://" not in address:
        return Path(address)
    parts = urlsplit(address)
    return Path(url2pathname(parts.path)) if parts.scheme == "file" else None
