"""Imported first by the server that workers are forked from: they end without a word of their own.

A terminal sends Ctrl-C to every process of a command; the program itself answers it. A worker that
is just starting when the program ends finds what they share gone.

Until `warm` has loaded what they share, nothing is collected: nearly all that is made then stays.
"""

import gc
import signal
import sys
import traceback
from types import TracebackType

gc.disable()
signal.signal(signal.SIGINT, signal.SIG_IGN)

_tell = sys.excepthook


def _tell_other(
    kind: type[BaseException], error: BaseException, trace: TracebackType | None
) -> None:
    frames = [frame.f_globals.get("__name__", "") for frame, _ in traceback.walk_tb(trace)]
    in_starting = bool(frames) and frames[-1].startswith("multiprocessing.")
    if not (in_starting and isinstance(error, EOFError | OSError)):
        _tell(kind, error, trace)


sys.excepthook = _tell_other
