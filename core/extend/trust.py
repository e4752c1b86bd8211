"""Who could change what runs here: a reader is code, and runs with the rights of the service.

Whoever may write the file, or the folder it lies in, or the lab, or the settings that allow readers
at all, may run code as the service does. So all of these, and whatever a link among them leads
through, must be in the hands of the service's own account and of administrators alone.
"""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tiecoat.disk import fsio
from tiecoat.extend.windows_rights import GROUPS
from tiecoat.lab.settings import SETTINGS

MOST_LINKS = 40  # that lead to one file; a circle has no end


def doubt_of_folder(folder: Path) -> str:
    """Say who else could change which readers a lab has; "" if nobody.

    Parameters
    ----------
    folder
        The readers folder of a lab.

    Raises
    ------
    OSError
        If that cannot be told.
    """
    settings = folder.parent / SETTINGS
    every = [folder.parent, *([settings] if fsio.is_there(settings) else []), folder]
    return next((said for path in every if (said := doubt_of(path))), "")


def doubt_of(path: Path) -> str:
    """Say who else could change a file or folder, and what mends it; "" if nobody.

    Raises
    ------
    OSError
        If that cannot be told.
    """
    return next((said for one in _through_links(path) if (said := _doubt(one))), "")


def _through_links(path: Path) -> Iterator[Path]:
    """Yield what a path leads through: where it is a link, the folder of what it leads to too."""
    for _ in range(MOST_LINKS):
        if not path.is_symlink():
            yield path
            return
        target = path.parent / path.readlink()
        path = Path(os.path.normpath(target))
        yield path.parent


if sys.platform == "win32":
    from tiecoat.extend.windows_rights import own_sid, rights_of, writers

    def _doubt(path: Path) -> str:
        if found := writers(rights_of(path), own_sid()):
            return of_writers(path, found)
        return ""

else:
    import grp
    import pwd

    ACCESS_LIST = "system.posix_acl_access"

    def _doubt(path: Path) -> str:
        status = path.stat()
        owner = _account(status.st_uid)
        if status.st_uid not in {0, os.geteuid()}:
            me = _account(os.geteuid())
            return f"{path} belongs to {owner}, who could run code here: chown {me} '{path}'"
        if status.st_mode & stat.S_IWOTH:
            return _opened(path, "everybody", owner, "chmod o-w")
        if status.st_mode & stat.S_IWGRP:
            if _has_access_list(path):
                return _opened(path, "whoever its access list names", owner, "setfacl -b")
            if not _is_own_group(status.st_gid):
                return _opened(path, f"the group {_group(status.st_gid)}", owner, "chmod g-w")
        return ""

    def _opened(path: Path, who: str, owner: str, command: str) -> str:
        said = f"{who} may write to {path}, which belongs to {owner}, and so could run code here"
        return f"{said}: {command} '{path}'"

    def _has_access_list(path: Path) -> bool:
        """Say whether more than owner, group and others have rights; the group's bits cap them."""
        try:
            return ACCESS_LIST in os.listxattr(path) if hasattr(os, "listxattr") else False
        except OSError:  # a file system without
            return False

    @cache
    def _is_own_group(number: int) -> bool:
        """Say whether nobody but the own account or root is in a group, as many systems have it."""
        if number == 0:
            return True
        try:
            me, group = pwd.getpwuid(os.geteuid()), grp.getgrgid(number)
        except KeyError:
            return False
        return (
            number == me.pw_gid
            and group.gr_name == me.pw_name
            and set(group.gr_mem) <= {me.pw_name}
        )

    def _account(number: int) -> str:
        try:
            return pwd.getpwuid(number).pw_name
        except KeyError:
            return str(number)

    def _group(number: int) -> str:
        try:
            return grp.getgrgid(number).gr_name
        except KeyError:
            return str(number)


def of_writers(path: Path, found: tuple[str, tuple[str, ...]]) -> str:
    """Return the refusal on Windows: the owner, who may write, and what takes that from them.

    Accounts stand as security identifiers, which are the same in every language.
    """
    owner, accounts = found
    keep = " ".join(f'"{who}:(OI)(CI)F"' for who in ("*S-1-5-18", "*S-1-5-32-544", "%USERNAME%"))
    command = f'icacls "{path}" /setowner "%USERNAME%" & '
    command += f'icacls "{path}" /inheritance:r /grant:r {keep}'
    command += "".join(f' /remove "*{GROUPS.get(account, account)}"' for account in accounts)
    who = ", ".join(accounts)
    return f"{who} may write to {path}, which belongs to {owner}, and so could run code: {command}"
