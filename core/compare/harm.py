"""Whether a candidate does harm: its verdicts on all properties, sorted by what they claim."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import assert_never

from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.wording import listed

ONE_SIDED = 2.5  # per cent: harm lies beyond one end of an interval of 95 %


@dataclass(frozen=True)
class HarmAccount:
    """The properties of one candidate by what is claimed of them.

    `safe` are better or not worse, firm or on the word of the study; `if_alike` are so on a
    condition only. So with `worse` and `worse_if_alike`. `conditions` has that of each of these.
    """

    safe: tuple[str, ...]
    if_alike: tuple[str, ...]
    worse: tuple[str, ...]
    worse_if_alike: tuple[str, ...]
    signs: tuple[str, ...]
    open: tuple[str, ...]
    untested: tuple[str, ...]
    conditions: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, verdicts: Sequence[Verdict], batch: str) -> HarmAccount:
        """Return the account of one batch."""
        safe: list[str] = []
        if_alike: list[str] = []
        worse: list[str] = []
        worse_if_alike: list[str] = []
        signs, open_, untested = [], [], []
        conditions: dict[str, str] = {}
        for one in verdicts:
            if one.batch != batch:
                continue
            stands = one.standing is not Firmness.CONDITIONAL
            if not stands:
                conditions[one.property] = one.condition
            match one.outcome:
                case VerdictWord.BETTER | VerdictWord.NOT_WORSE:
                    (safe if stands else if_alike).append(one.property)
                case VerdictWord.WORSE:
                    (worse if stands else worse_if_alike).append(one.property)
                case VerdictWord.SIGNS_OF_HARM:
                    signs.append(one.property)
                case VerdictWord.CANNOT_TELL:
                    open_.append(one.property)
                case VerdictWord.NOT_TESTED:
                    untested.append(one.property)
                case _:
                    assert_never(one.outcome)
        return cls(
            tuple(safe),
            tuple(if_alike),
            tuple(worse),
            tuple(worse_if_alike),
            tuple(signs),
            tuple(open_),
            tuple(untested),
            conditions,
        )

    @property
    def _by_condition(self) -> list[tuple[str, tuple[str, ...]]]:
        """What is worse on a condition only, by the condition."""
        found: dict[str, tuple[str, ...]] = {}
        for label in self.worse_if_alike:
            condition = self.conditions[label]
            found[condition] = (*found.get(condition, ()), label)
        return [*found.items()]

    @property
    def safe_only(self) -> tuple[str, ...]:
        """On what conditions, together, it is better or not worse where that is not firm."""
        return tuple(dict.fromkeys(self.conditions[label] for label in self.if_alike))

    @property
    def told(self) -> tuple[str, ...]:
        """What is against it, in words, the gravest first."""
        parts = (
            ("worse", self.worse),
            *((f"worse, {condition},", of) for condition, of in self._by_condition),
            ("signs of harm", self.signs),
            ("cannot tell", self.open),
            ("not tested", self.untested),
        )
        return tuple(f"{word} on {listed(labels)}" for word, labels in parts if labels)

    def no_harm(self, *, with_conditional: bool = False) -> tuple[bool, str]:
        """Return whether it is shown to do no harm, with the reason.

        Each of these claims is made at its own level: all of them must hold, so that none needs an
        adjustment for their number (intersection-union test; Berger, Technometrics 24 (1982) 295;
        from memory).

        Parameters
        ----------
        with_conditional
            Whether what stands on a condition only counts too.
        """
        claimed = (*self.safe, *self.if_alike) if with_conditional else self.safe
        against = self.told
        if self.if_alike and not with_conditional:
            against += (f"not firm on {listed(self.if_alike)}",)
        if against or not claimed:
            return False, "; ".join(against) or "cannot tell on any property"
        return True, f"better or not worse on {listed(claimed)}"


def joint_error(properties: int) -> str:
    """Return what the claims "not worse" over so many properties risk together.

    One claim is wrong with at most 2.5 %, for all candidates together: harm lies beyond one end of
    their simultaneous intervals. That some of several are wrong is at most the sum (Bonferroni).

    Examples
    --------
    >>> joint_error(4).partition("; ")[2].partition(". ")[0]
    'that one or more on 4 properties is wrong, in at most 10 %'
    """
    if properties < 2:
        return ""
    together = min(100.0, ONE_SIDED * properties)
    return (
        f'Each "not worse" is wrong in at most {ONE_SIDED:g} % of studies; that one or more on'
        f" {properties} properties is wrong, in at most {together:g} %. That a candidate passes on"
        f" all of them and does harm on one: {ONE_SIDED:g} %."
    )
