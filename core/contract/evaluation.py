"""What turns measurements of a kind into engineering results."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tiecoat.contract.choices import Choices
from tiecoat.contract.study_property import StudyProperty

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Evaluation:
    """From the measurements of a kind to engineering results.

    A quantity has one unit: that of the evaluation that gives it first, a built-in one before
    others. What another gives in a unit that converts is converted; what does not, and a result
    that another gives for the same measurement, panel or batch and condition, is left out and told.

    Parameters
    ----------
    name
        Unique among the evaluations of all plugins.
    kind
        The kind whose results these are.
    compute
        A pure function: gets a frame for each kind it needs (rows as `archive.read` gives them,
        valid ones only, an empty panel NaN; an empty frame where the archive has none) and what the
        laboratory has set, and returns a result table as `tiecoat.evaluate.result.results` makes
        it. It touches no file, no archive and no clock.
    needs
        Further kinds that `compute` needs, such as the register.
    slow
        True for what takes long: computed only when asked for by its name, or by a quantity that
        the others do not give.
    version
        Rises whenever the results would come out otherwise.
    choices
        What a lab may set for it in [evaluate.NAME]: a class derived from `Checked`, of which
        `compute` gets an instance. Without it `compute` gets the choices of the built-in kinds.
    pooled
        Quantities whose results name a measurement and are made of further ones of its panel or
        batch as well: these get the remarks on all of them. None: not known, so every result does.
    by_batch
        True if no result hangs on the rows of another batch than its own: then a large archive is
        computed some batches at a time, in little memory. Without it `compute` gets all at once.
    of_batch
        Quantities whose results name a panel and hang on the others of its batch as well: these
        get the remarks on all of the batch.
    properties
        Which of its quantities studies know by name, and what counts as harm on them.
    """

    name: str
    kind: str
    compute: Callable[[Mapping[str, pd.DataFrame], Any], pd.DataFrame]
    needs: tuple[str, ...] = ()
    slow: bool = False
    version: str = "1"
    choices: type[Any] = Choices
    pooled: tuple[str, ...] | None = None
    by_batch: bool = False
    of_batch: tuple[str, ...] = ()
    properties: tuple[StudyProperty, ...] = ()
