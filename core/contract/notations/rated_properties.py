"""The words of ratings: what a panel is exposed to, and what is rated of it."""

from __future__ import annotations

EXPOSURES = ("neutral salt spray", "condensation", "humidity", "immersion", "cyclic", "outdoor")
NEUTRAL_SALT_SPRAY = EXPOSURES[0]
DEFECTS = ("blisters", "cracking", "flaking")
CREEP = "scribe creep"  # delamination or corrosion: which of them the export does not say
SCRIBE = ("scribe delamination", "scribe corrosion", CREEP)
