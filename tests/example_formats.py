"""The exports of the example: the invented truth, written in every dialect of its instruments."""

from __future__ import annotations

import codecs
import csv
import io
import math
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta

from example_truth import (
    AREA_CM2,
    BERLIN,
    DOLLY_MM,
    RECIPES,
    Chance,
    Density,
    Panel,
    PullOff,
    Recipe,
    Spectrum,
    cup_runs,
    densities,
    flow_curve,
    panels,
    pull_offs,
    spectra,
)

INVENTED = "Invented data for demonstration"
Cell = str | int | float | datetime | None
BY_BATCH = {recipe.batch: recipe for recipe in RECIPES}
MISTYPED = ("RB-016", 1.0)  # the dose as it was first registered; a later sheet corrects it


def plain(value: float, digits: int = 5) -> str:
    """Write a number with so many significant digits and no exponent."""
    size = math.floor(math.log10(abs(value))) if value else 0
    return f"{value:.{max(0, digits - 1 - size)}f}"


def comma(text: object) -> str:
    """Write a number with a decimal comma."""
    return str(text).replace(".", ",")


def lines(*rows: str, end: str = "\n") -> str:
    """Join lines, the last one ended too."""
    return end.join(rows) + end


def table(rows: Iterable[Sequence[Cell]], separator: str = ",") -> str:
    """Write rows as CSV, quoted where needed."""
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator="\n").writerows(rows)
    return out.getvalue()


def workbook(sheets: Mapping[str, Iterable[Sequence[Cell]]]) -> bytes:
    """Write an .xlsx whose bytes depend on nothing but the cells: no clock, no compression."""
    import openpyxl  # type: ignore[import-untyped]

    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append([c.replace(tzinfo=None) if isinstance(c, datetime) else c for c in row])
    book.properties.creator = INVENTED
    book.properties.created = datetime(2026, 10, 6, tzinfo=BERLIN).replace(tzinfo=None)
    saved, fixed = io.BytesIO(), io.BytesIO()
    book.save(saved)
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(fixed, "w") as new:
        for name in sorted(old.namelist()):
            part = old.read(name)
            if name == "docProps/core.xml":  # openpyxl writes the time of saving
                part = re.sub(
                    rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2026-10-06T00:00:00Z", part
                )
            new.writestr(zipfile.ZipInfo(name, (2026, 10, 6, 0, 0, 0)), part)
    return fixed.getvalue()


def one_spectrum(spectrum: Spectrum, *, says_panel: bool) -> bytes:
    """Impedance, one spectrum a file; without its panel the file name must tell it."""
    panel, hours = spectrum.panel, spectrum.exposure_h
    immersed = f"{hours / 24:.0f} d" if hours >= 24 and not says_panel else f"{hours:.0f} h"
    text = lines(
        "Film impedance in 3 % NaCl",
        INVENTED,
        *([f"Panel: {panel.name}"] if says_panel else []),
        f"Cell area: {AREA_CM2} cm2",
        f"Dry film: {panel.thickness_um} µm",
        f"Immersed for: {immersed}",
        f"Measured at: {spectrum.measured_at:%Y-%m-%d %H:%M:%S}",
        "Station: bath 2",
        "",
        "Frequency [Hz],Z' [Ohm],-Z'' [Ohm]",
        *(f"{f:g},{z.real:.5g},{-z.imag:.5g}" for f, z in spectrum.points),
    )
    return text.encode("utf-8-sig")


def spectra_as_blocks(panel: Panel, phase_title: str, phase_unit: str) -> bytes:
    """Impedance, modulus and phase, a block for each spectrum."""
    sign = -1 if phase_title.startswith("-") else 1
    factor = sign * (1 if phase_unit == "rad" else 180 / math.pi)
    rows = ["Film impedance, series", INVENTED, f"Panel;{panel.name}"]
    rows += [f"Cell area;{comma(AREA_CM2)} cm2", f"Dry film;{panel.thickness_um} µm"]
    rows += ["Station;bath 1"]
    for number, spectrum in enumerate(spectra(panel, points=35), 1):
        rows += ["", f"Spectrum;{number}", f"Immersion;{comma(spectrum.exposure_h)} h"]
        rows += [f"Time;{spectrum.measured_at:%d.%m.%Y %H:%M}"]
        rows += [f"f;|Z|;{phase_title}", f"Hz;kOhm;{phase_unit}"]
        for frequency_hz, z in spectrum.points:
            phase = factor * math.atan2(z.imag, z.real)
            cells = (plain(frequency_hz), plain(abs(z) / 1000), f"{phase:.4f}")
            rows.append(";".join(map(comma, cells)))
    return lines(*rows, end="\r\n").encode("cp1252")


def spectra_in_long_form(panel: Panel, *, shuffled: bool) -> bytes:
    """Impedance times area, all spectra in one table, the points in the order they came."""
    rows = ["Film impedance over time", INVENTED, f"Panel\t{panel.name}"]
    rows += [f"Cell area\t{AREA_CM2} cm2", f"Dry film\t{panel.thickness_um} um"]
    rows += ["Station\tbath 3", "", "t / h\tf / Hz\tRe / Ohm cm2\tIm / Ohm cm2"]
    chance = Chance("order", panel.name)
    for spectrum in spectra(panel):
        points = chance.shuffled(spectrum.points) if shuffled else spectrum.points
        for f, z in points:
            real, imaginary = z.real * AREA_CM2, z.imag * AREA_CM2
            rows.append(f"{spectrum.exposure_h:.0f}\t{f:g}\t{real:.4E}\t{imaginary:.4E}")
    return lines(*rows).encode()


def impedance(recipe: Recipe) -> dict[str, bytes]:
    """Every third batch by another station, and each by another operator."""
    found: dict[str, bytes] = {}
    for panel in panels(recipe):
        name = panel.name
        match recipe.number % 3:
            case 0:
                for spectrum in spectra(panel):
                    day = f"{spectrum.exposure_h / 24:.0f}"
                    file = {
                        "RB-010": f"{name} day {day}.csv",
                        "RB-013": f"{name} NaCl Tag {day}.csv",
                        "RB-016": f"Glasplättchen {name} (Tag {day}).csv",
                    }[recipe.batch]
                    found[file] = one_spectrum(spectrum, says_panel=recipe.batch != "RB-016")
            case 1:
                title = "-Phase" if recipe.batch == "RB-014" else "Phase"
                unit = "rad" if recipe.batch == "RB-017" else "deg"
                found[f"Verlauf {name} 10 Tage.csv"] = spectra_as_blocks(panel, title, unit)
            case _:
                shuffled = recipe.batch == "RB-015"
                found[f"{name} series.txt"] = spectra_in_long_form(panel, shuffled=shuffled)
    return found


def density_bench(rows: Iterable[Density], unit: str) -> bytes:
    """A day at the density bench."""
    head = f"Date;Time;Batch;State;Sample temp. [°C];Density [{unit}];Rest [min];Remark"
    body = []
    for row in rows:
        remark = "vacuum 10 min" if row.state == "deaerated" else ""
        density = (
            f"{row.density_g_cm3:.4f}" if unit == "g/cm³" else f"{row.density_g_cm3 * 1e3:.1f}"
        )
        numbers = [f"{row.temperature_c:.1f}", density]
        cells = [f"{row.measured_at:%d.%m.%Y}", f"{row.measured_at:%H:%M}", row.batch, row.state]
        cells += numbers if unit == "kg/m³" else map(comma, numbers)
        body.append(";".join([*cells, str(row.rest_min), remark]))
    top = ["Density bench, 100 ml cup", INVENTED, "Instrument;DB-2", "Operator;M. Keller", ""]
    return lines(*top, head, *body, end="\r\n").encode("cp1252")


def viscometer(recipe: Recipe, *, single: bool = False) -> bytes:
    """A flow curve up and down, or the one point that is asked for in quality control."""
    start = recipe.mixed_on + timedelta(minutes=55 if single else 35)
    rows = ["Single point" if single else "Flow curve", INVENTED, f"Sample\t{recipe.batch}"]
    rows += ["Geometry\tcone 1", f"Start\t{start:%Y-%m-%dT%H:%M:%S}", ""]
    rows += ["Step\tt [s]\tShear rate [1/s]\tShear stress [Pa]\tViscosity [mPa·s]\tT [°C]"]
    for point in flow_curve(recipe):
        if single and (point.ramp, point.rate_per_s) != ("down", 100):
            continue
        step = ["single", "60"] if single else [point.ramp, str(point.elapsed_s)]
        viscosity = point.stress_pa / point.rate_per_s * 1000
        numbers = [plain(point.rate_per_s, 4), plain(point.stress_pa, 4), f"{viscosity:.1f}"]
        rows.append("\t".join([*step, *numbers, f"{point.temperature_c:.1f}"]))
    return codecs.BOM_UTF16_LE + lines(*rows, end="\r\n").encode("utf-16-le")


def cup_book() -> bytes:
    """The book beside the flow cups, typed off."""
    rows = [f'"Cup book"\n"{INVENTED}"\nBatch,Date,Time,Cup,Efflux (s),Temp (°C)\n']
    rows += [
        f'"{run.batch}","{run.measured_at:%Y-%m-%d}","{run.measured_at:%H:%M}","{run.cup}",'
        f"{run.efflux_s},{run.temperature_c}\n"
        for recipe in RECIPES
        for run in cup_runs(recipe)
    ]
    return "".join(rows).encode()


def pull_off_forces(panel: Panel) -> bytes:
    """The gauge that writes forces, a file for each panel."""
    rows = pull_offs(panel)
    top = ["Pull-off test", INVENTED, f"Panel;{panel.name}", f"Dolly diameter;{DOLLY_MM:.0f} mm"]
    top += [f"Date;{rows[0].measured_at:%d.%m.%Y}", "", "No.;Time;Force [kN];Failure"]
    body = [
        f"{row.determination};{row.measured_at:%H:%M};{comma(f'{row.force_kn:.3f}')};"
        + ", ".join(f"{share} % {place}" for share, place in row.failure)
        for row in rows
    ]
    return lines(*top, *body, end="\r\n").encode("cp1252")


def pull_off_strengths(recipe: Recipe, unit: str) -> list[list[Cell]]:
    """The gauge that writes strengths, a table for each batch."""
    head = ["Panel", "Determination", "Dolly (mm)", f"Strength ({unit})", "Failure", "Measured"]

    def cells(row: PullOff) -> list[Cell]:
        failure = ", ".join(f"{share}% {place}" for share, place in row.failure)
        strength = row.strength_mpa if unit == "MPa" else round(row.strength_mpa / 6.894757e-3)
        return [
            row.panel.name,
            row.determination,
            DOLLY_MM,
            strength,
            failure,
            row.measured_at if unit == "MPa" else f"{row.measured_at:%Y-%m-%d %H:%M}",
        ]

    rows = [cells(row) for panel in panels(recipe) for row in pull_offs(panel)]
    return [[INVENTED], [], list(head), *rows]


def pull_off(recipe: Recipe) -> dict[str, bytes]:
    """Every third batch with the gauge for forces, the others with the one for strengths."""
    if recipe.number % 3 == 0:
        return {f"Abreißversuch {p.name}.csv": pull_off_forces(p) for p in panels(recipe)}
    if recipe.batch == "RB-017":  # an operator who thinks in psi and saved as text
        return {"pull off RB-017 psi.csv": table(pull_off_strengths(recipe, "psi")).encode()}
    rows = pull_off_strengths(recipe, "MPa")
    return {f"pull off {recipe.batch}.xlsx": workbook({"Results": rows})}


BATCH_HEAD = ["Batch", "Recipe", "Candidate", "Dose (%)", "Role", "Mixed on", "Note"]


def batch_row(recipe: Recipe, dose_percent: float, note: str) -> list[Cell]:
    """One line of the register of batches."""
    role = "candidate" if recipe.dose_percent else "control"
    code = (
        f"EP-2K base + {dose_percent:g} % {recipe.candidate}"
        if role == "candidate"
        else "EP-2K base"
    )
    return [recipe.batch, code, recipe.candidate, dose_percent, role, recipe.mixed_on, note]


def register() -> bytes:
    """The register as it was first sent, with one dose mistyped."""
    doses = {r.batch: r.dose_percent for r in RECIPES} | dict([MISTYPED])
    batches = [batch_row(recipe, doses[recipe.batch], INVENTED) for recipe in RECIPES]
    head = ["Panel", "Batch", "Substrate", "Coat system", "Dry film (µm)", "Coated on"]
    plates: list[list[Cell]] = [
        [
            panel.name,
            recipe.batch,
            "steel, blasted Sa 2½",
            "epoxy primer, 2 coats",
            panel.thickness_um,
            panel.coated_on,
            panel.immersed_at,
            INVENTED,
        ]
        for recipe in RECIPES
        for panel in panels(recipe)
    ]
    return workbook(
        {
            "Batches": [[INVENTED], [], BATCH_HEAD, *batches],
            "Panels": [[INVENTED], [], [*head, "Immersed at", "Note"], *plates],
        }
    )


def correction() -> bytes:
    """The later sheet with the right dose."""
    recipe = BY_BATCH[MISTYPED[0]]
    note = f"dose corrected from {MISTYPED[1]:g} to {recipe.dose_percent:g}; {INVENTED.lower()}"
    row = [
        f"{c:%Y-%m-%d %H:%M}" if isinstance(c, datetime) else c
        for c in batch_row(recipe, recipe.dose_percent, note)
    ]
    return table([[INVENTED], [], BATCH_HEAD, row]).encode()


def exports() -> dict[str, bytes]:
    """Return all exports: path below the inbox -> bytes."""
    days = [[row for r in RECIPES[i : i + 3] for row in densities(r)] for i in (0, 3, 6)]
    found = {
        "register/Register Brückenprimer.xlsx": register(),
        "register/Register Korrektur RB-016.csv": correction(),
        "density/Dichte 14.09. früh.csv": density_bench(days[0], "g/cm³"),
        "density/density 2026-09-15.csv": density_bench(days[1], "kg/m³"),
        "density/Dichte 16.09. Küche 2.csv": density_bench(days[2], "g/cm³"),
        "flow cup/cup book September.csv": cup_book(),
        "viscosity/Einzelpunkt RB-010.txt": viscometer(RECIPES[0], single=True),
    }
    for recipe in RECIPES:
        sign = " 🎨" if recipe.batch == "RB-014" else ""
        found[f"viscosity/Fließkurve {recipe.batch}{sign}.txt"] = viscometer(recipe)
        found |= {f"impedance/{name}": content for name, content in impedance(recipe).items()}
        found |= {f"pull-off/{name}": content for name, content in pull_off(recipe).items()}
    return found
