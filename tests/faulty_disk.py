"""A disk that fails, or a process that dies, at a counted effect."""

from __future__ import annotations

import os
from typing import Any

EFFECTS = {"mkdir", "open", "write", "fsync", "replace", "rename", "unlink"}


class Killed(BaseException):
    """The process is gone: nothing that it would do after this reaches the disk."""


class Faulty:
    """Stands for `os` in fsio and fails at the Nth effect, once or from then on."""

    def __init__(self, at: int, error: BaseException, *, sticky: bool) -> None:
        self.count = 0
        self._at = at
        self._error = error
        self._sticky = sticky

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if name not in EFFECTS:
            return real

        def effect(*args: Any, **kwargs: Any) -> Any:
            self.count += 1
            if self.count == self._at or (self._sticky and self.count > self._at):
                raise self._error
            return real(*args, **kwargs)

        return effect
