"""What an author hands over to be checked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, init=False)
class Conformance:
    """Plugins, and what shows how they are to work.

    Parameters
    ----------
    *plugins
        Each the folder of a package (with its pyproject.toml; it need not be installed), a file as
        it lies in a lab's `readers/` folder (.py or .toml), or the name of an entry point that an
        installed package has.
    exports
        A folder of example exports; one of several files is a folder in it of the name of the main
        file. Beside `damping.csv` stands what must be filed of it, in
        `damping.csv.KIND.rows.csv` for each kind: a line for each row, with the columns `row` (of
        the export), `batch`, `panel`, `measured_at` and those of the kind, as far as they are
        filled (the cell of a panel that is not there is empty); decimal point, times as in
        2026-09-14T08:12:00+02:00. What lies in its folder `broken` must be held, for the reason
        whose code the name begins with: `not-a-number.overload.csv`. `fingerprints.json` keeps what
        rows were like in which version.
        `pytest --tiecoat-write` writes what is missing of this, to be looked through.
    settings
        What the tiecoat.toml of the lab says in which they are tried, such as the ids of batches
        and panels and the time zone. What is not told there is as in a new lab.
    archive
        A lab whose rows evaluations, figures and pages are given; without it those of the exports.
        Commands are run, without anything they take, in the lab in which the plugins are tried.
    """

    plugins: tuple[Path | str, ...]
    exports: Path | None
    settings: str
    archive: Path | None

    def __init__(
        self,
        *plugins: Path | str,
        exports: Path | None = None,
        settings: str = "",
        archive: Path | None = None,
    ) -> None:
        given = {"plugins": plugins, "exports": exports, "settings": settings, "archive": archive}
        for name, value in given.items():
            object.__setattr__(self, name, value)
