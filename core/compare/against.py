"""Candidate against candidate: with whom a study compares beside the control."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from tiecoat.compare.selection import near_names
from tiecoat.compare.study import EACH_OTHER, Study, kept_id
from tiecoat.errors import UnknownName

PAIRS_APART = (
    "Candidates are compared with each other apart from the control: adjusted among themselves, by"
    " the same margins. What is told of the control there is told of the candidate compared with."
)


def refuse_unknown_references(
    study: Study, register: pd.DataFrame, candidates: Sequence[str], control: str
) -> None:
    """Refuse a study that compares with what is none of its candidates.

    Raises
    ------
    UnknownName
        With a sentence for each, and names near it.
    """
    told = []
    for name in study.against:
        if control and kept_id(name) == control:
            told.append(
                f"against names {control}, the control: every candidate is compared with it anyway"
            )
        elif not _meant_by(name, register, candidates):
            known = [*_names(register, candidates), EACH_OTHER]
            told.append(
                f"against names {name!r}, which is no candidate of the study"
                f"{near_names(name, known)}"
            )
    if told:
        raise UnknownName("\n".join(told))


def references_of(study: Study, register: pd.DataFrame, candidates: Sequence[str]) -> list[str]:
    """Return the batches that the study compares others with, beside the control.

    A name is that of a batch, of a candidate, which may have several doses, or a dose and a
    candidate such as "5 % talc"; "all" is each of them.

    Parameters
    ----------
    candidates
        Batches of the study without its control.
    """
    found = [one for name in study.against for one in _meant_by(name, register, candidates)]
    return list(dict.fromkeys(found))


def _meant_by(name: str, register: pd.DataFrame, candidates: Sequence[str]) -> list[str]:
    if name == EACH_OTHER:
        return list(candidates)
    if (batch := kept_id(name)) in candidates:
        return [batch]
    names = _names(register, candidates)
    return list(dict.fromkeys(names.get(name.strip().casefold(), [])))


def _names(register: pd.DataFrame, candidates: Sequence[str]) -> dict[str, list[str]]:
    """Return the batches by the names that they go by, in lower case."""
    rows = register[register["batch"].isin(candidates)]
    found: dict[str, list[str]] = {}
    for batch, candidate, dose in zip(
        rows["batch"].astype(str), rows["candidate"], rows["dose_percent"], strict=True
    ):
        if isinstance(candidate, str):
            for name in (candidate, f"{dose:g} % {candidate}"):
                found.setdefault(name.casefold(), []).append(batch)
    return found
