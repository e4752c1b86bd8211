"""Who may write a file on Windows, by its owner and access list.

The list is read as the text that Windows itself makes of it (security descriptor definition
language): what that says can be looked at, and tested, on any system. The calls at the end have not
been run on Windows; they follow the published documentation of the Windows API, from memory.
"""

from __future__ import annotations

import re
import sys
from functools import reduce
from operator import or_
from pathlib import Path

TRUSTED = {  # security identifiers, the same on every computer, and their short names
    "SY": "S-1-5-18",  # the system
    "BA": "S-1-5-32-544",  # administrators
}
INSTALLER = "S-1-5-80-956008885-3418522649-1831038044-1853292631-2271478464"  # of Windows itself
GROUPS = {  # that lists name in short
    "WD": "S-1-1-0",  # everybody
    "AU": "S-1-5-11",  # whoever is logged on
    "IU": "S-1-5-4",  # at the keyboard
    "NU": "S-1-5-2",  # over the network
    "AN": "S-1-5-7",
    "BU": "S-1-5-32-545",
    "BG": "S-1-5-32-546",
    "PU": "S-1-5-32-547",
    "LS": "S-1-5-19",
    "NS": "S-1-5-20",
}
OWNERS = {"OW", "S-1-3-4"}  # rights of whoever owns it: the owner is looked at anyway
SHORT_RIGHTS = {
    "GA": 0x10000000, "GW": 0x40000000, "GR": 0x80000000, "GX": 0x20000000,
    "FA": 0x1F01FF, "FW": 0x120116, "FR": 0x120089, "FX": 0x1200A0,
    "RC": 0x20000, "SD": 0x10000, "WD": 0x40000, "WO": 0x80000,
    "CC": 0x1, "DC": 0x2, "LC": 0x4, "SW": 0x8, "RP": 0x10, "WP": 0x20,
    "DT": 0x40, "LO": 0x80, "CR": 0x100,
}  # fmt: skip
# write and append, delete what is inside, delete, change the rights, take ownership, and all
CHANGES = 0x2 | 0x4 | 0x40 | 0x10000 | 0x40000 | 0x80000 | 0x10000000 | 0x40000000
ENTRY = re.compile(r"\(([A-Z]+);([A-Z]*);([^;]*);([^;]*);([^;]*);([^;)]*)(?:;[^)]*)?\)")
PARTS = re.compile(r"([OGDS]):(.*?)(?=(?:[OGDS]:)|$)", re.DOTALL)


def writers(descriptor: str, own: str) -> tuple[str, tuple[str, ...]] | None:
    """Return the owner, and who may change it beside the own account and administrators.

    Parameters
    ----------
    descriptor
        Owner and access list as text, such as "O:BAD:(A;;FA;;;SY)(A;;FA;;;BA)".
    own
        The security identifier of the own account.

    Returns
    -------
    tuple or None
        None if there is nobody.
    """
    parts = dict(PARTS.findall(descriptor))
    owner = parts.get("O", "nobody").strip()
    trusted = {*TRUSTED, *TRUSTED.values(), INSTALLER, own}
    found = [] if owner in trusted else [owner]
    entries = ENTRY.findall(parts.get("D", ""))
    if "D" not in parts or "NO_ACCESS_CONTROL" in parts["D"]:  # no list: everybody may do all
        found.append("WD")
    for sort, flags, rights, _, _, account in entries:
        allows = sort in {"A", "OA", "XA", "ZA"}
        only_inherited = "IO" in re.findall("..", flags)  # for what comes to lie in it, not for it
        if allows and not only_inherited and _mask(rights) & CHANGES:
            found += [] if account in trusted | OWNERS else [account]
    return (owner, tuple(dict.fromkeys(found))) if found else None


def _mask(rights: str) -> int:
    if rights.startswith("0x"):
        return int(rights, 16)
    if rights.isdecimal():
        return int(rights)
    # what this knows no meaning of might be a right to write
    return reduce(or_, (SHORT_RIGHTS.get(one, CHANGES) for one in re.findall("..?", rights)), 0)


if sys.platform == "win32":
    import ctypes
    from ctypes import wintypes

    OWNER_AND_LIST = 0x1 | 0x4  # OWNER_SECURITY_INFORMATION, DACL_SECURITY_INFORMATION
    FILE, REVISION, QUERY, USER = 1, 1, 0x8, 1
    _advapi = ctypes.WinDLL("advapi32", use_last_error=True)
    _kernel = ctypes.WinDLL("kernel32", use_last_error=True)
    _kernel.GetCurrentProcess.restype = wintypes.HANDLE
    _kernel.LocalFree.argtypes = [ctypes.c_void_p]
    _kernel.CloseHandle.argtypes = [wintypes.HANDLE]

    def rights_of(path: Path) -> str:
        """Return owner and access list of a file or folder as text."""
        found = ctypes.c_void_p()
        code = _advapi.GetNamedSecurityInfoW(
            ctypes.c_wchar_p(str(path)),
            FILE,
            OWNER_AND_LIST,
            None,
            None,
            None,
            None,
            ctypes.byref(found),
        )
        if code:
            raise ctypes.WinError(code)
        try:
            text = ctypes.c_wchar_p()
            if not _advapi.ConvertSecurityDescriptorToStringSecurityDescriptorW(
                found, REVISION, OWNER_AND_LIST, ctypes.byref(text), None
            ):
                raise ctypes.WinError(ctypes.get_last_error())
            return _taken(text)
        finally:
            _kernel.LocalFree(found)

    def own_sid() -> str:
        """Return the security identifier of the account that this process runs as."""
        token = wintypes.HANDLE()
        opened = _advapi.OpenProcessToken(
            wintypes.HANDLE(_kernel.GetCurrentProcess()), QUERY, ctypes.byref(token)
        )
        if not opened:
            raise ctypes.WinError(ctypes.get_last_error())
        try:
            content = ctypes.create_string_buffer(256)
            size = wintypes.DWORD()
            if not _advapi.GetTokenInformation(
                token, USER, content, len(content), ctypes.byref(size)
            ):
                raise ctypes.WinError(ctypes.get_last_error())
            sid = ctypes.c_void_p.from_buffer(content)
            text = ctypes.c_wchar_p()
            if not _advapi.ConvertSidToStringSidW(sid, ctypes.byref(text)):
                raise ctypes.WinError(ctypes.get_last_error())
            return _taken(text)
        finally:
            _kernel.CloseHandle(token)

    def _taken(text: ctypes.c_wchar_p) -> str:
        """Return a text that Windows has made, and free it."""
        value = text.value or ""
        _kernel.LocalFree(text)
        return value
