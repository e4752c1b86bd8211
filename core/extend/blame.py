"""What foreign code raised, in one line for whoever wrote it."""

from __future__ import annotations

from pathlib import Path

from tiecoat.wording import shortened


def blame(error: BaseException) -> str:
    """Return type, message and place of an exception: `ValueError: too few (reader.py, line 12)`.

    The message is made by foreign code too, so it may raise, be endless, or hold line breaks.
    """
    try:
        message = " ".join(str(error).split())
    except Exception:  # noqa: BLE001 - whatever it is, the type and the place still help
        message = "(its message cannot be shown)"
    message = shortened(message)
    said = f"{type(error).__name__}: {message}" if message else type(error).__name__
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None:
        return said
    file = Path(trace.tb_frame.f_code.co_filename).name
    return f"{said} ({file}, line {trace.tb_lineno})"
