"""The marker of a lab: of which format its folders are, so that no older tiecoat mistakes them."""

from __future__ import annotations

import json
from pathlib import Path

from tiecoat.errors import SettingInvalid, refuse_newer

MARKER = "format.json"
FORMAT = 1  # of the lab as a whole; one without a marker is of format 1


def marker() -> bytes:
    """Return what stands in the marker of a lab that is laid out now."""
    return json.dumps({"format": FORMAT}).encode()


def check_marker(root: Path) -> None:
    """Check that a lab is of a format that is known here.

    Raises
    ------
    WrittenByNewer
        If it is not.
    SettingInvalid
        If its marker does not say of which format it is.
    """
    path = root / MARKER
    try:
        found = json.loads(path.read_bytes())["format"]
    except FileNotFoundError:
        return
    except (ValueError, LookupError, TypeError, RecursionError):
        raise SettingInvalid(
            f"{path} does not say of which format the lab is, such as {marker().decode()}\n"
            "Put it back from a backup. Where no newer tiecoat has used the lab, delete it."
        ) from None
    except OSError as error:
        raise SettingInvalid(f"{path}: cannot be opened: {error.strerror}") from None
    refuse_newer(root, found, FORMAT)
