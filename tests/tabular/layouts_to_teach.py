"""Layouts of our own invention that nobody can know, each with the answers that teach it.

Titles are abbreviations of a house or words of other languages; some have none, some stand aside.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

Row = dict[str, Any]
OF_SCRIBE = "at property scribe corrosion"
SPECTRUM = """\
RB-010-1 nach 168 h
fq;zr;zi
100000;812,5;-90111
10000;1811,5;-800111
1000;10811,5;-7500111
100;95000;-65000111
10;810000;-455000111
1;8100000;-2455000111
0,1;81000000;-9455000111
"""


@dataclass(frozen=True)
class Layout:
    """An export, the answers that teach it, how many rows it has, and one of them."""

    file: str
    text: str
    answers: tuple[str, ...]
    rows: int
    row: Row
    kind: str | None = None


LAYOUTS = {
    "abbreviations": Layout(
        "sd7.csv",
        "Tafel-K;Sd;Bt%\nRB-010-1;81;97\nRB-010-1;84;97\nRB-010-2;79;96\n",
        ("columns=panel, thickness_um in um, pass over", "state=dry"),
        3,
        {"panel": "RB-010-1", "thickness_um": 84.0},
        "film_thickness",
    ),
    "no titles": Layout(
        "abriss_0412.csv",
        "RB-010-1;1;7,2;100 % B\nRB-010-1;2;6,9;60 % B, 40 % Y\nRB-010-2;1;7,7;100 % B\n",
        (
            "line={panel};{number};{strength_mpa in MPa};{failure}",
            "dolly_diameter_mm=20 mm",
        ),
        3,
        {"panel": "RB-010-1", "determination": 2.0, "strength_mpa": 6.9},
    ),
    "side by side": Layout(
        "glz.csv",
        "Pl;G20;;Pl;G85\nRB-010-1;41,2;;RB-010-1;88,1\nRB-010-2;40,8;;RB-010-2;87,6\n",
        (
            "column:G20=gloss_gu at angle_deg 20",
            "column:G85=gloss_gu at angle_deg 85",
            "column:Pl=panel",
        ),
        4,
        {"panel": "RB-010-2", "angle_deg": 85.0, "gloss_gu": 87.6},
        "gloss",
    ),
    "another language": Layout(
        "kerros.csv",
        "Levy;Kerros [µm];Tila\nRB-010-1;81;kuiva\nRB-010-1;84;kuiva\nRB-010-2;79;kuiva\n",
        ("columns=panel, thickness_um, state", "word:state:kuiva=dry"),
        3,
        {"panel": "RB-010-2", "thickness_um": 79.0, "state": "dry"},
        "film_thickness",
    ),
    "fixed width": Layout(
        "sdfix.txt",
        "PRFL        SDA   SDB   SDC\nRB-010-1    81    84    79\n"
        "RB-010-2    75    77    80\nRB-010-3    90    91    88\n",
        (
            f"columns=panel, {', '.join(f'thickness_um in um at spot {n}' for n in (1, 2, 3))}",
            "state=dry",
        ),
        9,
        {"panel": "RB-010-2", "spot": 3.0, "thickness_um": 80.0},
        "film_thickness",
    ),
    "on its side": Layout(
        "quer.csv",
        "Tafel-K;RB-010-1;RB-010-2;RB-010-3\nSd;81;84;79\nBt;6,1;6,1;6,0\n",
        ("column:Sd=thickness_um in um", "column:Bt=pass over", "state=dry"),
        3,
        {"panel": "RB-010-2", "thickness_um": 84.0},
        "film_thickness",
    ),
    "a spectrum": Layout(
        "spk 12.csv",
        SPECTRUM,
        ("columns=frequency_hz, z_real_ohm, z_imag_ohm", "area_cm2=14.6 cm2"),
        7,
        {
            "panel": "RB-010-1",
            "frequency_hz": 100.0,
            "z_imag_ohm": -65000111.0,
            "area_cm2": 14.6,
            "exposure_h": 168.0,
        },
        "impedance",
    ),
    "a flow curve": Layout(
        "rot.csv",
        "Ansatz RB-014, 23,0 °C\ngp;ta;et\n1;9,1;9,1\n10;41;4,1\n100;210;2,1\n",
        ("columns=shear_rate_per_s, shear_stress_pa, viscosity_pa_s in Pa s",),
        3,
        {"batch": "RB-014", "shear_rate_per_s": 10.0, "viscosity_pa_s": 4.1},
        "viscosity",
    ),
    "free lines": Layout(
        "notes.txt",
        "Pull-off RB-004-02: 7.1 MPa, 60 % B, 40 % Y\nPull-off RB-004-03: 6.8 MPa, 100 % B\n"
        "Pull-off RB-004-04: 7.4 MPa, 100 % B\n",
        ("line=Pull-off {panel}: {strength_mpa} MPa, {failure}", "dolly_diameter_mm=20 mm"),
        3,
        {"panel": "RB-004-02", "strength_mpa": 7.1, "failure": "60 % B, 40 % Y"},
    ),
    "lines below a heading": Layout(
        "zettel.txt",
        "Abzug heute, Stempel 20 mm\nPlatte RB-004-2\n  #1 7,1 N/mm2 -> B\n"
        "  #2 6,8 N/mm2 -> 80 % B, 20 % Y\nPlatte RB-004-3\n  #1 7,4 N/mm2 -> B\nende\n",
        (
            "line=Platte {panel}",
            "line=#{number} {strength_mpa} N/mm2 -> {failure}",
            "dolly_diameter_mm=20 mm",
        ),
        3,
        {"panel": "RB-004-2", "determination": 1.0, "strength_mpa": 7.1},
    ),
    "two ids in a column": Layout(
        "kombi.csv",
        "Batch / Panel;Sd µm\nRB-010 / RB-010-1;81\nRB-010 / RB-010-1;84\nRB-010 / RB-010-2;79\n",
        ("column:Batch / Panel={batch} / {panel}", "column:Sd µm=thickness_um", "state=dry"),
        3,
        {"batch": "RB-010", "panel": "RB-010-1", "thickness_um": 84.0},
        "film_thickness",
    ),
    "panel and spot in a cell": Layout(
        "kombi2.csv",
        "Ort;Sd µm\nRB-010-1 / 1;81\nRB-010-1 / 2;84\nRB-010-2 / 1;79\n",
        ("column:Ort={panel} / {spot}", "column:Sd µm=thickness_um", "state=dry"),
        3,
        {"panel": "RB-010-1", "spot": 2.0, "thickness_um": 84.0},
        "film_thickness",
    ),
    "summaries of a house": Layout(
        "summen.csv",
        "Panel;DFT [µm]\nRB-010-1;81\nRB-010-1;84\nDsn.;82,5\nRB-010-2;79\nDsn.;79\n",
        ("rows:Dsn.=pass over", "state=dry"),
        3,
        {"panel": "RB-010-2", "thickness_um": 79.0},
        "film_thickness",
    ),
    "wet paint": Layout(
        "dz.csv",
        "Ansatz;Dz;Tp\nRB-014;1,412;23,0\nRB-014;1,409;23,0\nRB-015;1,398;23,1\n",
        (
            "columns=batch, density_g_cm3 in g/cm3, temperature_c",
            "state=as mixed",
            "elapsed_s=15 min",
        ),
        3,
        {"batch": "RB-015", "density_g_cm3": 1.398, "elapsed_s": 900.0},
        "density",
    ),
    "records": Layout(
        "ritz 480 h.txt",
        "Probe RB-010-1\nQw: 3,2 mm\nRw: 0,5 mm\nProbe RB-010-2\nQw: 6,0 mm\nRw: 0,5 mm\n",
        (
            f"columns=as seen, damage_width_mm {OF_SCRIBE}, scribe_width_mm {OF_SCRIBE}",
            "exposure=neutral salt spray",
        ),
        2,
        {"panel": "RB-010-2", "damage_width_mm": 6.0, "scribe_width_mm": 0.5, "exposure_h": 480.0},
        "exposure_rating",
    ),
    "a rating beside known ones": Layout(
        "insp.csv",
        (
            "Neutral salt spray (ISO 9227 NSS)\n"
            "Panel,Hours,Rusting (ISO 4628-3),Blistering (ISO 4628-2),Creep from scribe (mm)\n"
            "RB-043-3,240,Ri 0,0(S0),0.4\n"
            "RB-043-3,480,Ri 1,2(S2),1.1\n"
            "RB-044-3,240,Ri 0,0(S0),0.2\n"
            "RB-044-3,480,Ri 0,1(S2),0.6\n"
        ),
        ("column:Creep from scribe (mm)=creep_mm at property scribe corrosion",),
        12,
        {"panel": "RB-043-3", "exposure_h": 480.0, "property": "scribe corrosion", "creep_mm": 1.1},
        None,
    ),
    "day and clock": Layout(
        "d.csv",
        ("Plt;Dt;Uz;DFTx\nRB-010-1;03/04/2026;10:15;81\nRB-010-2;03/04/2026;10:20;84\n"),
        (
            "columns=panel, date, clock, thickness_um in um",
            "state=dry",
            "dates=day",
        ),
        2,
        {"panel": "RB-010-2", "thickness_um": 84.0},
        "film_thickness",
    ),
    "readings side by side": Layout(
        "lv.csv",
        ("Lv;v1;v2;v3\nRB-010-1;41,2;41,9;40,8\nRB-010-2;39,2;38,9;39,8\n"),
        (
            "columns=panel, gloss_gu at spot 1, gloss_gu at spot 2, gloss_gu at spot 3",
            "angle_deg=60",
        ),
        6,
        {"panel": "RB-010-2", "spot": 2.0, "angle_deg": 60.0, "gloss_gu": 38.9},
        "gloss",
    ),
    "modulus and phase": Layout(
        "bode.tsv",
        (
            "RB-010-2 / 240 h / 10 cm2\n"
            "Fq [Hz]\tBz [Ohm]\tPh [deg]\n"
            "10000\t81000\t-85\n"
            "1000\t790000\t-86\n"
            "100\t7700000\t-80\n"
            "10\t55000000\t-60\n"
        ),
        ("columns=frequency_hz, z_modulus_ohm, phase_deg",),
        4,
        {"panel": "RB-010-2", "frequency_hz": 100.0},
        "impedance",
    ),
    "a flow cup": Layout(
        "copa.csv",
        ("Mezcla;Segs\nRB-014;71\nRB-014;73\nRB-015;65\n"),
        (
            "columns=batch, efflux_s in s",
            "cup=ISO 4 mm",
            "temperature_c=23 °C",
        ),
        3,
        {"batch": "RB-015", "efflux_s": 65.0},
        "viscosity",
    ),
    "limits above and below": Layout(
        "thk.csv",
        ("Pnl,Rd#,Thk\nLSL,,2.5\nRB-010-1,1,3.1\nRB-010-1,2,3.3\nUSL,,4.0\n"),
        (
            "columns=panel, number, thickness_um in mil",
            "rows:LSL=pass over",
            "rows:USL=pass over",
        ),
        2,
        {"panel": "RB-010-1", "spot": 2.0, "thickness_um": 83.82},
        "film_thickness",
    ),
    "a chamber": Layout(
        "kammer.csv",
        ("Kammer Nord\nTag;pHw;Smm\n2026-04-01;6,8;1,5\n2026-04-02;6,9;1,6\n"),
        ("columns=date, ph, collected_ml_h in ml/h",),
        2,
        {"ph": 6.8},
        "chamber_record",
    ),
    "a register": Layout(
        "liste.csv",
        ("Bl;SysX;UG\nRB-010-1;EP 2x80;Stahl\nRB-010-2;EP 2x80;Stahl\n"),
        ("columns=panel, coat_system, substrate",),
        2,
        {"panel": "RB-010-2", "coat_system": "EP 2x80"},
        "panels",
    ),
    "ratings side by side": Layout(
        "sst.txt",
        ("Plt|Std|Bl|Ro\nRB-010-1|480|2(S2)|Ri 1\nRB-010-2|480|0(S0)|Ri 0\n"),
        (
            "columns=panel, exposure_h in h, rating at property blisters, rating at property rust",
            "exposure=neutral salt spray",
        ),
        4,
        {"panel": "RB-010-1", "property": "rust", "rating": "Ri 1"},
        "exposure_rating",
    ),
    "kilograms of force": Layout(
        "kg.csv",
        ("Probe;Kft;Br\nRB-010-1;230;B\nRB-010-2;240;B/Y\n"),
        (
            "columns=panel, force_n in kgf, failure",
            "dolly_diameter_mm=20 mm",
        ),
        2,
        {"panel": "RB-010-1", "force_n": 2255.5294999999996},
        "pull_off",
    ),
    "a factor": Layout(
        "raw.csv",
        ("Pnl;raw\nRB-010-1;810\nRB-010-2;840\n"),
        (
            "columns=panel, thickness_um in um times 0.1",
            "state=dry",
        ),
        2,
        {"panel": "RB-010-2", "thickness_um": 84.0},
        "film_thickness",
    ),
}
