"""Every sample export is claimed by one reader only; every broken one is held, and says where."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from conftest import HABITS

from tiecoat.dialect.export import Export
from tiecoat.errors import FileHeld
from tiecoat.extend.loading import Plugins
from tiecoat.intake.filing.keying import Keyer
from tiecoat.intake.workers.answers import Hold, Reading
from tiecoat.lab.settings import IdPatterns
from tiecoat.reasons import Reason

Read = Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]

EXPORTS = Path(__file__).parent.parent / "exports"
FOLDERS = (  # of exports that the one reader of tables reads
    *("impedance", "density", "flow_curve", "flow_cup", "pull_off"),
    *("register", "exposure_rating", "chamber_record", "film_thickness", "gloss", "foam"),
)
ALL = [path for folder in FOLDERS for path in (EXPORTS / folder).rglob("*.*")]
GOOD = sorted(path for path in ALL if path.parent.name != "broken")
BROKEN = sorted(path for path in ALL if path.parent.name == "broken")
# file -> row of the original and words that the fault must show; the reason stands in the file name
SAID: dict[str, tuple[int | None, str]] = {
    "density/bad-id.blank_inside.csv": (7, "RB 0 14"),
    "density/bad-id.path.csv": (7, "../RB-014"),
    "density/id-not-in-pattern.csv": (7, "RB14"),
    "density/ambiguous-number.thousands_or_decimals.csv": (6, "1.391"),
    "density/cut-off.csv": (8, ""),
    "density/empty-table.csv": (None, ""),
    "density/missing-value.no_batch.csv": (7, "Batch"),
    "density/missing-value.no_density.csv": (7, "density_g_cm3"),
    "density/missing-column.no_density.csv": (5, "density_g_cm3"),
    "density/not-a-number.error_text.csv": (7, "E-03 cup"),
    "density/not-a-time.csv": (7, "31.09.2026"),
    "density/doubled-time.csv": (7, "25.10.2026"),
    "density/skipped-time.csv": (7, "29.03.2026"),
    "density/out-of-bounds.state.csv": (6, "frothy"),
    "density/out-of-bounds.unit_forgotten.csv": (6, "1391.2"),
    "density/uneven-row.csv": (7, ""),
    "density/unknown-unit.baume.csv": (5, "°Bé"),
    "density/unknown-unit.temperature.csv": (None, "bar"),
    "flow_cup/missing-value.no_efflux.csv": (4, "efflux"),
    "flow_cup/missing-value.no_cup.csv": (3, "cup"),
    "flow_cup/not-a-number.minutes.csv": (4, "57.9 s about"),
    "flow_cup/not-a-time.csv": (4, "25:09"),
    "flow_cup/out-of-bounds.negative_efflux.csv": (3, "-58.2"),
    "flow_cup/out-of-bounds.unknown_cup.csv": (3, "beaker"),
    "flow_curve/cut-off.txt": (12, ""),
    "flow_curve/inconsistent.stress_against_viscosity.txt": (8, "5 %"),
    "flow_curve/missing-value.no_shear_rate.txt": (7, "shear_rate_per_s"),
    "flow_curve/not-a-number.dashes.txt": (9, "---"),
    "flow_curve/out-of-bounds.negative_rate.txt": (7, "-0.1"),
    "flow_curve/skipped-time.txt": (4, "02:15"),
    "flow_curve/unknown-unit.viscosity.txt": (None, "KU"),
    "impedance/bad-id.percent.csv": (10, "RB-014%2F3"),
    "impedance/no-panel.csv": (9, ""),
    "impedance/cut-off.last_row.csv": (17, ""),
    "impedance/doubled-time.csv": (6, "02:30"),
    "impedance/empty-table.csv": (None, ""),
    "impedance/inconsistent.sign_turned.csv": (10, "inductive at most points"),
    "impedance/missing-column.no_area.txt": (3, "wetted area of the film"),
    "impedance/missing-column.no_immersion.csv": (8, "time since immersion"),
    "impedance/missing-column.no_imaginary_part.csv": (9, "z_imag_ohm"),
    "impedance/not-a-number.area_is_text.csv": (3, "large cell"),
    "impedance/not-a-number.overload.csv": (13, "overload"),
    "impedance/out-of-bounds.negative_frequency.csv": (17, "-0.01"),
    "impedance/out-of-bounds.zero_frequency.csv": (17, "0"),
    "impedance/repeated-row.doubled_frequency.csv": (16, "1"),
    "impedance/skipped-time.csv": (6, "02:30"),
    "impedance/unknown-unit.ounces.csv": (None, "oz"),
    "pull_off/bad-notation.no_percent_sign.csv": (3, "70B 20Y"),
    "pull_off/bad-notation.shares_of_110_percent.csv": (7, "110 %"),
    "pull_off/bad-notation.unknown_place.csv": (8, "primer"),
    "pull_off/missing-column.no_dolly.csv": (5, "diameter of the dolly"),
    "pull_off/missing-value.no_force.csv": (8, "force"),
    "pull_off/missing-value.no_panel.csv": (3, "Panel"),
    "pull_off/missing-column.no_failure.csv": (1, "failure (where it failed"),
    "pull_off/not-a-number.decimal_comma_in_commas.csv": (3, "4 89 or so"),
    "pull_off/not-a-time.csv": (8, "14.7 h"),
    "pull_off/out-of-bounds.negative_force.csv": (8, "-1536"),
    "pull_off/skipped-time.csv": (3, "2026-03-29 02:01"),
    "pull_off/uneven-row.decimal_comma_in_commas.csv": (3, ""),
    "pull_off/unknown-unit.force.csv": (None, "MPa"),
    "film_thickness/missing-column.wet_or_dry.csv": (6, "whether the film was dry or still wet"),
    "film_thickness/missing-column.wet_or_dry_in_log.txt": (
        5,
        "whether the film was dry or still wet",
    ),
    "film_thickness/missing-value.no_coat.csv": (9, "which coat"),
    "film_thickness/no-panel.no_panel_in_sheet.csv": (8, ""),
    "film_thickness/missing-value.no_state.csv": (9, "still wet"),
    "film_thickness/not-a-number.below_range.csv": (9, "< 1"),
    "film_thickness/out-of-bounds.mm_for_um.csv": (8, "between 1 and 5000 um"),
    "film_thickness/out-of-bounds.negative.csv": (7, "-182.5"),
    "film_thickness/out-of-bounds.state.csv": (9, "damp"),
    "film_thickness/out-of-bounds.ten_millimetres.csv": (9, "10000 um"),
    "film_thickness/out-of-bounds.zero.csv": (8, "between 1 and 5000 um"),
    "film_thickness/unknown-unit.kilograms.csv": (4, "kg"),
    "film_thickness/unknown-unit.no_unit.csv": (5, "6.3 and no unit"),
    "foam/missing-column.no_time.csv": (1, "elapsed_s"),
    "foam/missing-value.no_foam.csv": (4, "foam"),
    "foam/inconsistent.slipped_digit.csv": (4, "950 ml between 150 and 60 ml"),
    "foam/inconsistent.foam_against_total.csv": (3, "21, from the other columns"),
    "foam/out-of-bounds.liquid_above_total.csv": (2, "-38 mm"),
    "foam/out-of-bounds.method.csv": (2, "sung to"),
    "foam/unknown-unit.fingers.csv": (None, "fingers"),
    "foam/not-a-number.overflow.csv": (2, "over the top"),
    "foam/repeated-row.same_time.csv": (5, "300"),
    "gloss/missing-value.no_spot.csv": (6, "spot"),
    "gloss/untaken-column.no_angle.csv": (3, "Head"),
    "gloss/out-of-bounds.angle_45.csv": (5, "one of: 20.0, 60.0, 85.0"),
    "gloss/out-of-bounds.more_than_a_mirror.csv": (7, "at most 162"),
    "gloss/out-of-bounds.negative.csv": (4, "-31.5"),
    "exposure_rating/inconsistent.degree_against_area.csv": (8, "Ri 1, which is 0 to 0.5 %"),
    "exposure_rating/inconsistent.degree_against_d610.csv": (8, "D610 grade 9, which is 0.01 to"),
    "exposure_rating/inconsistent.fewer_hours_later.csv": (8, "fewer than the 480 h of row 7"),
    "exposure_rating/inconsistent.scribe_wider_than_damage.csv": (8, "width of the scribe, 1 mm"),
    "exposure_rating/missing-column.no_exposure.csv": (5, "what the panel is exposed to"),
    "exposure_rating/missing-value.no_hours_in_a_row.csv": (8, "hours of exposure"),
    "exposure_rating/missing-value.no_panel_in_a_row.csv": (8, "the panel that the row is of"),
    "exposure_rating/missing-value.no_scribe_width.csv": (6, "scribe_width_mm"),
    "exposure_rating/missing-column.no_hours.csv": (6, "exposure_h"),
    "exposure_rating/not-a-number.about.csv": (8, "about 1"),
    "exposure_rating/out-of-bounds.area_120.csv": (8, "120 %"),
    "exposure_rating/out-of-bounds.blister_size_9.csv": (8, "3(S9)"),
    "exposure_rating/out-of-bounds.blisters_without_size.csv": (8, "a size from S1 to S5"),
    "exposure_rating/out-of-bounds.d610_11.csv": (8, "between 0 and 10"),
    "exposure_rating/out-of-bounds.exposure.csv": (7, "sea air"),
    "exposure_rating/out-of-bounds.part_of_a_grade.csv": (8, "'2.3'"),
    "exposure_rating/out-of-bounds.negative_hours.csv": (8, "-480 h"),
    "exposure_rating/out-of-bounds.negative_width.csv": (8, "-3 mm"),
    "exposure_rating/out-of-bounds.rating_6.csv": (8, "from Ri 0 to Ri 5"),
    "chamber_record/missing-value.no_batch_in_a_row.txt": (7, "the batch that the row is of"),
    "chamber_record/missing-value.no_date.csv": (7, "the date of the determination"),
    "chamber_record/no-batch.nobody_says.csv": (5, ""),
    "chamber_record/missing-column.no_date.csv": (5, "the date of the determination"),
    "chamber_record/out-of-bounds.negative_spray.csv": (7, "-1.5"),
    "chamber_record/out-of-bounds.ph_without_point.csv": (7, "68"),
    "chamber_record/unknown-unit.spray.csv": (5, "drops"),
    "register/missing-value.coat_system.csv": (3, "coat_system"),
    "register/missing-value.no_role.csv": (2, "role"),
    "register/not-a-number.dose.csv": (4, "ten"),
    "register/not-a-time.csv": (2, "last Thursday"),
    "register/out-of-bounds.dose.csv": (4, "110"),
    "register/out-of-bounds.role.csv": (2, "spare"),
}


def short(path: Path) -> str:
    """Return "density/cut-off.csv" for a broken export."""
    return f"{path.parent.parent.name}/{path.name}"


@pytest.mark.every(3)
@pytest.mark.parametrize("path", GOOD, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_one_reader_claims_each_export(path: Path, plugins: Plugins) -> None:
    """Of all readers only that of tables is sure of an export; no other claims it."""
    claims = {}
    for name, reader in plugins.readers.items():
        export = Export(path, path.name, "", HABITS)
        export.choices = plugins.choices.get(name)
        if (claim := reader.recognise(export)) and claim.sure >= 0.5:
            claims[name] = claim
    assert claims.keys() == {"any_table"}
    assert all(claim.why and claim.sure <= 1 for claim in claims.values())


@pytest.mark.every(3)
@pytest.mark.parametrize("path", GOOD, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_each_export_in_order_is_read(path: Path, read: Read) -> None:
    """An export in order is not held, and every measurement has rows."""
    reading, rows = read(path)
    assert reading.hold is None, reading.hold
    assert {row["measurement"] for kind in rows.values() for row in kind} == {
        keys.measurement for keys in reading.keys
    }


def hold_by_keys(reading: Reading, name: str) -> Hold | None:
    """Return the hold for ids that cannot be, as the intake finds it after the worker."""
    keyer = Keyer(IdPatterns(), lambda panel: None)
    for keys in reading.keys:
        try:
            keyer.resolve(keys, name)
        except FileHeld as held:
            faults = tuple(fault.as_record() for fault in held.faults)
            return Hold(held.reason.code, faults, held.total)
    return None


@pytest.mark.every(3)
@pytest.mark.parametrize("path", BROKEN, ids=short)
def test_each_broken_export_is_held(path: Path, read: Read) -> None:
    """A broken export is held under the reason in its name, with the row and what was found."""
    reading, rows = read(path)
    assert (reading.hold is None) == bool(rows)
    hold = reading.hold or hold_by_keys(reading, path.name)
    assert hold is not None
    assert hold.reason == path.name.split(".", maxsplit=1)[0]
    row, words = SAID[short(path)]
    told = [*hold.faults, *({"hint": f"{name}: {why}"} for name, _, why in reading.claims)]
    assert any(words in " ".join(map(str, fault.values())) for fault in told), told
    if row is not None:
        assert row in {fault["row"] for fault in hold.faults}


@pytest.mark.parametrize(
    ("name", "kind", "lacking"),
    [
        ("density/broken/missing-column.no_density.csv", "density", "density_g_cm3"),
        ("chamber_record/broken/missing-column.no_date.csv", "chamber_record", "the date of"),
        ("exposure_rating/broken/missing-column.no_hours.csv", "exposure_rating", "exposure_h"),
        ("flow_cup/broken/missing-value.no_cup.csv", "viscosity", "cup"),
        ("flow_curve/broken/missing-value.no_shear_rate.txt", "viscosity", "shear_rate_per_s"),
        ("gloss/broken/untaken-column.no_angle.csv", "gloss", "angle_deg"),
        ("impedance/broken/missing-column.no_imaginary_part.csv", "impedance", "z_imag_ohm"),
        ("pull_off/broken/missing-column.no_failure.csv", "pull_off", "failure"),
        ("register/broken/missing-value.no_role.csv", "batches", "role"),
    ],
)
def test_the_likeliest_kind_comes_first(name: str, kind: str, lacking: str, read: Read) -> None:
    """Where a column is missing, the first claim names the kind, the faults only what it lacks."""
    reading, _ = read(EXPORTS / name)
    first, sure, why = reading.claims[0]
    assert (first, sure >= 0.5, why.split(":")[0]) == ("any_table", True, kind)
    assert reading.hold is not None
    untaken = Reason.UNTAKEN_COLUMN.code  # the column that nobody took
    lacked = [fault for fault in reading.hold.faults if fault["reason"] != untaken]
    missed = [f"{fault['column']} {fault['found']}" for fault in lacked]
    assert missed
    assert all(lacking in text for text in missed)


def test_every_broken_export_has_its_expectation() -> None:
    """No broken export lies about without an expectation, and none is expected that is gone."""
    assert {short(path) for path in BROKEN} == SAID.keys()
