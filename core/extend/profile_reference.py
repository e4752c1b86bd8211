"""Every key of a table profile and every answer of `tiecoat learn`, each with an example."""

from __future__ import annotations

REFERENCE = """\
A table profile says of one layout what its titles and words mean. tiecoat learn writes one;
it is plain TOML, and can be written and changed by hand. It lies in the lab's readers/ folder
and wins over every built-in reader.

  name = "gauge_of_hall_3"       # lower case, digits, underscores; no other reader's name
  kind = "film_thickness"        # what the file holds (tiecoat readers lists the kinds)
  version = "1"                  # raise it when rows would come out otherwise
  titles = ["Pos", "Rdg"]        # a table with all these titles is of this layout
  file_name = "hall3*.csv"       # not needed: how its files are called; * for what changes; or
                                 #   a form that tells something: "{panel} {exposure_h in h}h"
  sheet = "{coat}"               # not needed: what the names of sheets tell

  [take]                         # a title of the file = what it is
  "Rdg" = { as = "thickness_um", unit = "mil" }
                                 # as: a column of the kind, or panel, batch, date, clock,
                                 #   moment, instrument, number; or what exports show instead,
                                 #   such as z_modulus_ohm with phase_deg
                                 # unit: in place of what the title says; "h:mm" or "min:s"
                                 #   for times that are written with colons
  "Neg" = { as = "thickness_um", sign = "turned" }
                                 # sign: "turned" where the column holds the negative,
                                 #   "as it stands" where a minus in the title is none
  "lg d" = { as = "thickness_um", scale = "log10" }
                                 # scale: "log10" for decimal logarithms, "plain" for none
  "Tk" = { as = "thickness_um", factor = 0.5 }
                                 # factor: numbers are multiplied by it
  "S2" = { as = "thickness_um", spot = 2 }
                                 # a wide layout: the columns that tell two apart, and their
                                 #   values; several titles that are the same without them are
                                 #   readings side by side, numbered on through the panel
  "MPa (column 4)" = "pass over" # where titles are the same, or there is none: the place too
  "Pos" = { as = "{panel} / {spot}" }
                                 # cells, or an entry, that hold several things: their form, with
                                 #   the name of each in braces; {} for what nobody wants;
                                 #   {thickness_um ...} for several numbers, each a reading
  "Bat. V" = "pass over"         # a column with numbers that nobody wants; an entry too

  [told]                         # what the file leaves unsaid, for every row, written as in a
  coat = "coat 1"                #   file; never a panel or batch: an id belongs to one file.
                                 #   A file that says otherwise is held

  [words.state]                  # a word of the file = the kind's own word
  "frisch" = "wet"

  [file]
  dates = "day first"            # or "month first", for dates such as 03/04/2026
  decimal = "comma"              # or "point"
  pass_over = ["Dsn.", "Limit"]  # rows that begin with one of these, or have it as a cell
  pass_over_sheets = ["Summ*"]   # sheets that are no results; * for what changes

Where no titles say what stands in a line, its form does:

  name = "slips"
  kind = "pull_off"
  version = "1"
  lines = [                      # in place of titles; the last makes a row, and those before
      "Panel {panel}",           #   it hold for the rows below. What stands behind a number is
      "#{number} {strength_mpa} N/mm2, {failure}",
  ]                              #   its unit, or {strength_mpa in N/mm2}; also in braces:
                                 #   at KEY VALUE, turned, log10, times NUMBER

  [told]
  dolly_diameter_mm = "20 mm"

A line below the first with a number in it and none of these forms holds the file. Lines without a
word of their own need file_name; a pattern with a slash is of the folder and the name.

Answers of tiecoat learn, each by --answer KEY=VALUE:

  kind=KIND                      what the file holds
  columns=ROLE, ROLE in UNIT, pass over
                                 all columns of the first table in their order; "as seen" leaves
                                 one as it is. ROLE may be followed by in UNIT, at KEY VALUE (once
                                 or more: at elapsed_s 5 min), turned, log10, times NUMBER.
                                 ROLE ... at the end: this column and all behind it.
                                 The same for several columns: readings side by side
  column:TITLE=ROLE in UNIT      one column, or the entry of this name, as in columns; or the form
                                 of its cells: column:Pos={panel} / {spot}; ROLE ... for cells that
                                 hold several numbers
                                 A column of which the title is shared or missing is called by its
                                 place, here and below: column 3=ROLE
  take:ROLE=TITLE                which of two columns it is
  unit:TITLE=UNIT                in which unit a column is
  sign:TITLE=turned              or: as it stands
  ROLE=VALUE                     what the file leaves unsaid, as under [told]: area_cm2=14.6 cm2;
                                 or the column that says it: area_cm2=column:TITLE
  batch=ID, ID or panel=ID       of which batches, or which panel, this one held file is, where it
                                 does not say it: as tiecoat held assign; no profile holds it
  rows:WORD=pass over            rows that begin with the word, or have it as a cell; also a line
                                 of text that was taken for titles; rows:WORD || WORD for several
  sheet:NAME=pass over           a sheet that is no result; * for what changes
  sheet=FORM                     what the names of sheets tell: sheet={step}
  file=FORM                      what the names of files tell, without their ending:
                                 file={panel} {exposure_h in h}h; with a slash also that of
                                 the folder it came in: file={exposure_h in h} h/{}
  word:COLUMN:WORD=OWN WORD      what a word of the file means: word:state:frisch=wet;
                                 several: word:state:frisch=wet || trocken=dry
  lines=FORM || FORM             the forms of lines, as under lines, in their order; also each by
                                 itself: line=FORM
  dates=day                      or month: which comes first
  decimal=comma                  or point

UNIT is written as people write it: mil, ml/24 h, kgf/cm2, d; h:mm or min:s for times with colons.
An answer that names no column, entry, row, line or sheet of the file is refused.

An older form names for each column of the kind where it comes from. It stays good:

  name = "pycnometer"
  kind = "density"
  version = "1"
  each = "row"                   # a measurement of each "row", "table" or "file"; or in its
                                 #   place by = ["run"]: of each run of rows with the same value

  [recognise]                    # what a file must show besides the titles
  file_name = "rho*.csv"
  first_lines = ["Pycnometer"]

  [layout]
  encoding = "cp1252"
  delimiter = ";"
  decimal = "comma"
  sheet = "Results"              # of a workbook
  end = "Mean"                   # a row that begins so ends the table
  ignore = [["Limit", "Value"]]  # tables with these titles

  [batch]                        # also [panel] and [instrument]
  titles = ["Paint", "Lot"]      # a column with one of these titles
  optional = true                # it may be missing

  [time]                         # titles or entry; or, in two parts, date and clock
  entry = ["Measured"]           # a line above the table
  format = "%d.%m.%Y %H:%M"

  [columns]
  temperature_c = { titles = ["Temp"], unit = "°F" }
  density_g_cm3 = { titles = ["Rho"], unit = "kg/m3" }
  state = { titles = ["State"], words = { frisch = "as mixed" } }
  elapsed_s = { value = 900 }    # the same in every row
"""
