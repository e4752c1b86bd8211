"""Properties that evaluations bring, beside those that are known without any plugin."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace

from pydantic import ValidationError

from tiecoat.compare.properties import CATALOGUE, Catalogue, Property
from tiecoat.compare.study import WantedProperty
from tiecoat.compare.study_faults import fault_words
from tiecoat.contract.evaluation import Evaluation
from tiecoat.contract.study_property import StudyProperty


@dataclass(frozen=True)
class Offered:
    """The properties that there are, and sentences about those that were left out."""

    catalogue: Catalogue
    problems: tuple[str, ...]


def with_offered(evaluations: Iterable[Evaluation], left_out: Sequence[str] = ()) -> Offered:
    """Return the properties that are known, with those of evaluations behind them.

    What an evaluation brings keeps to the rules of a study file. The first one of a name is taken.
    `left_out` are sentences about plugins that could not be loaded, whose properties are lacking.
    """
    usual, by_name = dict(CATALOGUE.usual), dict(CATALOGUE.by_name)
    problems = []
    for evaluation in evaluations:
        for one in evaluation.properties:
            try:
                if one.name in usual or one.name in by_name:
                    raise ValueError("another property has this name")
                made = _made(evaluation.kind, one)
            except ValueError as error:  # pydantic's is one
                problems.append(
                    f"property {one.name!r} of evaluation {evaluation.name!r} was left out:"
                    f" {_said(error)}"
                )
            else:
                (by_name if one.only_by_name else usual)[one.name] = made
    return Offered(Catalogue(usual, by_name, (*problems, *left_out)), tuple(problems))


def _made(kind: str, offered: StudyProperty) -> Property:
    """Return it as a study would get it that states all that it says; refuse what a study may not.

    Raises
    ------
    ValueError
        If a study could not state it, or it says not from where on it is harm.
    """
    given = asdict(offered)
    del given["nature"], given["only_by_name"]
    stated = {key: value for key, value in given.items() if value not in (None, "")}
    if stated["scale"] == "difference":  # some methods have no scale
        del stated["scale"]
    made = WantedProperty.model_validate({"kind": kind, **stated}).made()
    if made.margin is None and made.margin_percent is None:
        raise ValueError("it needs margin or margin_percent: from how much on it counts as harm")
    return replace(made, nature=offered.nature)


def _said(error: ValueError) -> str:
    if not isinstance(error, ValidationError):
        return str(error)
    first = error.errors()[0]
    if first["type"] == "value_error":
        return fault_words(first)
    where = ".".join(map(str, first["loc"]))
    return f"{where} = {first['input']!r}: {first['msg']}"
