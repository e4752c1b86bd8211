"""What foreign code raised, in one line for whoever wrote it."""

from __future__ import annotations

import sys
from pathlib import Path
from traceback import walk_tb

from tiecoat.wording import shortened

LIBRARIES = sys.stdlib_module_names | {
    *("numpy", "pandas", "pandera", "pint", "pluggy", "pyarrow", "pydantic", "scipy", "skimage"),
    *("PIL", "dateutil", "matplotlib", "openpyxl", "python_calamine", "typeguard"),
}


def blame(error: BaseException) -> str:
    """Return type, message and place of an exception: `ValueError: too few (reader.py, line 12)`.

    The place is the author's own line, where he called what raised. The message is made by foreign
    code too, so it may raise, be endless, or hold line breaks.
    """
    try:
        message = " ".join(str(error).split())
    except Exception:  # noqa: BLE001 - whatever it is, the type and the place still help
        message = "(its message cannot be shown)"
    message = shortened(message)
    said = f"{type(error).__name__}: {message}" if message else type(error).__name__
    place = _place(error)
    return f"{said} ({place[0]}, line {place[1]})" if place else said


def _place(error: BaseException) -> tuple[str, int] | None:
    """Return file and line of the last step that is the author's, else ours, else a library's."""
    steps = [
        (Path(frame.f_code.co_filename).name, line, _home(frame.f_globals.get("__name__")))
        for frame, line in walk_tb(error.__traceback__)
    ]
    for not_wanted in ({"tiecoat", *LIBRARIES}, LIBRARIES, ()):
        for name, line, home in reversed(steps):
            if home not in not_wanted:
                return name, line
    return None


def _home(module: object) -> str:
    """Return the package that a module is of."""
    return module.partition(".")[0] if isinstance(module, str) else ""
