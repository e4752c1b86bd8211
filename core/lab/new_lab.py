"""Laying out a new lab."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tiecoat.disk import fsio
from tiecoat.errors import SettingInvalid
from tiecoat.lab.access import kept_from_others
from tiecoat.lab.settings import MARKED, MARKER, SETTINGS, Lab, open_lab
from tiecoat.lab.system_zone import system_zone

TEMPLATE = """\
# Settings of this lab. Lines that begin with # are comments.
# A line that is taken out falls back to the value shown here.

format = 1            # of this file: leave it as it is

# Watched folders. Give one [[inbox]] for each; several instruments may share one.
[[inbox]]
path = "inbox"        # inside this lab, or anywhere: 'D:\\exports' or '\\\\server\\share\\exports'
watch = "native"      # native: the system tells of changes; polling: look again and again (shares)
after = "move"        # a filed export: move (into its done/<month>/) or leave (where it is)
# settle_s = 15.0     # overrides intake.settle_s for this inbox

[intake]
settle_s = 5.0        # a file must be unchanged for so many seconds before it is taken in
scan_s = 30.0         # look at every inbox at least this often; events only make it faster
max_file_mb = 100.0   # larger files are kept and held, not read
free_mb = 1000.0      # told when the disk of the lab has less room; with a tenth of it intake stops
ignore = ["~$*", ".*", "*.tmp", "*.part", "*.partial", "*.crdownload"]  # still being made

[ids]                 # regular expressions; case does not matter
                      # an id names folders: it holds letters, digits, . - and _ alone (of a panel
                      # also #). Write - here for /: RB-014/3 in a file is then read as RB-014-3
                      # of several schemes side by side a list: ['[A-Z]{2}-[0-9]{3}', 'P[0-9]{4}']
batch = '[A-Z]{2}-[0-9]{3}'   # how the id of a batch looks
panel = '(?P<batch>[A-Z]{2}-[0-9]{3})-[0-9]{1,2}'   # the part named batch says whose panel it is

[times]
zone = "UTC"          # of times that come without an offset, such as Europe/Berlin: is it that of
                      # your instruments' clocks? A wrong one moves every time that is filed
formats = []          # tried first, such as ["%d/%m/%Y %H:%M"]; ISO and 24.12.2026 13:30 are known

[numbers]
decimal = "auto"      # where a file leaves it open (1,250): point, comma, or auto to have it held

[text]
code_page = "cp1252"  # of files that are neither UTF-8 nor UTF-16

[checks]              # what is odd: "hold" the file, file it with a "remark", or "off"
unregistered = "remark"  # the register does not know the panel, or of wet paint the batch
future = "hold"       # measured more than a day after now
before_made = "hold"  # measured before the panel was coated or the batch was mixed
exposure = "remark"   # hours stated that the dates of the register contradict, by 10 % and 2 h
before_coat = "remark"   # measured before a coat was applied that the register has the date of
corrected = "remark"  # a register that says otherwise of a batch or panel than it did before
spread = "remark"     # far from the other values of the panel, or off by a power of ten

[report]
language = "en"       # of words, numbers and dates in reports: en (English) or de (German)

[lake]                # of many labs: the service publishes there what has changed in the archive
# url = "../lake"     # a folder, or s3://, az://, abfss://, gs://; credentials stand in the
                      # environment of the service, never here; needs pip install "tiecoat[lake]"

[readers]
folder = false        # true: load readers (.py) and table profiles (.toml) from readers/ here.
                      # Readers are programs: only people you trust may write there.
processes = 2         # worker processes that read at the same time
time_limit_s = 30.0   # a reader that takes longer is stopped and its file held; what it waits
                      # for a busy machine does not count
memory_limit_mb = 4096 # of a worker process; a reader that asks for more is stopped

[access]              # on computers with Linux or macOS that several accounts share
readable_by = "owner" # who may read what is kept here: owner, group (of the folder) or everybody;
                      # the inboxes are made as your account makes folders

# What results are computed with. Where no standard is named, it is common practice without a
# source: set what your paints ask for.

[evaluate.impedance]
frequencies_hz = [0.1]          # at which modulus and phase are told
class_frequency_hz = 0.1        # at which the barrier class is read
good_from_ohm_cm2 = 1e8         # barrier class: good from here on
poor_below_ohm_cm2 = 1e6        # and poor below this
capacitance_frequency_hz = 1e4  # at which the capacitance of the coating is read
dry_until_h = 1.0               # a first spectrum later than this is of a film that is wet already
kramers_kronig_limit_percent = 0.4  # residuals above it, in % of the modulus, fail the test
# bath_temperature_c = 23       # of the salt water, in °C, for spectra that do not tell it: gives
                                # the permittivity of water; unset and untold, 80 is taken and told
# instrument_limit_ohm = 1e11   # the largest impedance it measures, in ohm: then a lower bound

[evaluate.circuits]             # equivalent circuits; see tiecoat evaluate impedance --quantity
tried = [
    "blocking film", "intact film, ideal", "intact film", "film with pores",
    "relaxing film", "pores with diffusion", "pores with finite diffusion",
]                               # without the last two, the charge transfer of pores and the double
                                # layer are given as if nothing diffused
least_points = 12               # of a spectrum; with fewer nothing is fitted
least_decades = 3.0             # of frequency, likewise
most_inductive = 0.1            # share of the points
most_lg_error = 0.05            # a parameter with a greater standard error is not identifiable
most_correlation = 0.99         # of two parameters, from which on it is told
misfit_doubt_percent = 3.0      # told from here on
misfit_limit_percent = 10.0     # no values from here on

[evaluate.density]
reference_temperature_c = 23.0  # ISO 3270
expansion_per_k = 7e-4          # of solvent-borne paint
expansion_uncertainty_per_k = 2e-4 # standard uncertainty of it
uncertainty_g_cm3 = 0.0005      # standard uncertainty of a density where the export states none
air_free_g_cm3 = {}             # density without air by batch, such as { "RB-014" = 1.672 }
air_free_uncertainty_g_cm3 = 0.0005 # standard uncertainty of these
water_tolerance_g_cm3 = 0.001   # for the check of the instrument with water

[evaluate.viscosity]
wet_film_um = 200.0             # as applied, for sagging, levelling and bubbles
thinning_rates_per_s = [1.0, 10.0]  # of the shear-thinning index
recovery_rate_per_s = 1.0       # where the structure is read after high shear
levelling_rate_per_s = 1.0      # where the viscosity for levelling is read
wavelength_mm = 2.0             # of the marks of brush or roller
mark_height_um = 20.0           # of these marks, from their middle to the crest
surface_tension_mn_m = 30.0     # of epoxy paint
bubble_radius_um = 50.0         # of which the rise is told
open_time_s = 600.0             # for which the film stays as liquid as measured

[evaluate.pull_off]
least_determinations = 6        # ISO 4624; fewer are flagged
lower_bound_glue_percent = 50.0 # a strength is a lower bound if so much of the area failed in glue

[evaluate.film_thickness]
nominal_um = {}                 # by coat system, such as { "epoxy primer, 2 coats" = 180 }
most_times_nominal = 3.0        # ISO 19840
# surface_profile = "none"      # takes off 10 (fine), 25 (medium, unknown), 40 µm (coarse)
                                # none: not blasted, or the gauge was set on the profile

[evaluate.exposure_rating]      # grades of which it is told when they are reached
rust_grade = 3                  # Ri of ISO 4628-3
blister_density = 2             # quantity of ISO 4628-2
cracking_quantity = 2           # of ISO 4628-4
flaking_quantity = 2            # of ISO 4628-5
distribution = "weibull"        # of these times: weibull or log-normal

[evaluate.cross_section]
near_substrate_um = 10.0        # pores so near are told
size_classes = 12               # of the spheres behind the sections
least_pores = 50                # for these

[evaluate.defects]
differ_below = 0.05             # p from which on the panels of a batch are said to differ

# How pictures are read. Whose picture it is says its file or folder name, by one of the words.

[read.cross_section]            # micrographs of a cut film
words = ["section", "Querschliff"]
# um_per_pixel = 0.52           # where neither notes beside the picture nor the file itself say it
substrate = "auto"              # the brighter side, or: top, bottom, left, right
pores = "dark"                  # or bright
smallest_pore_px = 12
smoothing_px = 1.0
pore_contrast = 0.25            # share of the film's own grey
least_contrast = 0.06           # of the film against substrate and resin

[read.transmitted_light]        # photographs of a film before a lamp
words = ["transmitted", "Durchlicht"]
# um_per_pixel = 100.0
edge_mm = 5.0                   # left out along the edge of the panel
least_diameter_mm = 0.1
thin_from = 1.3                 # times the light of the film around: a thin spot
through_share = 0.7             # of the film's optical thickness gone: a hole
lamp_ratio = 5.0                # the brightest part of the lamp to the darkest, at most
pinhole_to_mm = 0.5             # larger ones that are round are craters
round_from = 0.6
rim_to = 0.95

[read.rust_photograph]          # photographs of exposed panels
words = ["salt spray", "exposed", "Salzsprüh", "bewittert"]
# um_per_pixel = 100.0          # without it the percentages below count
edge_mm = 10.0
scribe_mm = 10.0
edge_percent = 10.0             # of the shorter side
scribe_percent = 10.0
find_scribe = true
scribe_box_percent = []         # left, top, right, bottom, where the scribe always is
hue_from_deg = 20.0             # what is rust: CIELAB hue and saturation
hue_to_deg = 80.0
hue_doubt_deg = 5.0
saturation_from = 0.3
saturation_doubt = 0.1
darkest_lightness = 8.0
"""

README = {
    "readers": "Readers (.py) and table profiles (.toml) of this lab. They are used once\n"
    f"readers.folder = true stands in {SETTINGS}.\n",
}


def template(zone: str | None = None) -> str:
    """Return the settings that a new lab begins with.

    Parameters
    ----------
    zone
        Of its clocks; None: that of this computer.

    Raises
    ------
    SettingInvalid
        If this computer does not tell its own.
    """
    zone = zone or system_zone()
    if zone is None:
        raise SettingInvalid(
            "the time zone of this computer cannot be told; name that of your instruments' clocks:"
            " tiecoat new FOLDER --zone Europe/Berlin"
        )
    return TEMPLATE.replace('zone = "UTC" ', f'zone = "{zone}" ', 1)


def written_anew(folder: str | Path, settings: Mapping[str, Any] | None) -> Lab:
    """Write the settings of a lab anew that has lost them, and return it.

    Parameters
    ----------
    settings
        That shape rows, as the last filing was made by; None where nothing tells them.
    """
    root = Path(folder).absolute()
    text = template()
    for section, values in _sections(settings or {}):
        text = _with_values(text, section, values)
    fsio.publish(root / SETTINGS, text.encode(), root)
    return open_lab(root)


def _sections(settings: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    for name, values in settings.items():
        nested = {key: one for key, one in values.items() if isinstance(one, dict)}
        for key, one in nested.items():
            yield f"{name}.{key}", one
        if not nested:
            yield name, values


def _with_values(text: str, section: str, values: Mapping[str, Any]) -> str:
    """Put values into a section of the settings, in the place of those that it shows."""
    if f"\n[{section}]" not in text:
        text += f"\n[{section}]\n"
    before, title, rest = text.partition(f"\n[{section}]")
    own, mark, after = rest.partition("\n[")
    for key, value in values.items():
        line = f"{key} = {json.dumps(value, ensure_ascii=False)}"
        shown = re.search(rf"^{re.escape(key)} = .*$", own, re.MULTILINE)
        at, end = shown.span() if shown else (len(own), len(own))
        own = own[:at] + ("" if shown else "\n") + line + own[end:]
    return before + title + own.rstrip("\n") + "\n" + mark + after


def new_lab(folder: str | Path, settings: str | None = None) -> Lab:
    """Lay out a lab folder and return it.

    Parameters
    ----------
    folder
        A folder that does not exist yet or is empty.
    settings
        Text of its tiecoat.toml; None: the `template`.

    Raises
    ------
    SettingInvalid
        If the folder is in use already: nothing in it is touched.
    """
    root = Path(folder).absolute()
    if fsio.is_there(root) and (not fsio.is_folder(root) or fsio.names_in(root)):
        raise SettingInvalid(f"{root} exists and is not empty; name a new folder")
    text = template() if settings is None else settings
    fsio.make_dirs(root)
    fsio.publish(root / SETTINGS, text.encode(), root)
    lab = open_lab(root)
    for inbox in lab.settings.inbox:
        fsio.make_dirs(lab.inbox_path(inbox))
    with kept_from_others(lab.settings.access.readable_by):
        for part in (lab.archive, lab.originals, lab.held, lab.stage, lab.journal, lab.readers):
            fsio.make_dirs(part)
        fsio.publish(root / MARKER, MARKED, lab.stage)
    fsio.publish(lab.readers / "README.txt", README["readers"].encode(), lab.stage)
    return lab
