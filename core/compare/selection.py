"""Who is compared: batches by study and register, which is the control, and what does not fit."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import pandas as pd

from tiecoat.compare.batch_scatter import same_recipes
from tiecoat.compare.result_rows import near_words
from tiecoat.compare.study import Study, kept_id
from tiecoat.errors import UnknownName


def chosen_batches(study: Study, register: pd.DataFrame) -> tuple[list[str], list[str]]:
    """Return the batches that are compared, and a sentence if there are none."""
    known = sorted(register["batch"].unique().tolist())
    if not known:
        return [], ["the register holds no batch: file it first, with the role of each batch"]
    return [kept_id(one) for one in study.batches] or known, []


def refuse_unknown(study: Study, register: pd.DataFrame, filed: pd.DataFrame) -> None:
    """Refuse a study that names a batch or control which the register does not hold.

    Raises
    ------
    UnknownName
        With a sentence for each, and names near it.
    """
    known = sorted(register["batch"].unique().tolist())
    named = {kept_id(one): "batch" for one in study.batches}
    if study.control:
        named[kept_id(study.control)] = "control"
    measured = set(filed["batch"])
    told = [
        f"the study names the {what} {one}, which has data but is not in the register:"
        " register it first"
        if one in measured
        else f"the study names the {what} {one}, which the register does not hold"
        f"{near_names(one, known)}"
        for one, what in named.items()
        if one not in known
    ]
    if told:
        raise UnknownName("\n".join(told))


def control_batch(
    study: Study, register: pd.DataFrame, chosen: Sequence[str]
) -> tuple[str, list[str]]:
    """Return the control, or "" with the sentence that says why there is none."""
    if study.control:
        return kept_id(study.control), []
    is_control = register["batch"].isin(chosen) & (register["role"] == "control")
    found = sorted(register.loc[is_control, "batch"].unique().tolist())
    if len(found) == 1:
        return found[0], []
    if found:
        listed = f"{len(found)} batches have the role control: {', '.join(found)}"
        return "", [f"{listed}; name one as control in the study: nothing is compared"]
    elsewhere = sorted(register.loc[register["role"] == "control", "batch"].unique().tolist())
    hint = f"; the register has {', '.join(elsewhere)}" if elsewhere else ""
    return "", [
        f"no batch compared has the role control{hint}; name one in the study: nothing is compared"
    ]


def unregistered(tables: Mapping[str, pd.DataFrame], register: pd.DataFrame) -> list[str]:
    """Return a sentence for batches that have data but are not in the register."""
    known = set(register["batch"])
    kinds: dict[str, list[str]] = {}
    for kind, table in tables.items():
        for batch in table["batch"].unique():
            if batch and batch not in known:
                kinds.setdefault(str(batch), []).append(kind)
    return [
        f"{batch} has data ({', '.join(dict.fromkeys(listed))}) but is not in the register:"
        " it is left out"
        for batch, listed in sorted(kinds.items())
    ]


def unknown_kinds(study: Study, known: Collection[str]) -> list[str]:
    """Return a sentence for kinds that the study names and that nobody brings.

    Parameters
    ----------
    known
        The kinds that results are computed of, or rows are filed of.
    """
    asked = dict.fromkeys(one.kind for one in study.property if one.kind)
    return [
        f"there is no kind {one!r}{near_names(one, sorted(known))}"
        for one in asked
        if one not in known
    ]


def unknown_panels(study: Study, tables: Iterable[pd.DataFrame]) -> list[str]:
    """Return a sentence for panels that the study names and that have no data."""
    known = {str(panel) for table in tables for panel in table["panel"].dropna().unique()}
    asked = [kept_id(one) for one in study.panels]
    return [
        f"the panel {one} has no data{near_names(one, sorted(known))}"
        for one in asked
        if one not in known
    ]


def repeated_recipes(register: pd.DataFrame, control: str) -> list[str]:
    """Return a sentence for recipes with several batches, and for further control batches."""
    recipes = register.set_index("batch")["recipe"]
    told = [
        f"{recipes[alike[0]]}: {', '.join(alike)} are batches of one recipe; each is compared by"
        " itself, and how they differ tells of the scatter among batches"
        for alike in same_recipes(register)
    ]
    others = register[(register["role"] == "control") & (register["batch"] != control)]
    if control and len(others):
        told.append(f"further batches with the role control: {', '.join(sorted(others['batch']))}")
    return told


def only_panels(kept: Collection[str] | None, table: pd.DataFrame) -> pd.DataFrame:
    """Return the rows of the panels that the study keeps, and those that belong to none.

    Parameters
    ----------
    kept
        None keeps all.
    """
    if kept is None:
        return table
    panel = table["panel"].fillna("").astype(str)
    return table[panel.isin(kept) | (panel == "")]


def near_names(word: str, known: Sequence[str]) -> str:
    """Return names near a word, else those that there are."""
    told = repr if any("," in one for one in known) else str  # as names of coat systems have them
    return f"; {near_words(word, known, told)}" if known else "; there is none"
