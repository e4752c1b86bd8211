"""Film thickness: what a gauge reads on one spot of a panel, of the wet or the dry film."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pandera.pandas as pa

from tiecoat.plugin import Caution, Custom, Kind, Spread, column, hookimpl
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import film_thickness as words

if TYPE_CHECKING:
    import pandas as pd

_NUMBERED = re.compile(
    r"^(?:coat )?0*([1-9]|1[0-2])\s*(?:\.|st|nd|rd|th|r?e|ère|ème|de|ste|[aoªº]\.?)?$"
)
SYSTEM = "system"  # all coats together
STATES = ("dry", "wet")


class FilmThickness(StrictModel):
    """Thickness of a coat or of the whole coat system on one spot (ISO 2808)."""

    spot: float = column("", "number of the spot on its panel", words=words.SPOT, ge=1, le=1000)
    coat: str = column(
        "",
        "which coat from the substrate outwards, such as coat 1; system: all",
        words=words.COAT,
        values=words.COAT_VALUES,
    )
    state: str = column(
        "",
        "whether the film was dry or still wet",
        words=words.STATE,
        values=words.STATE_VALUES,
        isin=STATES,
    )
    # a reading in mm that is taken for µm lies below, 10 mm above what a paint film can be
    thickness_um: float = column(
        "um",
        "thickness of the film on this spot",
        words=words.THICKNESS_UM,
        customary=(20.0, 5000.0),  # a lower number without a unit may be of mils
        ge=1,
        le=5000,
    )

    @pa.check(  # type: ignore[untyped-decorator]
        "coat", error="coat 1 to coat 12, system, or a name; not a number"
    )
    @classmethod
    def is_no_reading(cls, coat: pd.Series) -> pd.Series:
        """Numbers above those of coats are readings that stand in the wrong column."""
        return ~coat.str.match(r"\d")


def same_words(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with one way to write a coat and a state: "Coat  1", "1st" -> "coat 1".

    Spreadsheets turn "dry" into "Dry", and hands write the number of a coat alone.
    """
    coat = frame["coat"].str.strip().str.lower().str.replace(r"\s+", " ", regex=True)
    coat = coat.replace(words.ORDINALS | dict.fromkeys(words.ALL, SYSTEM))
    numbered = coat.str.replace(_NUMBERED, r"coat \1", regex=True)
    return frame.assign(coat=numbered, state=frame["state"].str.strip().str.lower())


LATER_COAT = Caution(
    r"(?i)\b(?:top[\s-]?coat|finish(?:ing)?[\s-]?coat|intermediate coat|mid[\s-]?coat|tie[\s-]?coat"
    r"|Deck(?:schicht|beschichtung|lack|anstrich)|Zwischen(?:schicht|beschichtung|anstrich)"
    r"|couche de finition|couche intermédiaire|capa de acabado|capa intermedia|mano di finitura"
    r"|strato intermedio|mano intermedia|warstwa nawierzchniowa|międzywarstwa|toplaag|tussenlaag"
    r"|aflak|vrchní nátěr|vrchní vrstva|mezivrstva)\b",
    "the file names a topcoat or an intermediate coat, and the thickness is filed as that of all"
    " coats: it does not say which coat",
    ("coat", SYSTEM),
)

KIND = Kind(
    "film_thickness",
    FilmThickness,
    per="panel",
    identity=("spot", "coat", "state"),
    derive=same_words,
    spreads=(
        Spread(words.SPOTS, "thickness_um", "spot"),
        Spread(words.COATS, "thickness_um", "coat"),
        *(Spread(words.thickness(state), "thickness_um", "state", state) for state in STATES),
    ),
    # common practice, no source: whoever measures the wet film says so
    customs=(Custom("state", "dry", "which a film is unless wet, or a comb, is said"),),
    counted="spot",
    defaults=(("coat", SYSTEM),),
    shown_by=("thickness_um",),
    beside=words.BESIDE,
    cautions=(LATER_COAT,),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
