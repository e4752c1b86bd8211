"""Which files are one export together, as a reader says it by their names."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from fnmatch import fnmatchcase
from glob import escape
from pathlib import PurePath

STEM, NAME = "{stem}", "{name}"
_OPEN = frozenset("*?[")


@dataclass(frozen=True)
class Companions:
    """The files of one export: a main one, and others that lie in the same folder.

    Patterns are those of file names (`*`, `?`, `[abc]`), without regard to case. In those of
    companions `{stem}` stands for the name of the main file without its ending and `{name}` for
    all of it, such as "{stem}.dat" beside "*.hdr". A pattern with neither takes whatever fits, and
    only in a folder below an inbox: so a folder of frames is `Companions("*.png", ("*.png",))`, of
    which the first by name is the main file.

    Every file that fits waits for what it lacks, so patterns should be no wider than they must.
    Where the plugin is missing, nothing keeps the files together: each is looked at by itself, and
    the reader of tables takes what it understands by what it says, whatever it is called.

    Parameters
    ----------
    main
        What the main file is called: the one that `recognise` and `read` are given.
    needed
        At least one file must fit each. What still lacks one after `wait_s` is held.
    optional
        What belongs to it if it is there when all that is needed has settled.
    wait_s
        How long it is waited for what is needed and not there, from when the others have settled;
        where any number may fit, for further ones too.

    Raises
    ------
    ValueError
        If a pattern is none, or could never fit.

    Examples
    --------
    >>> pair = Companions("*.hdr", needed=("{stem}.dat",))
    >>> pair.fits("RB-001-2.DAT", main="RB-001-2.hdr"), pair.lacking("RB-001-2.hdr", [])
    (True, ['RB-001-2.dat'])
    """

    main: str
    needed: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()
    wait_s: float = 30.0

    def __post_init__(self) -> None:
        if isinstance(self.needed, str) or isinstance(self.optional, str):
            raise ValueError("companions: needed and optional are tuples, such as ('{stem}.dat',)")
        if not self.patterns:
            raise ValueError("companions: neither needed nor optional names a file")
        for pattern in (self.main, *self.patterns):
            if not isinstance(pattern, str) or not pattern.strip() or set(pattern) & set("/\\"):
                raise ValueError(f"companions: {pattern!r} is no pattern of a file name")
        if STEM in self.main or NAME in self.main:
            raise ValueError(f"companions: main is {self.main!r}; {STEM} is for the others")
        if not isinstance(self.wait_s, int | float) or not 0 <= self.wait_s < float("inf"):
            raise ValueError(f"companions: wait_s is {self.wait_s!r}; expected seconds")

    @property
    def patterns(self) -> tuple[str, ...]:
        """All patterns of companions."""
        return (*self.needed, *self.optional)

    def is_main(self, name: str) -> bool:
        """Say whether a file may be the main one by its name."""
        return _fits(name, self.main)

    def fits(self, name: str, main: str) -> bool:
        """Say whether a file is a companion of a main one."""
        return name != main and any(_fits(name, _filled(one, main)) for one in self.patterns)

    def could_belong(self, name: str, *, in_folder: bool) -> bool:
        """Say whether a file may be the companion of some main one.

        Parameters
        ----------
        in_folder
            Whether it lies in a folder of its own, so that patterns without a stem count.
        """
        return any(
            _fits(name, one.replace(STEM, "*").replace(NAME, "*"))
            for one in self.patterns
            if in_folder or not of_folder(one)
        )

    def within(self, *, in_folder: bool) -> Companions | None:
        """Return what counts in a folder below an inbox, or in the inbox itself; None: nothing."""
        if in_folder or not any(map(of_folder, self.patterns)):
            return self
        needed = tuple(one for one in self.needed if not of_folder(one))
        optional = tuple(one for one in self.optional if not of_folder(one))
        if not needed + optional:
            return None
        return Companions(self.main, needed, optional, self.wait_s)

    def lacking(self, main: str, names: Collection[str]) -> list[str]:
        """Return what of the needed is not there, as patterns with the stem filled in."""
        return [
            one.replace(STEM, PurePath(main).stem).replace(NAME, main)
            for one in self.needed
            if not any(name != main and _fits(name, _filled(one, main)) for name in names)
        ]

    @property
    def is_open(self) -> bool:
        """Whether any number of files may fit, so that no name tells that it was the last."""
        return any(_OPEN & set(one) for one in self.patterns)


def of_folder(pattern: str) -> bool:
    """Say whether a pattern takes what lies in a folder, whatever the main file is called."""
    return STEM not in pattern and NAME not in pattern


def rules_of(readers: Iterable[object]) -> tuple[Companions, ...]:
    """Return what readers say of files that are one export together."""
    found = (getattr(reader, "companions", None) for reader in readers)
    return tuple(dict.fromkeys(one for one in found if isinstance(one, Companions)))


def _filled(pattern: str, main: str) -> str:
    return pattern.replace(STEM, escape(PurePath(main).stem)).replace(NAME, escape(main))


def _fits(name: str, pattern: str) -> bool:
    return fnmatchcase(name.casefold(), pattern.casefold())
