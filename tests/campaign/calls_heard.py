"""Loaded by each changed module while the tests are listened to: notes which functions are called.

The environment says where to (`CALLS_TO`) and for what (`CALLS_OF`), in each process of a test. A
line of the file is for what, module and function, parted by tabs.
"""

from __future__ import annotations

import os

_heard: set[str] = set()


def listen_for(what: str) -> None:
    """Note every function anew, for a test or what it shares with others."""
    os.environ["CALLS_OF"] = what
    _heard.clear()


def hear(function: str) -> None:
    """Note that a function of a module is called."""
    if function not in _heard:
        _heard.add(function)
        line = f"{os.environ.get('CALLS_OF', '')}\t{function}\n"
        to = os.open(os.environ["CALLS_TO"], os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        os.write(to, line.encode())
        os.close(to)
