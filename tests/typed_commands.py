"""Commands as a person types them, who answers when asked, or as a script runs them."""

from __future__ import annotations

import io

import pytest
from labs import LabAtWork

from tiecoat.cli import main


class Terminal(io.StringIO):
    """What was typed at a terminal."""

    def isatty(self) -> bool:
        """Somebody sits there."""
        return True


class TypedCommands:
    """Runs commands on a lab, with an answer typed if one is given."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self._capsys = capsys
        self._monkeypatch = monkeypatch

    def __call__(
        self, lab: LabAtWork, *arguments: str, typed: str | None = None
    ) -> tuple[int, str, str]:
        """Return exit code, output and errors."""
        self._capsys.readouterr()
        with self._monkeypatch.context() as patch:
            patch.setattr("sys.stdin", io.StringIO() if typed is None else Terminal(f"{typed}\n"))
            code = main([*arguments, "--lab", str(lab.root)])
        printed = self._capsys.readouterr()
        return code, printed.out, printed.err
