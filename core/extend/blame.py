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


def blame(error: BaseException, of: object = None) -> str:
    """Return type, message and place of an exception: `ValueError: too few (reader.py, line 12)`.

    The place is the author's own line, where he called what raised. Where no step is his, because
    what he returned was found wrong, it is where `of` begins, the function of his that was asked.
    The message is made by foreign code too, so it may raise, be endless, or hold line breaks.
    """
    try:
        message = " ".join(str(error).split())
    except Exception:  # noqa: BLE001 - whatever it is, the type and the place still help
        message = "(its message cannot be shown)"
    message = shortened(message)
    said = f"{type(error).__name__}: {message}" if message else type(error).__name__
    place = _place(error, _begins(of))
    return f"{said} ({place[0]}, line {place[1]})" if place else said


def _begins(of: object) -> tuple[str, int] | None:
    """Return file and line where a function begins that is neither ours nor a library's."""
    function = getattr(of, "func", of)  # of a partial
    function = getattr(function, "__func__", function)  # of a method
    code = getattr(function, "__code__", None)
    if code is None or _home(getattr(function, "__module__", "")) in {"tiecoat", *LIBRARIES}:
        return None
    return Path(code.co_filename).name, code.co_firstlineno


def _place(error: BaseException, begins: tuple[str, int] | None) -> tuple[str, int] | None:
    """Return file and line of the last step that is the author's, else where his function begins,
    else of one of ours, else of a library's.
    """
    steps = [
        (Path(frame.f_code.co_filename).name, line, _home(frame.f_globals.get("__name__")))
        for frame, line in walk_tb(error.__traceback__)
    ]
    for not_wanted, otherwise in (({"tiecoat", *LIBRARIES}, begins), (LIBRARIES, None), ((), None)):
        for name, line, home in reversed(steps):
            if home not in not_wanted:
                return name, line
        if otherwise is not None:
            return otherwise
    return None


def _home(module: object) -> str:
    """Return the package that a module is of."""
    return module.partition(".")[0] if isinstance(module, str) else ""
