"""A photograph of an exposed panel with the rust that was seen, for a person to contest."""

from __future__ import annotations

from tiecoat.picture.regions import BLUE, PURPLE, SKY, YELLOW, Pixels, captioned, outlined
from tiecoat.picture.rust import LAX, NOMINAL, Rust


def drawn(pixels: Pixels, rust: Rust, title: str) -> Pixels:
    """Return the picture with outlines and a caption.

    Parameters
    ----------
    pixels
        As taken, shape (rows, columns, 3).
    rust
        What was found on it.
    title
        First words of the caption.
    """
    picture = outlined(pixels, rust.panel.inside, PURPLE)
    picture = outlined(picture, rust.evaluated, BLUE)
    picture = outlined(picture, rust.certainty >= LAX, YELLOW)
    picture = outlined(picture, rust.certainty >= NOMINAL, SKY)
    low, high = rust.bounds_percent
    area = f"{title}: rust on {rust.percent():.3g} % of the evaluated area"
    colours = "light blue: rust; yellow: by the wide limits only; dark blue: evaluated"
    return captioned(
        picture,
        (
            f"{area} ({low:.3g} to {high:.3g} %)",
            f"{colours}; purple: panel",
            *rust.remarks,
            "an aid to the inspector; the rating is the inspector's",
        ),
    )
