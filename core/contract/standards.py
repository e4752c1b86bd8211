"""The editions of the standards that results follow, each named with its year in this one place.

Methods and sources of results name a standard by these; docstrings name it without its year. The
edition is the one whose figures are used here. Where a newer one is out whose figures were not
seen, it stands beside it. ISO's editions and their dates are those of its public register, those of
ASTM and DIN are as sources named beside the figures have them.
"""

from __future__ import annotations

from typing import Final

# wet paint
ISO_2431: Final = "ISO 2431:2019"  # flow cups
ISO_2811_1: Final = "ISO 2811-1:2023"  # density by pycnometer
ISO_3219_2: Final = "ISO 3219-2:2021"  # rotational rheometry; ISO 3219:1993 went into two parts
ASTM_D1200: Final = "ASTM D1200-94(2005)"  # Ford cups; ranges seen in it, formulas second-hand
ASTM_D4212: Final = "ASTM D4212-16"  # Zahn and Shell cups; formulas second-hand
DIN_53211: Final = "DIN 53211:1987"  # 4 mm cup; withdrawn in October 1996, year from memory

# ratings
ISO_4628_1: Final = "ISO 4628-1:2016"  # half steps where agreed
ISO_4628_2: Final = "ISO 4628-2:2016"  # blisters
ISO_4628_3: Final = "ISO 4628-3:2016"  # rust
ISO_4628_3_NEWER: Final = "ISO 4628-3:2024"  # the area of Ri 5 corrected (figure not seen)
ISO_4628_4: Final = "ISO 4628-4:2016"  # cracks
ISO_4628_5: Final = "ISO 4628-5:2022"  # flakes; year from memory
ISO_4628_8: Final = "ISO 4628-8:2012"  # delamination and corrosion around a scribe
ASTM_D610: Final = "ASTM D610-08(2012)"  # rust
ISO_9227: Final = "ISO 9227:2017"  # salt spray
ISO_9227_NEWER: Final = "ISO 9227:2022"  # figures not seen
ISO_12944_1: Final = "ISO 12944-1:2017"  # protective paint systems: durability
ISO_12944_5: Final = "ISO 12944-5:2019"  # the same: systems; year from memory
ISO_12944_6: Final = "ISO 12944-6:2018"  # the same: tests in the laboratory

# films
ISO_2813: Final = "ISO 2813:2014"  # gloss
ISO_8503_1: Final = "ISO 8503-1:2012"  # grades of the profile of blasted steel
ISO_19840: Final = "ISO 19840:2012"  # thickness on rough surfaces

# adhesion and statistics
ISO_4624: Final = "ISO 4624:2016"  # pull-off
ISO_4624_NEWER: Final = "ISO 4624:2023"  # figures not seen
ISO_5725_2: Final = "ISO 5725-2:2019"  # Grubbs' test
GUM: Final = "JCGM 100:2008"  # expression of uncertainty
