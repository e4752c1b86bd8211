"""Python runs this when it starts, in the service and in its workers: it ends them at a named step.

`KILL_AT` in the environment holds the step, the how manieth time, whom to kill, and a file that is
made just before, so that it happens once in the life of a service.
"""

from __future__ import annotations

import itertools
import os
import signal
from pathlib import Path

from tiecoat.disk import steps

_step, _times, _whom, _mark = os.environ["KILL_AT"].split(" ", 3)
_reached_times = itertools.count(1)


def _reached(step: steps.Step) -> None:
    if step != _step or next(_reached_times) < int(_times):
        return
    try:
        Path(_mark).touch(exist_ok=False)
    except FileExistsError:
        return
    service = os.getpgid(0)  # it leads the group
    if _whom == "group":
        os.killpg(service, signal.SIGKILL)
    elif _whom == "service":
        os.kill(service, signal.SIGKILL)
    else:
        import psutil

        workers = psutil.Process(service).children(recursive=True)
        for process in sorted(workers, key=lambda process: process.pid == os.getpid()):
            process.kill()


steps.listener = _reached
