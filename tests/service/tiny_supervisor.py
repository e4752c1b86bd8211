"""A tiny supervisor for tests: it runs the ExecStart of a generated unit, as systemd would.

It is not systemd. It knows Restart=on-failure and READY=1, and nothing else.
"""

from __future__ import annotations

import os
import shlex
import socket
import subprocess
import threading
import time
from pathlib import Path


def options_of(unit: str) -> dict[str, str]:
    """Return the options of a unit; none stands twice."""
    pairs = [line.partition("=") for line in unit.splitlines() if "=" in line]
    assert len({name for name, _, _ in pairs}) == len(pairs)
    return {name: value for name, _, value in pairs}


def words_of(exec_start: str) -> list[str]:
    """Return the words of an ExecStart= line, as systemd.service(5) says that it reads them."""
    return [word.replace("%%", "%").replace("$$", "$") for word in shlex.split(exec_start)]


class TinySupervisor:
    """Keeps the service of a unit running until it is closed.

    Parameters
    ----------
    unit
        Text of the unit.
    folder
        For the socket and the output.
    again_s
        Instead of RestartSec.
    """

    def __init__(self, unit: str, folder: Path, again_s: float = 0.2) -> None:
        options = options_of(unit)
        assert options["Restart"] == "on-failure"
        self._command = words_of(options["ExecStart"])
        self._again_s = again_s
        self._socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self._socket.bind(str(folder / "notify"))
        self._environment = {**os.environ, "NOTIFY_SOCKET": str(folder / "notify")}
        self.output = folder / "output.txt"
        self.starts = 0
        self.said: list[str] = []
        self.exit_code: int | None = None
        self._closing = False
        self._start()
        self._threads = [threading.Thread(target=one) for one in (self._keep, self._listen)]
        for thread in self._threads:
            thread.start()

    @property
    def pid(self) -> int:
        """The main process."""
        return self._process.pid

    @property
    def ready(self) -> int:
        """How often the service has said that it is ready."""
        return sum("READY=1" in message.split("\n") for message in self.said)

    def close(self) -> None:
        """Stop the service as `systemctl stop` does."""
        self._closing = True
        self._process.terminate()
        for thread in self._threads:
            thread.join(20)
        self._socket.close()

    def _start(self) -> None:
        with self.output.open("ab") as output:
            self._process = subprocess.Popen(
                self._command, env=self._environment, stdout=output, stderr=output
            )
        self.starts += 1

    def _keep(self) -> None:
        while (code := self._process.wait()) != 0 and not self._closing:
            time.sleep(self._again_s)
            self._start()
        self.exit_code = code

    def _listen(self) -> None:
        self._socket.settimeout(0.1)
        while self.exit_code is None:
            try:
                self.said.append(self._socket.recv(4096).decode())
            except TimeoutError:
                continue
