"""Which files of a folder are one export together, as their names and the readers say."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from tiecoat.contract.companions import Companions


@dataclass(frozen=True)
class Together:
    """Files that are one export by their names: the main one and its companions.

    `awaited` says what more may come, as patterns, and `wait_s` for how long that is waited for; 0
    where nothing more can come.
    """

    main: str
    companions: tuple[str, ...] = ()
    awaited: tuple[str, ...] = ()
    wait_s: float = 0.0

    @property
    def names(self) -> tuple[str, ...]:
        """Of all its files, the main one first."""
        return (self.main, *self.companions)


def together(
    names: Collection[str], rules: Sequence[Companions], *, in_folder: bool
) -> dict[str, Together]:
    """Return what each name belongs to; names that belong to nothing are left out.

    Parameters
    ----------
    names
        Of all files in one folder.
    rules
        What readers say.
    in_folder
        Whether it is a folder of its own: an inbox is none.
    """
    counting = [rule.within(in_folder=in_folder) for rule in rules]
    every = [rule for rule in counting if rule is not None]
    found: dict[str, Together] = {}
    for main in sorted(names):
        if main in found:
            continue
        left = [name for name in names if name not in found]
        sets = [_set_of(main, left, rule) for rule in every if rule.is_main(main)]
        if sets:  # the one that has most and lacks least
            best = max(sets, key=lambda one: (len(one.companions), -len(one.awaited)))
            found |= dict.fromkeys((main, *best.companions), best)
    return found | {
        name: Together(name, (), (rule.main,), rule.wait_s)
        for name in names
        if name not in found
        for rule in every
        if rule.could_belong(name, in_folder=in_folder)
    }


def _set_of(main: str, names: Sequence[str], rule: Companions) -> Together:
    companions = tuple(sorted(name for name in names if rule.fits(name, main)))
    awaited = tuple(rule.lacking(main, companions))
    more = awaited or (rule.patterns if rule.is_open else ())
    return Together(main, companions, more, rule.wait_s if more else 0.0)
