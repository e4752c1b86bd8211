"""Layouts in which a column is told by more than its own title, or by where it stands.

Each with some rows as a person reads them. No source: layouts of our own invention.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.schemas import (
    batches,
    density,
    exposure_rating,
    film_thickness,
    gloss,
    impedance,
    panels,
    pull_off,
    viscosity,
)
from tiecoat.tabular.aligned import aligned
from tiecoat.tabular.cell_looks import valuelike
from tiecoat.tabular.groups import tells_groups_apart
from tiecoat.tabular.reader import AnyTable

HABITS = Habits(
    ZoneInfo("Europe/Brussels"), panel_ids=r"(?P<batch>S26-\d{3})[A-H]", batch_ids=r"S26-\d{3}"
)
MODULES = (
    *(batches, density, exposure_rating, film_thickness, gloss, impedance, panels, pull_off),
    viscosity,
)
READER = AnyTable({module.KIND.name: module.KIND for module in MODULES})

Row = dict[str, Any]


def rows_of(folder: Path, text: str) -> list[Row]:
    """Return what is read from an export, a row each; what stands in the way fails."""
    path = folder / "export.csv"
    path.write_text(text, encoding="utf-8")
    export = Export(path, path.name, "", HABITS)
    found: list[Row] = []
    for number, each in enumerate(READER.read(export)):
        keys = {"kind": each.kind, "batch": each.batch, "panel": each.panel, "measurement": number}
        for at in range(len(each.rows or ())):
            found.append({name: values[at] for name, values in each.columns.items()} | keys)
    assert list(export.faults) == []
    return found


def agrees(row: Row, expected: Row) -> bool:
    """Tell whether a row shows all that is expected of it."""
    return all(
        math.isclose(row[name], value, rel_tol=1e-6)
        if isinstance(value, float) and isinstance(row[name], float)
        else row[name] == value
        for name, value in expected.items()
    )


LAYOUTS: dict[str, tuple[str, int, list[Row], str]] = {
    "properties over times": (
        "exposure_rating",
        8,
        [
            {"panel": "S26-011A", "property": "rust", "exposure_h": 500.0},
            {"panel": "S26-012A", "property": "blisters", "exposure_h": 500.0},
        ],
        """\
Neutral salt spray, ratings per ISO 4628
Panel,Degree of rusting Ri,,Degree of blistering,
,250 h,500 h,250 h,500 h
S26-011A,0,1,0(S0),2(S3)
S26-012A,0,2,0(S0),2(S2)
""",
    ),
    "times over properties": (
        "exposure_rating",
        8,
        [
            {"panel": "S26-011A", "property": "rust", "exposure_h": 480.0},
            {"panel": "S26-012A", "property": "blisters", "exposure_h": 480.0},
        ],
        """\
Brouillard salin neutre ISO 9227
;240 h;;480 h;
Éprouvette;Enrouillement;Cloquage;Enrouillement;Cloquage
S26-011A;Ri 0;0(S0);Ri 1;2(S3)
S26-012A;Ri 0;0(S0);Ri 2;2(S2)
""",
    ),
    "rest times over states": (
        "density",
        8,
        [
            {"batch": "S26-013", "state": "as mixed", "elapsed_s": 600.0, "density_g_cm3": 1.309},
            {"batch": "S26-014", "state": "deaerated", "elapsed_s": 1800.0, "density_g_cm3": 1.355},
        ],
        """\
Densidad de la pintura (g/ml), 23 °C
Lote;10 min;;30 min;
;recién mezclado;desaireado;recién mezclado;desaireado
S26-013;1,309;1,356;1,321;1,356
S26-014;1,318;1,355;1,330;1,355
""",
    ),
    "spots over angles, a unit and a remark beside": (
        "gloss",
        12,
        [
            {"panel": "S26-011A", "angle_deg": 20.0, "spot": 2.0, "gloss_gu": 41.5},
            {"panel": "S26-012A", "angle_deg": 60.0, "spot": 3.0, "gloss_gu": 80.4},
        ],
        """\
gloss,,GU
,,spot 1,,spot 2,,spot 3,
panel,remark,20°,60°,20°,60°,20°,60°
S26-011A,ok,41.2,81.2,41.5,81.0,40.8,80.5
S26-012A,,39.2,79.2,39.5,79.9,39.8,80.4
""",
    ),
    "a time in the upper title, bare numbers below": (
        "exposure_rating",
        6,
        [{"panel": "S26-011A", "property": "rust", "exposure_h": 480.0}],
        """\
NSS ISO 9227, degré d'enrouillement Ri
panneau;durée (h);;
;240;480;720
S26-011A;0;1;2
S26-012A;0;2;3
""",
    ),
    "panels by times": (
        "exposure_rating",
        6,
        [
            {"panel": "S26-011A", "property": "rust", "exposure_h": 480.0},
            {"panel": "S26-012A", "exposure_h": 720.0},
        ],
        """\
Degree of rusting Ri (ISO 4628-3), neutral salt spray
Panel,240 h,480 h,720 h,remark
S26-011A,0,1,2,
S26-012A,0,2,3,edge rust
""",
    ),
    "rest times by batches": (
        "density",
        6,
        [
            {
                "batch": "S26-011",
                "elapsed_s": 600.0,
                "density_g_cm3": 1.32,
                "state": "as mixed",
                "temperature_c": 23.0,
            },
            {"batch": "S26-012", "elapsed_s": 3600.0, "density_g_cm3": 1.35},
        ],
        """\
Dichte in g/ml bei 23 °C, wie gemischt
Ruhezeit (min);S26-011;S26-012
0;1,310;1,320
10;1,320;1,330
60;1,340;1,350
""",
    ),
    "hours beside the title of the panels": (
        "exposure_rating",
        6,
        [{"panel": "S26-011A", "property": "rust", "exposure_h": 480.0}],
        """\
Rust grade Ri ISO 4628-3, neutral salt spray
Panel / h,240,480,720
S26-011A,0,1,2
S26-012A,0,2,3
""",
    ),
    "shear rates by batches": (
        "viscosity",
        2,
        [
            {
                "batch": "S26-011",
                "shear_rate_per_s": 10.0,
                "viscosity_pa_s": 2.0,
                "temperature_c": 23.0,
            }
        ],
        """\
Viscosity in mPa·s at 23 °C
shear rate 1/s,S26-011,S26-012
1,4000,4200
10,2000,2200
100,1000,1100
""",
    ),
    "each pull with its failure beside it": (
        "pull_off",
        4,
        [
            {"panel": "S26-011A", "determination": 2.0, "strength_mpa": 5.4, "failure": "100 % B"},
            {"panel": "S26-012A", "determination": 1.0, "strength_mpa": 6.2},
        ],
        """\
Odtrhová zkouška, terč 20 mm, pevnost v MPa;;;;;
panel;pevnost 1;lom 1;pevnost 2;lom 2;průměr
S26-011A;5,2;100 % B;5,4;100 % B;5,3
S26-012A;6,2;100 % B;6,4;100 % B;6,3
""",
    ),
    "pulls, then their failures": (
        "pull_off",
        4,
        [
            {"panel": "S26-011A", "determination": 2.0, "strength_mpa": 5.4, "failure": "100 % B"},
            {"panel": "S26-012A", "determination": 1.0, "strength_mpa": 6.2},
        ],
        """\
Ensayo de tracción, sufridera 20 mm
probeta;1 (MPa);2 (MPa);fallo 1;fallo 2;media (MPa)
S26-011A;5,2;5,4;100 % B;100 % B;5,3
S26-012A;6,2;6,4;100 % B;100 % B;6,3
""",
    ),
    "runs by batches, minutes and seconds": (
        "viscosity",
        6,
        [
            {"batch": "S26-021", "efflux_s": 82.4, "temperature_c": 23.0, "cup": "ISO 2431 4 mm"},
            {"batch": "S26-022", "efflux_s": 85.5},
        ],
        """\
Flow cup ISO 2431, 4 mm
All samples at 73.4 °F; measured on 14 April 2026
Efflux time in min:s

Run,S26-021,S26-022
1,1:22.4,1:25.1
2,1:23.0,1:24.7
3,1:22.1,1:25.5
Mean,1:22.5,1:25.1
""",
    ),
    "runs of one batch, a mean below": (
        "viscosity",
        3,
        [{"batch": "S26-012", "efflux_s": 64.2, "temperature_c": 23.1, "cup": "ISO 2431 4 mm"}],
        """\
Lepkość umowna – kubek wypływowy ISO 2431, dysza 4 mm;;;
Partia;S26-012;;
Data;14.02.2026;;
;;;
Lp.;Czas wypływu [s];Temperatura [°C];Uwagi
1;64,2;23,1;
2;63,8;23,1;
3;65,0;23,2;pęcherzyk w dyszy?
średnia;64,3;;
""",
    ),
    "runs side by side": (
        "viscosity",
        4,
        [
            {"batch": "S26-012", "efflux_s": 64.2, "temperature_c": 23.0, "cup": "ISO 2431 4 mm"},
            {"batch": "S26-013", "efflux_s": 71.0},
        ],
        """\
Auslaufzeit in s, Becher ISO 2431 4 mm, 23 °C
Charge;Messung 1;Messung 2;Mittelwert
S26-012;64,2;63,8;64,0
S26-013;71,0;70,4;70,7
""",
    ),
    "runs as ordinals": (
        "viscosity",
        4,
        [
            {"batch": "S26-011", "efflux_s": 71.2, "temperature_c": 23.0, "cup": "ISO 2431 4 mm"},
            {"batch": "S26-012", "efflux_s": 84.0},
        ],
        """\
Uitlooptijd ISO 2431 4 mm, 23 °C, in min:s
batch;1e meting;2e meting
S26-011;1:11,2;1:12,0
S26-012;1:24;1:25
""",
    ),
    "the unit in the title line, statistics beside and below": (
        "film_thickness",
        6,
        [
            {"panel": "S26-011A", "coat": "system", "spot": 3.0, "thickness_um": 100.33},
            {"panel": "S26-012A", "spot": 1.0, "thickness_um": 106.172},
        ],
        """\
Total dry film thickness, mil (1 mil = 0.001 in)
Read on March 17 2026

Panel,1,2,3,Mean,Std dev,Min,Max
S26-011A,4.24,3.84,3.95,4.01,0.16,3.84,4.24
S26-012A,4.18,4.19,4.24,4.20,0.08,4.18,4.24
Mean,4.21,4.01,4.10,,,,

Nominal,4.0,,,,,,
""",
    ),
    "the panel in the first of its rows": (
        "film_thickness",
        6,
        [
            {
                "panel": "S26-011A",
                "spot": 3.0,
                "thickness_um": 122.0,
                "coat": "coat 1",
                "state": "wet",
            },
            {"panel": "S26-012A", "spot": 1.0, "thickness_um": 121.0},
        ],
        """\
Épaisseur du film humide au peigne – couche 1
Application du 05/03/2026 (5 mars), lecture aussitôt après

Éprouvette;Point;Épaisseur humide (µm)
S26-011A;1;120
;2;119
;3;122
S26-012A;1;121
;2;125
;3;124
""",
    ),
    "empty rows between, a nominal value below": (
        "film_thickness",
        6,
        [
            {"panel": "S26-011A", "spot": 3.0, "thickness_um": 122.0, "state": "dry"},
            {"panel": "S26-012A", "spot": 1.0, "thickness_um": 121.0},
        ],
        """\
spessore film secco µm,,,,,,,
provino,n. 1,n. 2,n. 3,media,dev. st.,min,max
S26-011A,120,119,122,120.3,1.5,119,122
,,,,,,,
S26-012A,121,125,124,123.3,2.1,121,125
,,,,,,,
media generale,,,,121.8,,,
valore nominale,120,,,,,,
""",
    ),
    "a number that runs on beside that of the spot": (
        "film_thickness",
        8,
        [
            {"panel": "S26-011A", "coat": "coat 1", "spot": 2.0, "thickness_um": 62.0},
            {"panel": "S26-011A", "coat": "system", "spot": 2.0, "thickness_um": 128.0},
            {"panel": "S26-012A", "spot": 1.0, "coat": "coat 1", "thickness_um": 60.0},
        ],
        """\
Meting;Datum;Paneel;Laag;Punt;Droge laagdikte [mm];Batterij [V]
1;14-03-2026;S26-011A;laag 1;1;0,062;2,90
2;14-03-2026;S26-011A;laag 1;2;0,062;2,89
3;16-03-2026;S26-011A;totaal;1;0,127;2,86
4;16-03-2026;S26-011A;totaal;2;0,128;2,85
5;14-03-2026;S26-012A;laag 1;1;0,060;2,82
6;14-03-2026;S26-012A;laag 1;2;0,069;2,81
7;16-03-2026;S26-012A;totaal;1;0,125;2,78
8;16-03-2026;S26-012A;totaal;2;0,130;2,77
""",
    ),
    "a test that runs on beside the number on its panel": (
        "pull_off",
        4,
        [
            {"panel": "S26-011A", "determination": 2.0, "strength_mpa": 6.42},
            {"panel": "S26-012A", "determination": 1.0, "strength_mpa": 9.02},
        ],
        """\
Test;Panel;No;Dolly mm;Strength MPa;Batt %
101;S26-011A;1;20;7.22;88
102;S26-011A;2;20;6.42;87
104;S26-012A;1;20;9.02;85
105;S26-012A;2;20;8.77;84
""",
    ),
    "two numbers of which one counts on each panel": (
        "pull_off",
        4,
        [
            {"panel": "S26-011A", "determination": 2.0, "strength_mpa": 6.42},
            {"panel": "S26-012A", "determination": 1.0, "strength_mpa": 9.02},
        ],
        """\
Test;Panel;Pull;Dolly mm;Strength MPa
1;S26-011A;1;20;7.22
2;S26-011A;2;20;6.42
4;S26-012A;1;20;9.02
5;S26-012A;2;20;8.77
""",
    ),
    "panels side by side, the id above each column": (
        "impedance",
        2,
        [
            {"panel": "S26-011A", "frequency_hz": 1e5, "z_real_ohm": 273.0, "z_imag_ohm": -1390.0},
            {"panel": "S26-012A", "frequency_hz": 0.1, "z_real_ohm": 2.7e7, "z_imag_ohm": -5.1e5},
        ],
        """\
Immersion time [h];336
Area [cm²];10,0

;S26-011A;S26-011A;S26-012A;S26-012A
f [Hz];Z' [Ohm];-Z'' [Ohm];Z' [Ohm];-Z'' [Ohm]
1,0E+05;2,73E+02;1,39E+03;3,31E+02;1,92E+03
1,0E+02;1,10E+05;5,41E+05;1,07E+05;7,69E+05
1,0E-01;6,09E+06;3,66E+04;2,70E+07;5,10E+05
""",
    ),
    "a shelf, a cupboard, a battery": (
        "film_thickness",
        4,
        [{"panel": "S26-011A", "thickness_um": 119.0, "spot": 2.0}],
        """\
Lfd. Nr.;Blech;Stelle;Trockenschicht (µm);Schrank;Regal;Batterie;Prüfer
17;S26-011A;1;120;3;12;87 %;JK
18;S26-011A;2;119;3;12;87 %;JK
19;S26-012A;1;121;3;14;86 %;JK
20;S26-012A;2;125;3;14;86 %;JK
""",
    ),
    "units with gaps": (
        "density",
        3,
        [
            {
                "batch": "S26-016",
                "temperature_c": 23.0,
                "elapsed_s": 1200.0,
                "density_g_cm3": 1.3448,
                "state": "as mixed",
            },
            {"state": "deaerated", "density_g_cm3": 1.3704},
        ],
        """\
Dichtheid lak, batch S26-016

 meting     temp   rusttijd    toestand   dichtheid         u
              °C        min                    g/ml      g/ml
      1     23,0          2     gemengd      1,3312    0,0015
      2     23,0         20     gemengd      1,3448    0,0012
      4     23,0        120    ontlucht      1,3704    0,0004

   gem.                                      1,3506
""",
    ),
    "gaps in the rows": (
        "film_thickness",
        5,
        [
            {"panel": "S26-011A", "spot": 3.0, "thickness_um": 122.0, "state": "dry"},
            {"panel": "S26-012A", "spot": 2.0, "thickness_um": 125.0},
        ],
        """\
Dry film thickness

panel        spot     DFT     operator   remark
                      um
S26-011A        1     120     JK
                2     119     JK
                3     122                run
S26-012A        1     121     JK
                2     125     JK         edge
""",
    ),
    "gaps among angles": (
        "gloss",
        6,
        [
            {"panel": "S26-011A", "angle_deg": 60.0, "spot": 2.0, "gloss_gu": 81.0},
            {"panel": "S26-012A", "angle_deg": 20.0, "spot": 1.0, "gloss_gu": 39.2},
        ],
        """\
Glanz nach ISO 2813 in GU
Blech         Stelle      20°      60°
S26-011A           1     41,2     81,2
                   2              81,0
S26-012A           1     39,2     79,2
                   2     39,5
""",
    ),
    "units below one title of five": (
        "pull_off",
        4,
        [
            {"panel": "S26-011A", "strength_mpa": 5.2, "failure": "100 % B"},
            {"panel": "S26-012A", "determination": 2.0, "strength_mpa": 6.1},
        ],
        """\
Abreißversuch, Stempel 20 mm
Platte       Nr    Festigkeit    Bruchbild     Bemerkung
                          MPa
S26-011A      1           5,2    100 % B
              2           5,4    100 % B       schief
S26-012A      1           5,9    100 % B
              2           6,1    100 % B
Mittel                   5,65
""",
    ),
    "the sum of the coats in the title": (
        "film_thickness",
        4,
        [{"panel": "S26-011A", "coat": "system", "thickness_um": 121.0}],
        """\
Trockenschichtdicke Gesamtsystem (Schicht 1 + Schicht 2), µm
Platte;1;2
S26-011A;120;121
S26-012A;123;124
""",
    ),
    "a day behind the title in a text of commas": (
        "film_thickness",
        4,
        [{"panel": "S26-011A", "spot": 2.0, "thickness_um": 106.172}],
        """\
Dry film thickness (mils),measured 4/15/2026
Panel,1,2
S26-011A,4.05,4.18
S26-012A,4.31,4.18
""",
    ),
    "three densities of one batch": (
        "density",
        5,
        [
            {"batch": "S26-011", "determination": 2.0, "density_g_cm3": 1.354},
            {"batch": "S26-011", "determination": 1.0, "density_g_cm3": 1.395},
            {"batch": "S26-012", "determination": 1.0, "density_g_cm3": 1.361},
        ],
        """\
Charge;Zustand;Ruhezeit (min);Temp. (°C);Dichte (g/cm³)
S26-011;gemischt;0;23,0;1,352
S26-011;gemischt;0;23,0;1,354
S26-011;entlüftet;30;23,1;1,395
S26-012;gemischt;0;23,0;1,361
S26-012;gemischt;0;23,0;1,360
""",
    ),
    "densities named by their determination": (
        "density",
        3,
        [{"batch": "S26-011", "determination": 3.0, "density_g_cm3": 1.396}],
        """\
Lot: S26-011; Temperature: 23.1 °C; State: deaerated; Rest: 0 min

Determination\tDensity, g/cm3
Det. 1\t1.395
Det. 2\t1.394
Det. 3\t1.396
Mean\t1.395
""",
    ),
    "densities side by side": (
        "density",
        6,
        [{"batch": "S26-012", "determination": 2.0, "density_g_cm3": 1.364}],
        """\
Densité (g/cm3) à 23 °C, après mélange, 0 min de repos
Lot;1;2;3;moyenne
S26-011;1,352;1,354;1,350;1,352
S26-012;1,361;1,364;1,361;1,362
""",
    ),
    "how many determinations a mean is of": (
        "density",
        2,
        [{"batch": "S26-012", "determination": 1.0, "density_g_cm3": 1.372}],
        """\
Batch,State,Rest (min),T (°C),Mean density (g/cm3),n
S26-011,as mixed,0,23.0,1.352,3
S26-012,as mixed,0,23.0,1.372,3
""",
    ),
    "spots with a letter": (
        "film_thickness",
        4,
        [{"panel": "S26-012A", "spot": 2.0, "thickness_um": 84.0}],
        """\
Platte;Messstelle;Trockenschichtdicke (µm)
S26-011A;P1;85,2
S26-011A;P2;87,0
S26-012A;P1;81
S26-012A;P2;84
""",
    ),
    "widths along the scribe by a letter that a line explains": (
        "exposure_rating",
        6,
        [
            {"panel": "S26-011A", "property": "scribe delamination", "reading": 2.0}
            | {"damage_width_mm": 3.6, "scribe_width_mm": 1.0},
            {"panel": "S26-012A", "reading": 3.0, "damage_width_mm": 5.2},
        ],
        """\
Unterwanderung am Ritz nach ISO 4628-8, Salzsprühnebel (NSS)
b = Gesamtbreite der Enthaftung über dem Ritz
Platte;Stunden;Ritzbreite [mm];b1 [mm];b2 [mm];b3 [mm];Mittel b [mm]
S26-011A;720;1,0;3,3;3,6;3,6;3,5
S26-012A;720;1,0;5,8;5,1;5,2;5,4
""",
    ),
    "bare numbers go on with the title before them": (
        "exposure_rating",
        6,
        [
            {"panel": "S26-011A", "property": "scribe corrosion", "reading": 3.0}
            | {"damage_width_mm": 6.1, "scribe_width_mm": 1.0},
        ],
        """\
Koroze u řezu po 720 h v solné mlze (ISO 4628-8)
Vzorek;Expozice [h];Šířka řezu [mm];Celková šířka koroze [mm] 1;2;3;průměr
S26-011A;720;1,0;7,5;7,1;6,1;6,90
S26-012A;720;1,0;3,8;3,6;4,2;3,87
""",
    ),
    "creep in rows without a number": (
        "exposure_rating",
        4,
        [{"panel": "S26-012A", "reading": 2.0, "creep_mm": 2.4}],
        """\
Exposure: NSS, 720 h
Panel;Delamination from scribe (mm)
S26-011A;1,2
S26-011A;1,4
S26-012A;2,2
S26-012A;2,4
""",
    ),
    "hours of salt spray under the word for it": (
        "exposure_rating",
        2,
        [{"panel": "S26-011A", "exposure": "neutral salt spray", "exposure_h": 720.0}],
        """\
Płytka;Mgła solna [h];Szerokość rysy [mm];Szerokość korozji [mm]
S26-011A;720;1,0;3,2
S26-012A;720;1,0;4,2
""",
    ),
    "degrees of rusting by hours, a thousand of them too": (
        "exposure_rating",
        6,
        [{"panel": "S26-012A", "property": "rust", "exposure_h": 1000.0, "rating": "3"}],
        """\
Stopień zardzewienia Ri wg ISO 4628-3, komora solna;;;
;;;
Płytka;Czas ekspozycji [h];;
;168;336;1000
S26-011A;0;0;1
S26-012A;0;1;3
""",
    ),
    "titles that only the upper of two rows has": (
        "exposure_rating",
        4,
        [
            {"panel": "S26-011A", "property": "rust", "rating": "Ri 2"},
            {"panel": "S26-012A", "property": "blisters", "grade": 2.0, "size": 4.0},
        ],
        """\
Salt spray cabinet 2, inspection sheet, ISO 9227 NSS;;;
Hours;480;;
;;;
Panel;Rust (Ri);Blisters;
;;quantity;size
S26-011A;Ri 2;2;3
S26-012A;Ri 1;2;4
""",
    ),
    "two names with their values in a line": (
        "impedance",
        1,
        [{"panel": "S26-011A", "exposure_h": 168.0, "area_cm2": 12.6, "frequency_hz": 10.0}],
        """\
Prüfblech;S26-011A;;Prüferin;M. Hösel
Messdatum;04.05.2026 08:00;;Elektrolyt;NaCl 3 % in Wasser
Tauchdauer;168;h;Amplitude;20 mV
Messfläche;12,6;cm²;Raumtemperatur;23 °C

Nr.;Frequenz [Hz];Betrag |Z| [Ω];Phasenwinkel [°]
1;10000;30000;-86,1
2;1000;300000;-86,2
3;100;3000000;-86,3
4;10;30000000;-86,4
5;1;300000000;-86,5
""",
    ),
    "the area from the diameter of the cell": (
        "impedance",
        1,
        [{"panel": "S26-011A", "area_cm2": math.pi * 4.0, "frequency_hz": 10.0}],
        """\
Měření impedance, cela nalepená, vnitřní průměr cely 40 mm, 3,5% NaCl

Vzorek: S26-011A
Doba ponoření: 1 h
f[Hz];|Z|[Ohm];fáze[°];OCP vs SCE (V)
10000;30000;-86,1;-0,41
1000;300000;-86,2;-0,40
100;3000000;-86,3;-0,41
10;30000000;-86,4;-0,42
1;300000000;-86,5;-0,41
""",
    ),
    "masses of a pycnometer that has a number": (
        "density",
        2,
        [{"batch": "S26-011", "state": "deaerated", "density_g_cm3": (108.2 - 38.2) / 50}],
        """\
Pycnometer no.: 7
Volume of pycnometer at 23 °C: 50.0 ml
Mass empty: 38.2 g
Temperature: 23.0 °C
Batch;State;Rest [min];Mass full [g]
S26-011;as mixed;0;106.0
S26-011;deaerated;30;108.2
""",
    ),
    "the temperature of a paint that is thinned": (
        "viscosity",
        4,
        [{"batch": "S26-012", "run": 2.0, "efflux_s": 38.5, "temperature_c": 23.0}],
        """\
Temps d'écoulement, coupe ISO 2431 n° 6 (6 mm)
Primaire dilué à 10 %, 23,0 °C

Lot;Essai 1 (s);Essai 2 (s);Moyenne (s)
S26-011;41,4;40,5;41,0
S26-012;37,9;38,5;38,2
""",
    ),
    "rest times in titles": (
        "density",
        6,
        [{"batch": "S26-011", "state": "as mixed", "elapsed_s": 600.0, "density_g_cm3": 1.32}],
        """\
massa volumica (kg/m3), tal quale, 23 °C
lotto;riposo 0 min;riposo 10 min;riposo 60 min
S26-011;1310;1320;1340
S26-012;1320;1330;1350
""",
    ),
}


@pytest.mark.parametrize("name", LAYOUTS)
def test_layouts_are_read_as_a_person_reads_them(tmp_path: Path, name: str) -> None:
    """Each column is told by all that stands above it, beside it and in the lines of the sheet."""
    kind, measurements, expected, text = LAYOUTS[name]
    found = rows_of(tmp_path, text)
    assert {row["kind"] for row in found} == {kind}
    assert len({row["measurement"] for row in found}) == measurements
    for each in expected:
        assert sum(agrees(row, each) for row in found) == 1, each


def test_cells_stand_under_their_columns() -> None:
    """A line with gaps has empty cells, one of few cells above the columns stays as it is."""
    lines = [
        "Density   in g/ml",
        "batch      T    rest    density",
        "          °C                g/ml",
        "K1-01    23,0     10       1,392",
        "K1-02             20       1,401",
        "",
        "mean                       1,397",
    ]
    assert aligned(lines) == [
        ["Density", "in g/ml"],
        ["batch", "T", "rest", "density"],
        ["", "°C", "", "g/ml"],
        ["K1-01", "23,0", "10", "1,392"],
        ["K1-02", "", "20", "1,401"],
        [""],
        ["mean", "", "", "1,397"],
    ]


def test_lines_without_columns_stay_as_they_are() -> None:
    """Where all lines are full, or show no columns, nothing is moved."""
    assert aligned(["a  b  c", "1  2  3"]) == [["a", "b", "c"], ["1", "2", "3"]]
    assert aligned(["one two", "three"]) == [["one two"], ["three"]]


@pytest.mark.parametrize(
    ("above", "row", "below", "apart"),
    [
        (["panel", "20°", "", "60°", ""], ["", 1, 2, 1, 2], ["K1", 41, 42, 81, 82], True),
        (["panel", "20°", "", "60°", ""], ["spot", 1, 2, 1, 2], ["K1", 41, 42, 81, 82], True),
        (["panel", "rust", ""], ["", "240 h", "480 h"], ["K1", "Ri 0", "Ri 1"], True),
        (["spot", "thickness", "", ""], [1, 120, 121, 122], [2, 123, 121, 120], False),
        (["panel", "thickness", ""], ["K1", 1, 2], ["K2", 1, 2], False),
        (["panel", "thickness"], ["", 120], ["K1", 121], False),
    ],
)
def test_a_row_of_values_is_titles_below_groups(
    above: list[Any], row: list[Any], below: list[Any], apart: bool
) -> None:
    """Numbers below a group that spans several columns are titles, where the row is no data."""
    assert tells_groups_apart(above, row, below, is_value, is_no_id) is apart


def is_value(cell: Any) -> bool:
    """Tell whether a cell is a value or an id of these tests."""
    return valuelike(cell) or not is_no_id(cell)


def is_no_id(cell: Any) -> bool:
    """Tell whether a cell is no id of these tests."""
    return not str(cell).startswith("K")
