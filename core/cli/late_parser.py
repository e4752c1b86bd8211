"""A parser whose command says what it takes only when that is asked for."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import Any


class LateParser(argparse.ArgumentParser):
    """Adds what its command takes when that is parsed: what it needs is not loaded for others."""

    later: Callable[[argparse.ArgumentParser], None] | None = None

    def complete(self) -> None:
        """Add it."""
        if self.later is not None:
            later, self.later = self.later, None
            later(self)

    def parse_known_args(self, *given: Any, **named: Any) -> Any:
        """Add it, and parse."""
        self.complete()
        return super().parse_known_args(*given, **named)
