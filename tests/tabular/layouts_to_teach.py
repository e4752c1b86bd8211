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
        "Ansatz;Dz;Ty\nRB-014;1,412;23,0\nRB-014;1,409;23,0\nRB-015;1,398;23,1\n",
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
        {"panel": "RB-010-1", "force_n": 2255.5295},
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
    "grids below the names of panels": Layout(
        "mreze.txt",
        "Debljina, mreža 3 x 2\n\nPloča RB-010-1\n  81   84   79\n  80   82   85\n\n"
        "Ploča RB-010-2\n  75   77   80\n  74   79   78\n",
        ("lines=Ploča {panel} || {thickness_um in um ...}", "state=dry"),
        12,
        {"panel": "RB-010-2", "spot": 5.0, "thickness_um": 79.0},
    ),
    "a grid with names of rows and columns": Layout(
        "grade.csv",
        "Chapa;Fila;A;B;C\nRB-010-1;cima;81;84;79\nRB-010-1;baixo;80;82;85\n",
        ("columns=panel, pass over, thickness_um in um ...", "state=dry"),
        6,
        {"panel": "RB-010-1", "spot": 5.0, "thickness_um": 82.0},
        "film_thickness",
    ),
    "sections of wet and dry": Layout(
        "lap.txt",
        "märkä 4.5.2026\nRB-010-1: 160 / 150 / 155\nRB-010-2: 150 / 170\n\n"
        "kuiva 6.5.2026\nRB-010-1: 81 / 84 / 79\nRB-010-2: 80 / 82\n",
        (
            "lines={state} {date} || {panel}: {thickness_um in um ...}",
            "word:state:märkä=wet",
            "word:state:kuiva=dry",
        ),
        10,
        {"panel": "RB-010-2", "state": "dry", "spot": 2.0, "thickness_um": 82.0},
    ),
    "two forms of rows": Layout(
        "nota.txt",
        "Arranque, macaco 20 mm\nRB-010-1: 7,1 MPa, 100 % B\n"
        "RB-010-2: 6,8 MPa (100 % B), cola nova\nRB-010-3: 7,4 MPa, 100 % B\n",
        (
            (
                "lines={panel}: {strength_mpa} MPa ({failure}), {}"
                " || {panel}: {strength_mpa} MPa, {failure}"
            ),
            "dolly_diameter_mm=20 mm",
        ),
        3,
        {"panel": "RB-010-2", "strength_mpa": 6.8, "failure": "100 % B"},
        "pull_off",
    ),
    "rows in two units": Layout(
        "mix.txt",
        "Koe RB-010-1 veto 7,1 MPa B\nKoe RB-010-2 veto 986 psi B\n",
        (
            (
                "lines=Koe {panel} veto {strength_mpa} MPa {failure}"
                " || Koe {panel} veto {strength_mpa} psi {failure}"
            ),
            "dolly_diameter_mm=20 mm",
        ),
        2,
        {"panel": "RB-010-2", "strength_mpa": 986 * 0.006894757293168361},
        "pull_off",
    ),
    "readings in one cell": Layout(
        "lista.csv",
        "Tablă;Citiri\nRB-010-1;81 / 84 / 79\nRB-010-2;80 / 82\n",
        ("columns=panel, thickness_um in um ...", "state=dry"),
        5,
        {"panel": "RB-010-1", "spot": 3.0, "thickness_um": 79.0},
        "film_thickness",
    ),
    "hours and minutes": Layout(
        "ro.csv",
        "Sats;Vila (t:mm);Rho [g/ml]\nRB-014;0:10;1,358\nRB-014;1:30;1,372\nRB-015;0:10;1,341\n",
        (
            "columns=batch, elapsed_s in h:mm, density_g_cm3",
            "state=as mixed",
            "temperature_c=23 °C",
        ),
        3,
        {"batch": "RB-014", "elapsed_s": 5400.0, "density_g_cm3": 1.372},
        "density",
    ),
    "hours across": Layout(
        "ro2.csv",
        "Sats;e. 5 m;e. 2 t;e. 1 d\nRB-014;1,358;1,372;1,389\nRB-015;1,341;1,352;1,371\n",
        (
            (
                "columns=batch, density_g_cm3 in g/ml at elapsed_s 5 min,"
                " density_g_cm3 in g/ml at elapsed_s 2 h, density_g_cm3 in g/ml at elapsed_s 1 d"
            ),
            "state=as mixed",
            "temperature_c=23 °C",
        ),
        6,
        {"batch": "RB-015", "elapsed_s": 86400.0, "density_g_cm3": 1.371},
        "density",
    ),
    "two keys in a title": Layout(
        "blank.tsv",
        "Pl\tB20a\tB20b\tB60a\tB60b\nRB-010-1\t42,9\t38,6\t76,6\t76,3\n"
        "RB-010-2\t38,8\t39,1\t78,1\t78,2\n",
        (
            (
                "columns=panel, gloss_gu at angle_deg 20 at spot 1,"
                " gloss_gu at angle_deg 20 at spot 2, gloss_gu at angle_deg 60 at spot 1,"
                " gloss_gu at angle_deg 60 at spot 2"
            ),
        ),
        8,
        {"panel": "RB-010-2", "angle_deg": 60.0, "spot": 2.0, "gloss_gu": 78.2},
        "gloss",
    ),
    "several readings at each angle": Layout(
        "blank2.tsv",
        "Pl\tB20a\tB20b\tB60a\tB60b\nRB-010-1\t42,9\t38,6\t76,6\t76,3\n",
        (
            (
                "columns=panel, gloss_gu at angle_deg 20, gloss_gu at angle_deg 20,"
                " gloss_gu at angle_deg 60, gloss_gu at angle_deg 60"
            ),
        ),
        4,
        {"panel": "RB-010-1", "angle_deg": 60.0, "spot": 2.0, "gloss_gu": 76.3},
        "gloss",
    ),
    "blocks with a head": Layout(
        "kiilto.txt",
        "Levy RB-010-1\nKulma 60°\n 1  58,7\n 2  59,3\nka 59,0\n"
        "Levy RB-010-2\nKulma 60°\n 1  44,0\n 2  43,4\nka 43,7\n",
        ("lines=Levy {panel} || Kulma {angle_deg}° || {spot} {gloss_gu}", "rows:ka=pass over"),
        4,
        {"panel": "RB-010-2", "angle_deg": 60.0, "spot": 2.0, "gloss_gu": 43.4},
    ),
    "records with dots": Layout(
        "lapp.txt",
        "Sats ...... RB-014\nSlag ...... as mixed\nVila ...... 10 min efter blandning\n"
        "Densitet .. 1,358 g/ml\n\nSats ...... RB-015\nSlag ...... deaerated\n"
        "Vila ...... 30 min efter blandning\nDensitet .. 1,391 g/ml\n",
        (
            (
                "lines=Sats ...... {batch} || Slag ...... {state}"
                " || Vila ...... {elapsed_s} efter blandning || Densitet .. {density_g_cm3} g/ml"
            ),
            "temperature_c=23 °C",
        ),
        2,
        {"batch": "RB-015", "state": "deaerated", "elapsed_s": 1800.0, "density_g_cm3": 1.391},
        "density",
    ),
    "a form of an entry": Layout(
        "ruoste.csv",
        "Kesto: vaihe 2 (480 h)\nLevy;Rst\nRB-010-1;Ri 1\nRB-010-2;Ri 0\n",
        (
            "column:Kesto=vaihe {} ({exposure_h})",
            "column:Rst=rating at property rust",
            "exposure=neutral salt spray",
        ),
        2,
        {"panel": "RB-010-1", "exposure_h": 480.0, "rating": "Ri 1"},
        "exposure_rating",
    ),
    "prose": Layout(
        "dagbok.txt",
        "Idag drog vi platta RB-010-1 och fick 7,1 MPa med brott 100 % B.\n"
        "Idag drog vi platta RB-010-2 och fick 6,8 MPa med brott 100 % B.\n",
        (
            "line=Idag drog vi platta {panel} och fick {strength_mpa} MPa med brott {failure}.",
            "dolly_diameter_mm=20 mm",
        ),
        2,
        {"panel": "RB-010-2", "strength_mpa": 6.8},
    ),
    "what the file's name tells": Layout(
        "sdk RB-010-1 480h.csv",
        "Pkt;Rst\n1;Ri 1\n",
        (
            "file=sdk {panel} {exposure_h in h}h",
            "columns=number, rating at property rust",
            "exposure=neutral salt spray",
        ),
        1,
        {"panel": "RB-010-1", "exposure_h": 480.0, "rating": "Ri 1"},
        "exposure_rating",
    ),
    "what fell in a day": Layout(
        "kammio.csv",
        "Kammio 2\nPvm;Lt;Kertymä;Hap\n2026-04-01;34,8;35,8;6,8\n2026-04-02;35,1;36,2;6,9\n",
        ("columns=date, temperature_c in °C, collected_ml_h in ml/24 h, ph",),
        2,
        {"temperature_c": 35.1, "collected_ml_h": 36.2 / 24},
        "chamber_record",
    ),
    "titles in two rows": Layout(
        "arkki.csv",
        "Levy;Ruoste;Rakkulat;\n;aste;määrä;koko\nRB-010-1;1;2;3\nRB-010-2;0;0;0\n",
        (
            (
                "columns=panel, grade at property rust, grade at property blisters,"
                " size at property blisters"
            ),
            "exposure=humidity",
            "exposure_h=240 h",
        ),
        4,
        {"panel": "RB-010-1", "property": "blisters", "grade": 2.0, "size": 3.0},
        "exposure_rating",
    ),
    "a scribe": Layout(
        "viilto.csv",
        "Levy;m1;m2;m3\nRB-010-1;4,9;3,5;4,7\nRB-010-2;4,4;5,4;4,5\n",
        (
            "columns=panel, creep_mm in mm at property scribe corrosion ...",
            "exposure=neutral salt spray",
            "exposure_h=720 h",
        ),
        6,
        {"panel": "RB-010-2", "reading": 2.0, "creep_mm": 5.4, "exposure_h": 720.0},
        "exposure_rating",
    ),
    "summaries under several words": Layout(
        "koonti.csv",
        "Levy;DFT [µm]\nRB-010-1;81\nRB-010-1;84\nKa.;82,5\nHaj.;2,1\nRB-010-2;79\n",
        ("column:Levy=panel", "rows:Ka. || Haj.=pass over", "state=dry"),
        3,
        {"panel": "RB-010-2", "thickness_um": 79.0},
        "film_thickness",
    ),
    "cups in lines": Layout(
        "kuppi.txt",
        "Kuppi ISO 4 mm, 23 °C\nRB-014 valui 71 s\nRB-015 valui 65 s\n",
        ("line={batch} valui {efflux_s} s", "cup=ISO 2431 4 mm", "temperature_c=23 °C"),
        2,
        {"batch": "RB-015", "efflux_s": 65.0},
        "viscosity",
    ),
    "a weighing": Layout(
        "vaaka.csv",
        "Punnitus, temp 23,0 °C\nErä;Tyhjä;Täysi;Til\nRB-014;120,10;261,20;as mixed\n"
        "RB-015;120,10;259,30;as mixed\n",
        (
            "columns=batch, mass_empty_g in g, mass_full_g in g, state",
            "volume_cm3=100 ml",
            "elapsed_s=10 min",
        ),
        2,
        {"batch": "RB-014", "density_g_cm3": 1.411},
        "density",
    ),
}
