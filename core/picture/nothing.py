"""The error for a picture that shows nothing that could be measured."""


class NothingToMeasure(ValueError):
    """What is looked for is not on the picture; the message says what was seen instead.

    Parameters
    ----------
    seen
        What the picture shows, for the technician.
    expected
        What it should show.
    """

    def __init__(self, seen: str, expected: str) -> None:
        super().__init__(seen, expected)
        self.seen = seen
        self.expected = expected

    def __str__(self) -> str:
        return f"{self.seen}; expected {self.expected}"
