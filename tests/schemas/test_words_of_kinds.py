"""What the trade calls the columns of each kind that comes in tables."""

import cmath
import math
from collections import defaultdict
from collections.abc import Iterator

import numpy as np
import pytest
from vocabulary import FURTHER, LANGUAGES, counts, folded, tagged, texts_of, values_of, words_of

from tiecoat.contract import words as contract_words
from tiecoat.contract.columns import columns_of
from tiecoat.dialect.complexes import complex_number
from tiecoat.plugin import Kind
from tiecoat.schemas import (
    batches,
    chamber_record,
    density,
    exposure_rating,
    film_thickness,
    foam,
    gloss,
    impedance,
    panels,
    pull_off,
    viscosity,
)
from tiecoat.schemas.words import foam as foam_words

MODULES = (
    batches,
    chamber_record,
    density,
    exposure_rating,
    film_thickness,
    foam,
    gloss,
    impedance,
    panels,
    pull_off,
    viscosity,
)
KINDS = [module.KIND for module in MODULES]
WITHIN = {
    "AVERAGES",
    "MEANS",
    "LEAST",
    "MOST",
    "SEVERAL",
    "OF_ANY_TEST",
    "AT_START",
}  # of the words of statistics and of kinds, which they sort; or of cells
SHARED = {
    name: text
    for name, text in vars(contract_words).items()
    if name.isupper() and isinstance(text, str) and name not in WITHIN
}

TIMES = {"t", "time", "elapsed time", "Zeit", "temps", "tiempo", "tempo", "czas", "tijd", "čas"}
EITHER = {  # what the trade itself leaves open: kind -> what may be meant -> by which words
    "impedance": {
        # of one word for the impedance, the values tell: a number, or a complex one
        ("z_complex", "z_modulus_ohm"): {"Z", "Z*", "impedance", "Impedanz", "impedancia"}
        | {"impedenza", "impedancja", "impedantie"},
        # a day, or a number of hours
        ("began_at", "exposure_h"): {"immersed", "immersion", "inmersión", "immersione", "immersie"}
        | {"onderdompeling", "zanurzenie", "ponor"},
        ("beside", "exposure_h"): TIMES - {"t"},  # since immersion, or of the sweep
        ("beside", "exposure_h", "temperature_c"): {"t"},
        ("area_cm2", "spot"): {"test area"},  # an amount, or a place
        ("beside", "spot"): {"Messpunkt", "point de mesure", "punto de medida", "punto di misura"}
        | {"punkt pomiarowy", "meetpunt", "měřicí bod"},  # of the sweep, or of the panel
    },
    "density": {
        ("elapsed_s", "temperature_c"): {"t"},
        # what the cup weighs, or whether the air was drawn off
        ("mass_empty_g", "state"): {"vide", "vacío", "vuoto"},
        ("mass_full_g", "volume_cm3"): {"vol"},  # Dutch for full; the unit tells
    },
    "viscosity": {
        ("elapsed_s", "temperature_c"): {"t"},
        ("beside", "run"): {"repeat", "Wiederholung"},  # of a curve, or a run of a flow cup
    },
    "foam": {
        ("elapsed_s", "temperature_c"): {"t"},
        ("foam_height_mm", "foam_volume_ml"): {  # their unit tells
            *("foam", "foam level", "net foam", "Schaum", "Schaumstand", "mousse"),
            *("niveau de mousse", "espuma", "nivel de espuma", "schiuma", "livello schiuma"),
            *("piana", "poziom piany", "schuim", "schuimniveau", "pěna", "hladina pěny"),
            *("hab", "habszint"),
        },
        ("liquid_height_mm", "liquid_volume_ml"): {
            *words_of(foam_words.LIQUID_BEFORE),
            "liq",
        },  # so too
    },
    "film_thickness": {  # a number of it, or its value
        ("spot", "thickness_um"): {"reading", "lecture", "lectura", "lettura", "odczyt"}
        | {"aflezing"}
    },
    "pull_off": {  # dolly 1, or dolly 20 mm
        ("determination", "failure of C"): {"c"},
        ("dolly_area_mm2", "failure of A"): {"a"},
        ("force_n", "strength_mpa"): {  # the unit tells
            *("peak", "peak value", "peak reading", "Spitze", "Spitzenwert", "Höchstwert", "pic"),
            *("valeur de crête", "valeur de pic", "pico", "valor pico", "valor de pico", "picco"),
            *("valore di picco", "szczyt", "wartość szczytowa", "piek", "piekwaarde", "špička"),
            *("špičková hodnota", "Pk"),
        },
        ("dolly_diameter_mm", "failure of D"): {"d"},
        ("failure of -/Y", "failure of Y"): {  # of a system with one coat, or more
            *("%y", "y", "y%", "aandeel y", "Anteil y", "area y", "breuk y", "Bruchanteil y"),
            *("Bruchbild y", "Bruch y", "cedimento y", "failure y", "fallo y", "fracture y"),
            *("lom y", "part y", "podíl y", "porušení y", "rottura y", "rotura y", "rupture y"),
            *("share y", "udział y", "zniszczenie y"),
        },
        ("beside", "failure of Y"): {  # which glue, or how much failed in it
            *("glue", "Kleber", "Klebstoff", "colle", "pegamento", "colla", "klej", "lijm"),
            "lepidlo",
        },
        ("determination", "dolly_diameter_mm"): {"dolly", "Stempel", "plot", "sufridera"}
        | {"pistoncino", "stempel", "terč", "terčík"},
    },
    "exposure_rating": {
        # what it is exposed to in words, or for how long in numbers
        ("exposure", "exposure_h"): {"exposure", "weathering", "corrosion test", "Auslagerung"}
        | {"Beanspruchung", "Belastung", "Bewitterung", "Exposition", "exposición", "esposizione"}
        | {"ekspozycja", "belasting", "blootstelling", "expositie", "expozice", "namáhání"}
        | {"exposição"},
        ("property", "rating"): {"assessment"},
        ("grade", "rating"): {"degree", "Grad", "degré", "grado", "stopień", "graad", "stupeň"}
        | {"grade"},
        ("creep_mm", "creep_mm of scribe corrosion", "creep_mm of scribe delamination"): {
            "creep",
            "creepage",
            "scribe creep",
            "creepage from scribe",
        },
    },
}


_DAY_OR_MORE = ("mesuré le", "medido el", "misurato il", "gemeten op")
_CLOCK_OR_MORE = (
    *("time measured", "time of measurement", "Zeit der Messung", "heure de mesure"),
    *("hora de medición", "ora di misura", "čas měření"),
)
BETWEEN = {  # their looks tell which of two is meant: a day, a clock time, a number, a count;
    # and what else there is, whether the most is that of readings or of a pull
    **{word: {"DATE", "MOMENT"} for word in _DAY_OR_MORE},
    **{word: {"CLOCK", "MOMENT"} for word in _CLOCK_OR_MORE},
    "#": {"NUMBER", "COUNTED"},
    "quality": {"SURROUNDINGS", "VALID"},  # of the air, or a verdict on the reading
    **{word: {"STATISTICS", "PEAK"} for word in ("max", "maximum", "highest", "maksimum")},
    **{word: {"STATISTICS", "PEAK"} for word in ("máximo", "massimo")},
    **{word: {"SUMMARIES", "PEAK"} for word in ("valeur maximale", "valor máximo")},
    **{word: {"SUMMARIES", "PEAK"} for word in ("valore massimo", "wartość maksymalna")},
}


def meanings(texts: dict[str, str]) -> dict[str, set[str]]:
    """Return for each word, compared as titles are, what it stands for."""
    found: dict[str, set[str]] = defaultdict(set)
    for name, text in texts.items():
        for word in words_of(text):
            found[folded(word)].add(name)
    return found


def meant(names: set[str]) -> set[str]:
    """Return what is meant, an area-specific impedance as the impedance: the unit tells these."""
    return {name.removesuffix("_cm2") if name.endswith("_ohm_cm2") else name for name in names}


def several(kind: Kind) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield what a word stands for that stands for more than one column, source or spread."""
    for word, said in meanings({**texts_of(kind), "beside": kind.beside}).items():
        names = meant(said)
        targets = {name.partition(" of ")[0] for name in names}
        told = {name for name in names if " of " in name}
        one_scribe = targets == {"scribe_width_mm"}
        if not one_scribe and (len(targets) > 1 or len(told) > 1):
            yield tuple(sorted(names)), word


def allowed_values(kind: Kind) -> Iterator[tuple[str, str, list[str] | None]]:
    """Yield column, other words and allowed values of columns of closed words."""
    for name, column in kind.model.to_schema().columns.items():
        listed = [c.statistics["allowed_values"] for c in column.checks if c.name == "isin"]
        is_text = str(column.dtype) == "str"
        if column.metadata["values"] or (listed and is_text):
            yield str(name), str(column.metadata["values"]), listed[0] if listed else None


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_column_has_words_in_every_language(kind: Kind) -> None:
    """What is read in one language is read in all, and by more than one word."""
    for name, text in texts_of(kind).items():
        assert len({folded(word) for word in words_of(text)}) >= 15, name
        languages = {language for language, _ in tagged(text)}
        letters = " of " in name and languages == {""}  # letters and symbols, alike in all
        assert letters or languages >= set(LANGUAGES), name
    assert counts(kind).keys() <= {"", *LANGUAGES, *FURTHER}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_no_word_is_nothing_but_marks(kind: Kind) -> None:
    """A word of which nothing is left for comparing would be any title or none."""
    for name, text in {**texts_of(kind), "beside": kind.beside, **SHARED}.items():
        assert [word for word in words_of(text) if not folded(word)] == [], name


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_word_stands_for_one_column_only(kind: Kind) -> None:
    """But for those listed here, which the trade itself uses for two."""
    found: dict[tuple[str, ...], set[str]] = defaultdict(set)
    for names, word in several(kind):
        found[names].add(word)
    expected = {
        names: {folded(word) for word in words}
        for names, words in EITHER.get(kind.name, {}).items()
    }
    assert found == expected


def test_keys_and_lines_that_are_no_data_have_words_of_their_own() -> None:
    """No word is both the panel and the batch; those of two times are told apart by their looks."""
    assert len(SHARED) == 32
    several_names = {word: names for word, names in meanings(SHARED).items() if len(names) > 1}
    assert several_names == {folded(word): names for word, names in BETWEEN.items()}
    for name, text in SHARED.items():
        assert {language for language, _ in tagged(text)} >= set(LANGUAGES), name


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_words_for_values_lead_to_values_that_are_allowed(kind: Kind) -> None:
    """Each allowed value has other words, and none of them is for two values."""
    for name, text, allowed in allowed_values(kind):
        values = values_of(text)
        # these are not closed: a coat is the system, or one by its number; steps have any name
        coats = ["system", *(f"coat {number}" for number in range(1, 6))]
        named = {"coat": coats, "step": ["up", "down"]}
        assert sorted(values) == sorted(named[name] if allowed is None else allowed), name
        owners: dict[str, set[str]] = defaultdict(set)
        for value, words in values.items():
            assert words, value
            for word in (value, *words):
                assert folded(word), word
                owners[folded(word)].add(value)
        assert {word: own for word, own in owners.items() if len(own) > 1} == {}, name


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_only_what_has_a_unit_has_a_customary_one(kind: Kind) -> None:
    """A plain number, a text or a time has no unit to be assumed."""
    for info in columns_of(kind):
        said = kind.model.to_schema().columns[info.name].metadata
        assert not said["customary"] or info.unit, info.name


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_sources_relations_and_spreads_name_what_there_is(kind: Kind) -> None:
    """No relation needs a column that no export can show, and no spread tells an unknown key."""
    columns = {info.name: info for info in columns_of(kind)}
    sources = {source.name for source in kind.sources}
    assert not sources & columns.keys()
    for relation in kind.relations:
        assert relation.gives in sources | columns.keys()
        assert set(relation.needs) <= sources | columns.keys() | {"moment"}
    assert {name for one in kind.relations for name in one.needs} >= sources
    for spread in kind.spreads:
        assert spread.column in columns
        if not spread.key:  # what it tells is a part of the value, such as a place of failure
            assert isinstance(spread.value, str)
            assert columns[spread.column].type == "str"
            continue
        assert spread.key in columns
        assert ("#" in spread.words) == (spread.value is None)
        assert isinstance(spread.value, str) == (
            spread.value is not None and columns[spread.key].type == "str"
        )
    assert kind.counted is None or kind.counted in kind.identity
    assert hash(kind) == hash(kind)  # kinds are cached by


def test_every_form_of_an_impedance_gives_its_two_parts() -> None:
    """Modulus and phase, admittance, and text agree with Python's own complex numbers."""
    z = np.array([complex(1.2e5, -3.4e4), complex(50.0, -2e9), complex(3.0, 0.25)])
    y = 1 / z
    phase = np.degrees([cmath.phase(one) for one in z])
    shown = {
        "omega_rad_s": 2 * np.pi * np.array([0.1, 1.0, 1e5]),
        "z_modulus_ohm": abs(z),
        "phase_deg": phase,
        "y_real_s": y.real,
        "y_imag_s": y.imag,
        "y_modulus_s": abs(y),
        "z_complex": z,
        "z_real_ohm": z.real,
        "z_imag_ohm": z.imag,
        "area_cm2": np.full(3, 14.6),
        "cell_diameter_mm": np.full(3, 20 * math.sqrt(14.6 / math.pi)),
        "z_real_ohm_cm2": z.real * 14.6,
        "z_imag_ohm_cm2": z.imag * 14.6,
        "z_modulus_ohm_cm2": abs(z) * 14.6,
        "began_at": np.array([0.0, 3600.0, 7200.0]),
        "moment": np.array([86_400.0, 86_400.0, 86_400.0]),
    }
    expected = {
        "area_cm2": np.full(3, 14.6),
        "exposure_h": np.array([24.0, 23.0, 22.0]),
        "frequency_hz": np.array([0.1, 1.0, 1e5]),
        "z_real_ohm": z.real,
        "z_imag_ohm": z.imag,
        "z_modulus_ohm": abs(z),
    }
    for relation in impedance.KIND.relations:
        given = relation.by(*(shown[name] for name in relation.needs))
        scale = abs(z) if relation.gives != "frequency_hz" else expected["frequency_hz"]
        assert np.all(abs(given - expected[relation.gives]) <= 1e-9 * scale), relation


def test_nothing_is_divided_by_an_admittance_or_a_volume_of_zero() -> None:
    """What cannot be told is NaN, without a warning."""
    none = np.array([0.0])
    by = {one.needs: one.by for one in impedance.KIND.relations if one.gives == "z_real_ohm"}
    assert np.isnan(by["y_real_s", "y_imag_s"](none, none)).all()
    assert np.isnan(by["y_modulus_s", "phase_deg"](none, none)).all()
    cup, sample, displaced, _ = density.KIND.relations
    assert np.isnan(displaced.by(np.array([100.0]), none)).all()
    assert np.isnan(cup.by(np.array([300.0]), np.array([200.0]), none)).all()
    assert np.isnan(sample.by(np.array([100.0]), none)).all()


@pytest.mark.parametrize("text", ["1.2e5", "1.2e5-3.4e4", "j", "1,2,3+4j", "", "nan+nanj", None])
def test_what_is_no_complex_number_is_none(text: str | None) -> None:
    """Half a number, a list or nothing gives no impedance."""
    value, _ = complex_number(text)
    assert np.isnan(value.real)
    assert np.isnan(value.imag)


@pytest.mark.parametrize("value", [complex(1.2e5, -3.4e4), complex(50.0, -2e9), complex(3.0, 0.25)])
def test_a_complex_number_is_read_as_python_writes_it(value: complex) -> None:
    """What Python's own complex numbers print comes back."""
    assert complex_number(str(value)) == (value, None)
    assert complex_number(f"{value} kOhm") == (value, "kOhm")


def test_a_density_comes_from_the_masses_of_the_full_and_the_empty_cup() -> None:
    """127.2 g in a cup of 100 cm³ are 1.272 g/cm³."""
    full, empty, volume = np.array([327.2]), np.array([200.0]), np.array([100.0])
    cup, sample, displaced, expanded = density.KIND.relations
    assert cup.by(full, empty, volume) == pytest.approx([1.272])
    assert sample.by(full - empty, volume) == pytest.approx([1.272])
    assert displaced.by(np.array([14.129]), np.array([10.0123])) == pytest.approx(
        [1.4112], abs=1e-4
    )
    assert expanded.by(np.array([0.004])) == pytest.approx([0.002])
