"""A share whose server can fall silent: a read-only file system of our own, served over FUSE.

While its process is stopped, every call on a file of the share hangs, as it does on a network
share whose server is lost. Only root may mount it, and only where the system has /dev/fuse. What
goes over the wire is laid out in the kernel's include/uapi/linux/fuse.h (protocol 7.31).

python hanging_share.py FOLDER PLACE        shows the files of FOLDER at PLACE
"""

from __future__ import annotations

import ctypes
import errno
import os
import signal
import stat
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

DEVICE = Path("/dev/fuse")
REQUEST = struct.Struct("<IIQQIIII")  # length, opcode, unique, node, uid, gid, pid, padding
ANSWER = struct.Struct("<IiQ")  # length, minus errno, unique
ATTRIBUTES = struct.Struct("<QQQQQQIIIIIIIIII")
ROOT = 1  # node of the folder; a file has the number of its name in `Server.names`, from 2
LOOKUP, FORGET, GETATTR, OPEN, READ, STATFS, RELEASE, FLUSH = 1, 2, 3, 14, 15, 17, 18, 25
INIT, OPENDIR, READDIR, RELEASEDIR, INTERRUPT, BATCH_FORGET = 26, 27, 28, 29, 36, 42
OPENED = struct.pack("<QII", 0, 0, 0)
ALWAYS = {  # requests of which the answer is always the same
    INIT: struct.pack("<IIIIHHIIHHI28x", 7, 31, 1 << 16, 0, 8, 8, 1 << 16, 1, 1, 0, 0),
    STATFS: struct.pack("<QQQQQIIII24x", 1, 0, 0, 1, 0, 4096, 255, 4096, 0),
    **dict.fromkeys((OPEN, OPENDIR), OPENED),
    **dict.fromkeys((RELEASE, RELEASEDIR, FLUSH), b""),
}
DIE_WITH_PARENT = 1  # PR_SET_PDEATHSIG of prctl(2): no silent share outlives the test


class Server:
    """Answers the kernel with what lies in a folder; nothing is cached, so each call asks."""

    def __init__(self, folder: Path, device: int) -> None:
        self.folder = folder
        self.device = device
        self.names: list[bytes] = []

    def run(self) -> None:
        """Answer until the share is unmounted."""
        while True:
            try:
                request = os.read(self.device, 1 << 17)
            except OSError as error:
                if error.errno == errno.ENODEV:
                    return
                raise
            _, opcode, unique, node, *_ = REQUEST.unpack_from(request)
            if opcode in {FORGET, BATCH_FORGET, INTERRUPT}:
                continue
            try:
                answer, failed = self.answer(opcode, node, request[REQUEST.size :]), 0
            except OSError as error:
                answer, failed = b"", error.errno or errno.EIO
            head = ANSWER.pack(ANSWER.size + len(answer), -failed, unique)
            os.write(self.device, head + answer)

    def answer(self, opcode: int, node: int, body: bytes) -> bytes:
        """Return the answer to one request.

        Raises
        ------
        OSError
            With the number that the caller is to get.
        """
        if opcode in ALWAYS:
            return ALWAYS[opcode]
        if opcode == LOOKUP:
            name = body.split(b"\0")[0]
            attributes = packed(os.lstat(self.path(name)))
            if name not in self.names:
                self.names.append(name)
            return struct.pack("<QQQQII", self.names.index(name) + 2, 0, 0, 0, 0, 0) + attributes
        if opcode == GETATTR:
            return struct.pack("<QII", 0, 0, 0) + packed(os.lstat(self.at(node)))
        if opcode in {READ, READDIR}:
            _, offset, size = struct.unpack_from("<QQI", body)
            if opcode == READDIR:
                return self.listing(offset, size)
            return Path(os.fsdecode(self.at(node))).read_bytes()[offset : offset + size]
        raise OSError(errno.ENOSYS, "not served here")

    def path(self, name: bytes) -> bytes:
        return os.path.join(os.fsencode(self.folder), name)  # noqa: PTH118 - bytes

    def at(self, node: int) -> bytes:
        return os.fsencode(self.folder) if node == ROOT else self.path(self.names[node - 2])

    def listing(self, offset: int, size: int) -> bytes:
        """Return as many entries as fit, the first of them at this place of the list."""
        found = b""
        for place, name in enumerate(sorted(os.listdir(os.fsencode(self.folder)))):  # noqa: PTH208
            entry = struct.pack("<QQII", place + 2, place + 1, len(name), stat.S_IFREG >> 12) + name
            entry += bytes(-len(entry) % 8)
            if place >= offset and len(found) + len(entry) <= size:
                found += entry
        return found


def packed(status: os.stat_result) -> bytes:
    """Return attributes of a file as the kernel reads them."""
    times = [status.st_atime_ns, status.st_mtime_ns, status.st_ctime_ns]
    return ATTRIBUTES.pack(
        status.st_ino,
        status.st_size,
        (status.st_size + 511) // 512,
        *(ns // 10**9 for ns in times),
        *(ns % 10**9 for ns in times),
        status.st_mode,
        status.st_nlink,
        status.st_uid,
        status.st_gid,
        0,
        4096,
        0,
    )


class Share:
    """A mounted share.

    `folder` is what it shows, to drop files into; `place` where it is mounted.
    """

    def __init__(self, folder: Path, place: Path, server: subprocess.Popen[bytes]) -> None:
        self.folder, self.place = folder, place
        self._server = server

    def fall_silent(self) -> None:
        """Answer nothing any more."""
        self._server.send_signal(signal.SIGSTOP)
        stopped = Path(f"/proc/{self._server.pid}/stat")
        while stopped.read_text().rpartition(")")[2].split()[0] != "T":
            time.sleep(0.01)

    def answer_again(self) -> None:
        """Answer, also what was asked meanwhile."""
        self._server.send_signal(signal.SIGCONT)


@contextmanager
def share(root: Path) -> Iterator[Share | None]:
    """Mount a share below a folder; None where that cannot be done."""
    folder, place = root / "served", root / "share"
    folder.mkdir()
    place.mkdir()
    command = [sys.executable, "-I", __file__, str(folder), str(place)]
    with subprocess.Popen(command, stderr=subprocess.DEVNULL) as server:
        try:
            while not os.path.ismount(place) and server.poll() is None:
                time.sleep(0.01)
            yield Share(folder, place, server) if server.poll() is None else None
        finally:
            server.kill()  # whatever still waits for an answer gets an error instead
            server.wait()
            subprocess.run(["umount", "-l", str(place)], stderr=subprocess.DEVNULL, check=False)


def main(folder: str, place: str) -> int:
    """Mount the share and serve it; 1 where that is not allowed."""
    try:
        device = os.open(DEVICE, os.O_RDWR)
    except OSError:
        return 1
    options = f"fd={device},rootmode=40000,user_id=0,group_id=0,default_permissions,allow_other"
    libc = ctypes.CDLL(None)
    libc.prctl(DIE_WITH_PARENT, signal.SIGKILL)
    read_only_no_suid_no_devices = 1 | 2 | 4
    if libc.mount(
        b"share", place.encode(), b"fuse", read_only_no_suid_no_devices, options.encode()
    ):
        return 1
    Server(Path(folder), device).run()
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
