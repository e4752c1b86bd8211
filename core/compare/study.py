"""The study: what is compared with what, as a small TOML file says.

    name = "Fillers in the bridge primer"
    control = "RB-010"                      # else the batch with the role control
    batches = ["RB-010", "RB-011"]          # else all of the register
    exposure_h = [24, 240]                  # else the last time that the batches share
    coat_systems = ["epoxy primer"]         # else all; so with panels and doses_percent
    against = ["talc"]                      # compared with these candidates too; ["all"]: with each

    why = [["entrapped air", "void fraction"]]  # what goes together; else the usual pairs

    [spreads_alike]                         # else verdicts that rest on it are conditional
    by = "A. Weber"
    ground = "40 panels of this primer in 2025, standard deviations of 0.4 to 0.6 MPa"

    [[property]]
    name = "modulus"                        # one that tiecoat knows
    margin_percent = 30
    weight = 2

    [[property]]
    name = "pull-off strength"              # a line for each coat system, substrate and dolly
    coat_systems = ["epoxy primer"]         # else all that the control has; so with substrates
    dollies_mm = [20]

    [[property]]
    name = "levelling"                      # any other result: by kind and quantity
    kind = "viscosity"
    quantity = "levelling_half_time"
    condition = "down; marks of 2 mm in a film of 200 µm"
    direction = "lower"
    margin = 5
    decisive = true                         # nothing is recommended while it is open

    [[property]]
    name = "pinholes"                       # counts on an area, here one of each photograph
    kind = "defects"
    quantity = "pinholes"
    method = "counts"
    area = "evaluated_mm2"
    direction = "lower"
    margin = 5                              # per dm2; or margin_percent, by the ratio of the rates

    [application.roller]                    # a recommendation of its own, by these numbers
    weight = { levelling = 3, "pull-off strength" = { "epoxy primer" = 2 } }  # with that coat alone
    margin = { "pull-off strength" = 1.5 }
    decisive = [["pull-off strength", "epoxy primer"]]  # or without a coat; else those of the study

Without a file everything in the register is compared on every property that has results. What was
determined under several conditions, such as counts at two pressures, is compared under each of
them, unless `condition` names one.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import replace
from difflib import get_close_matches
from typing import Annotated, Any, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PrivateAttr,
    ValidationError,
    ValidationInfo,
    model_validator,
)

from tiecoat.compare.circumstances import TOLD_BY_ROWS
from tiecoat.compare.properties import CATALOGUE, Catalogue, Property
from tiecoat.compare.study_faults import fault_at, fault_words, study_faults, toml_fault
from tiecoat.contract.study_property import Direction, Method, Scale
from tiecoat.errors import SettingInvalid
from tiecoat.lab.ids import canonical

LINES = ("coat_systems", "substrates", "dollies_mm")
Hours = Annotated[float, Field(ge=0)]
NonEmpty = Annotated[str, Field(min_length=1)]
ALL_COATS = ""  # under which an application keeps what it asks of a property with whatever coats
EACH_OTHER = "all"  # the name by which every candidate is compared with every other one


TOLD_WITH = ("pull_off",)  # kinds whose rows tell what a panel was determined with


class _StudySection(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class _Knowing(_StudySection):
    """A section that knows which properties there are; see `Study.knowing`."""

    _catalogue: Catalogue = PrivateAttr(default=CATALOGUE)

    @model_validator(mode="after")
    def _told(self, told: ValidationInfo) -> Self:
        if told.context is not None:
            self._catalogue = told.context
        return self

    @property
    def catalogue(self) -> Catalogue:
        """The properties that may be named without saying more of them."""
        return self._catalogue

    def knowing(self, catalogue: Catalogue) -> Self:
        """Return the section where it may name these properties without saying more of them.

        Its values are not checked anew: `load_study` checks those of a file.
        """
        found = self.model_copy()
        found._catalogue = catalogue
        return found


class WantedProperty(_Knowing):
    """One property as the study asks for it; see `Property` for the meaning of each key."""

    name: NonEmpty
    kind: NonEmpty | None = None
    quantity: NonEmpty | None = None
    condition: str | None = None
    direction: Direction | None = None
    scale: Scale | None = None
    method: Method | None = None
    exposure_h: tuple[Hours, ...] | None = None
    margin: float | None = Field(default=None, gt=0)
    margin_percent: float | None = Field(default=None, gt=0, le=1000)
    target: float | None = None
    weight: float | None = Field(default=None, ge=0, le=1000)
    ideal: float | None = None
    unacceptable: float | None = None
    area: NonEmpty | None = None
    decisive: bool | None = None
    coat_systems: tuple[str, ...] = ()
    substrates: tuple[str, ...] = ()
    dollies_mm: tuple[Annotated[float, Field(gt=0)], ...] = ()

    @model_validator(mode="after")
    def _sound(self) -> WantedProperty:
        _check_known(self)
        made = self.made()
        _check_margin(self, made)
        _check_method(self, made)
        if self.target is not None and made.direction != "target":
            raise ValueError('a target is given; allowed with it is direction = "target"')
        if self.target is not None and made.scale == "ratio" and self.target <= 0:
            raise ValueError(f"target = {self.target:g}: by ratio allowed is above 0")
        if made.direction == "target" and (self.ideal, self.unacceptable) != (None, None):
            raise ValueError("a target has its margin in the place of ideal and unacceptable")
        if None not in (self.ideal, self.unacceptable) and self.ideal == self.unacceptable:
            raise ValueError("ideal and unacceptable are equal; allowed are two values")
        return self

    def only(self) -> dict[str, tuple[str, ...]]:
        """Return the lines that are wanted, by what tells them apart; empty ones are all."""
        dollies = tuple(TOLD_BY_ROWS["dolly_diameter_mm"].format(one) for one in self.dollies_mm)
        return {
            "coat_system": self.coat_systems,
            "substrate": self.substrates,
            "made_with": dollies,
        }

    def made(self) -> Property:
        """Return the property, with what tiecoat knows of it where the study says nothing."""
        given = self.model_dump(exclude_none=True, exclude={"exposure_h", *LINES})
        known, base = self.catalogue.known.get(self.name), {}
        if known is not None:
            base = {name: getattr(known, name) for name in known.__dataclass_fields__}
        if self.margin is not None or self.margin_percent is not None:
            base |= {"margin": None, "margin_percent": None}
        made = Property(**{**base, **given})
        return replace(made, nature=self.catalogue.nature_of(made.kind, made.quantity))


def _check_known(wanted: WantedProperty) -> None:
    known = wanted.catalogue.known
    if wanted.name in known or (wanted.kind and wanted.quantity):
        return
    if wanted.kind or wanted.quantity:
        missing = "quantity" if wanted.kind else "kind"
        raise ValueError(f"{wanted.name!r} needs both kind and quantity; {missing} is missing")
    near = get_close_matches(wanted.name, known, 3) or list(known)
    words = ", ".join(map(repr, near))
    left_out = "".join(f"\n    {one}" for one in wanted.catalogue.left_out)
    raise ValueError(
        f"no property {wanted.name!r} is known; near it: {words}. For any other result state kind "
        f"and quantity{left_out}"
    )


def _check_margin(wanted: WantedProperty, made: Property) -> None:
    if wanted.margin is not None and wanted.margin_percent is not None:
        raise ValueError("both margin and margin_percent; allowed is one of them")
    by_ratio = made.by_ratio
    if by_ratio and made.margin is not None:
        raise ValueError("it is compared by ratio; allowed is margin_percent, not margin")
    if by_ratio and made.direction != "lower" and (made.margin_percent or 0) >= 100:
        raise ValueError("a ratio cannot fall by 100 % or more; allowed is margin_percent < 100")


def _check_method(wanted: WantedProperty, made: Property) -> None:
    by = {"counts": "the ratio of their rates", "ratings": "ranks"}.get(made.method)
    if by and (wanted.scale is not None or made.scale == "ratio"):
        raise ValueError(f"{made.method} are compared by {by}; leave scale out")
    known = CATALOGUE.usual["pull-off strength"]
    which = (made.kind, made.quantity, made.condition)
    if made.method == "strengths" and which != (known.kind, known.quantity, known.condition):
        raise ValueError(
            f"strengths are those of kind {known.kind!r} and quantity {known.quantity!r}, without a"
            " condition; for any other result leave method out"
        )
    if made.method == "counts" and not made.area:
        raise ValueError("counts need area: the column with the area that was looked at")
    if made.method in {"counts", "ratings", "times"} and made.direction == "target":
        raise ValueError(f"{made.method} have no target; allowed are higher and lower")
    if made.method == "ratings" and made.margin_percent is not None:
        raise ValueError("ratings have no percent; allowed is margin, above 0 and below 0.5")
    if made.method == "ratings" and (made.margin or 0) >= 0.5:
        raise ValueError(f"margin = {made.margin:g}: allowed for ratings is below 0.5")


class StatedSpreads(_StudySection):
    """That the panels of all batches scatter alike: who says so, and on what ground."""

    by: NonEmpty
    ground: NonEmpty


def _by_coats(told: object) -> object:
    return told if isinstance(told, dict) else {ALL_COATS: told}


def _with_coats(told: object) -> object:
    if isinstance(told, str):
        return told, ALL_COATS
    return tuple(told) if isinstance(told, list) else told


Weights = dict[str, Annotated[float, Field(ge=0, le=1000)]]
Margins = dict[str, Annotated[float, Field(gt=0)]]
Percents = dict[str, Annotated[float, Field(gt=0, le=1000)]]
OfCoats = Annotated[tuple[NonEmpty, str], BeforeValidator(_with_coats)]


class Application(_StudySection):
    """How a paint is to be used: weights and margins by property in the place of the study's.

    Each is kept by property and coat system: `ALL_COATS` where a number stands for them all.
    `decisive` names the properties that must be settled, each with its coat system; None are those
    of the study.
    """

    weight: dict[str, Annotated[Weights, BeforeValidator(_by_coats)]] = {}
    margin: dict[str, Annotated[Margins, BeforeValidator(_by_coats)]] = {}
    margin_percent: dict[str, Annotated[Percents, BeforeValidator(_by_coats)]] = {}
    decisive: tuple[OfCoats, ...] | None = None

    def named(self) -> Iterator[tuple[str, str, str]]:
        """Yield the properties that it names: under which key, which one, with which coats."""
        for key in ("weight", "margin", "margin_percent"):
            for name, of_coats in getattr(self, key).items():
                yield from ((key, name, coats) for coats in of_coats)
        yield from (("decisive", name, coats) for name, coats in self.decisive or ())

    def without_line(self, lines: Sequence[Property]) -> Iterator[tuple[str, str]]:
        """Yield what it names with coats that no line has: under which key, and as a label."""
        there = {(one.name, one.circumstances.coat_system) for one in lines if one.circumstances}
        for key, name, coats in self.named():
            if coats != ALL_COATS and (name, coats) not in there:
                yield key, f"{name}, {coats}"

    @property
    def coats(self) -> tuple[str, ...]:
        """The coat systems that it names."""
        return tuple(dict.fromkeys(coats for _, _, coats in self.named() if coats != ALL_COATS))

    def changes(self, name: str, coats: str) -> dict[str, Any]:
        """Return what it asks otherwise of a property with some coats."""
        changes: dict[str, Any] = {}
        margins = {key: getattr(self, key).get(name, {}) for key in ("margin", "margin_percent")}
        if any(coats in one for one in margins.values()):
            changes = {key: one.get(coats) for key, one in margins.items()}
        if coats in (weights := self.weight.get(name, {})):
            changes["weight"] = weights[coats]
        if self.decisive is not None and (coats == ALL_COATS or (name, coats) in self.decisive):
            changes["decisive"] = (name, coats) in self.decisive
        return changes

    def asks(self, wanted: WantedProperty, coats: str = ALL_COATS) -> WantedProperty:
        """Return a property as this application asks for it, with some coats or whatever ones."""
        changes = self.changes(wanted.name, ALL_COATS)
        if coats != ALL_COATS:
            changes |= self.changes(wanted.name, coats)
        return WantedProperty.model_validate(
            wanted.model_dump() | changes, context=wanted.catalogue
        )

    def on_line(self, line: Property) -> Property:
        """Return a line of a property as this application asks for its coat system."""
        coats = line.circumstances.coat_system if line.circumstances is not None else ALL_COATS
        return line if coats == ALL_COATS else replace(line, **self.changes(line.name, coats))


class Study(_Knowing):
    """What is compared with what.

    Parameters
    ----------
    name
        Heading of the report.
    control
        Batch of the control; "" is the one with this role in the register.
    batches, panels
        Only these; empty is everything in the register.
    coat_systems, doses_percent
        Only panels with these coats, and candidates at these doses; empty is all.
    exposure_h
        Times at which properties that depend on it are compared; empty is the last time that the
        batches share.
    against
        Candidates, by batch or name, that the others are compared with beside the control; "all"
        is each of them.
    why
        Pairs of properties: whether they go together, over panels and batches; empty is the usual
        ones.
    spreads_alike
        Who says on what ground that the panels of all batches scatter alike; without it, what
        rests on that is conditional.
    property
        Properties; empty is every usual one of the catalogue that has results.
    application
        By its name: what weighs and what is harm in one way to use the paint. There is a
        recommendation for each; without any, one by the numbers of the study.
    """

    name: str = "Candidates against the control"
    control: str = ""
    batches: tuple[NonEmpty, ...] = ()
    panels: tuple[NonEmpty, ...] = ()
    coat_systems: tuple[NonEmpty, ...] = ()
    doses_percent: tuple[Annotated[float, Field(ge=0, le=100)], ...] = ()
    exposure_h: tuple[Hours, ...] = ()
    against: tuple[NonEmpty, ...] = ()
    why: tuple[tuple[NonEmpty, NonEmpty], ...] = ()
    spreads_alike: StatedSpreads | None = None
    property: tuple[WantedProperty, ...] = ()
    application: dict[NonEmpty, Application] = {}

    _used: Application | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _sound_applications(self) -> Study:
        by_name = {one.name: one for one in self.property}
        for application, of in self.application.items():
            for key, name, coats in of.named():
                where = ("application", application, key)
                if name not in by_name:
                    near = get_close_matches(name, by_name, 3) or by_name
                    allowed = ", ".join(map(repr, near)) or "those that have a table"
                    told = f"no [[property]] of the study is {name!r}; allowed are {allowed}"
                    raise fault_at(where, told)
                try:
                    of.asks(by_name[name], coats)
                except ValidationError as error:
                    told = fault_words(error.errors()[0])
                    raise fault_at(where, f"{name}: {told}") from None
        return self

    @model_validator(mode="after")
    def _distinct(self) -> Study:
        for key in ("batches", "panels"):
            ids = [kept_id(one) for one in getattr(self, key)]
            if twice := sorted({one for one in ids if ids.count(one) > 1}):
                raise ValueError(f"{key} names {', '.join(twice)} twice; allowed is once")
        names = [one.name for one in self.property]
        if twice := sorted({one for one in names if names.count(one) > 1}):
            raise ValueError(
                f"two [[property]] tables have the name {twice[0]!r}; allowed is one each: "
                "several exposure times go into one list"
            )
        return self

    def knowing(self, catalogue: Catalogue) -> Self:
        """Return the study where it and its properties know these."""
        mine = tuple(one.knowing(catalogue) for one in self.property)
        return super().knowing(catalogue).model_copy(update={"property": mine})

    def in_use(self, application: str) -> Study:
        """Return the study with the weights and margins of one of its applications."""
        of = self.application[application]
        found = self.model_copy(update={"property": tuple(map(of.asks, self.property))})
        found._used = of
        return found

    def on_line(self, line: Property) -> Property:
        """Return a line of a property as the application in use asks for its coat system."""
        return line if self._used is None else self._used.on_line(line)

    def decisive_without(self, lines: Sequence[Property]) -> Iterator[str]:
        """Yield what the application in use calls decisive with coats that no line has."""
        of = self._used
        for key, name in of.without_line(lines) if of is not None else ():
            if key == "decisive":
                yield name

    def without_effect(self, lines: Sequence[Property]) -> Iterator[str]:
        """Yield which weights and margins of applications no line takes up, in words."""
        for application, of in self.application.items():
            for key, name in of.without_line(lines):
                if key != "decisive":  # that keeps anything from being recommended, and is told so
                    yield (
                        f"{key} of {name} (application {application}) has no effect: nothing of"
                        " that is compared"
                    )

    def named_coats(self) -> dict[str, tuple[str, ...]]:
        """Return the coat systems that are named, by who names them."""
        return {
            "the study": self.coat_systems,
            **{f"the property {one.name!r}": one.coat_systems for one in self.property},
            **{f"application.{name}": of.coats for name, of in self.application.items()},
        }

    def alike_words(self) -> str:
        """Return who says on what ground that all batches scatter alike; "" if nobody does."""
        one = self.spreads_alike
        return "" if one is None else f"{one.by} says: {one.ground}"

    def kinds(self) -> tuple[str, ...]:
        """Return the kinds whose results the study asks for."""
        return tuple(dict.fromkeys(one.kind for one in self._wanted()))

    def counted_kinds(self) -> tuple[str, ...]:
        """Return the kinds whose rows are counted."""
        return tuple(dict.fromkeys(one.kind for one in self._wanted() if one.method == "counts"))

    def raw_kinds(self) -> tuple[str, ...]:
        """Return the kinds of which raw rows are needed too."""
        by_rows = {"strengths", "counts"}
        wanted = self._wanted()
        raw = [one.kind for one in wanted if one.method in by_rows or one.kind in TOLD_WITH]
        return tuple(dict.fromkeys(raw))

    def _wanted(self) -> list[Property]:
        return [one.made() for one in self.property] or list(self.catalogue.usual.values())


def kept_id(text: str) -> str:
    """Return a batch or panel as the archive has it; what is no id matches none."""
    return canonical(text) or text.strip().upper()


def load_study(text: str, source: str = "study", catalogue: Catalogue = CATALOGUE) -> Study:
    """Return the study that a TOML text describes.

    Parameters
    ----------
    text
        The file as it is.
    source
        Its name, for messages.
    catalogue
        The properties that it may name without saying more of them.

    Raises
    ------
    SettingInvalid
        If a key or value is not allowed; the message names key, line, value and what is allowed
        with an example, and for a property that is not known the nearest names.
    """
    try:
        # by way of JSON, where pydantic is strict with numbers yet makes lists into tuples
        listed = json.dumps(tomllib.loads(text.removeprefix("\ufeff")), default=str)
        return Study.model_validate_json(listed, context=catalogue)
    except tomllib.TOMLDecodeError as error:
        raise SettingInvalid(f"{source}: not valid TOML: {toml_fault(error, text)}") from None
    except ValidationError as error:
        keys: dict[str, type[BaseModel]] = {
            "": Study,
            "property": WantedProperty,
            "spreads_alike": StatedSpreads,
            "application": Application,
        }
        allowed = {name: tuple(model.model_fields) for name, model in keys.items()}
        raise SettingInvalid(f"{source}:\n{study_faults(error, text, allowed)}") from None
