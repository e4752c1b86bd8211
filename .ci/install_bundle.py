"""Install tiecoat from this folder: no internet and no administrator is needed.

    python install.py [PLACE]

PLACE is where the program goes, by default tiecoat-program in your home folder. A newer bundle is
installed over an older one by the same command; end the service before, and start it after.
"""

from __future__ import annotations

import json
import os
import platform
import subprocess
import sys
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent


def unfit() -> str:
    """Say why this is not the computer or the Python that the bundle was made for; "" if it is."""
    meant = json.loads((HERE / "made_for.json").read_text(encoding="utf-8"))
    python = "{}.{}".format(*sys.version_info)
    found = {"system": platform.system(), "machine": platform.machine(), "python": python}
    if found == meant:
        return ""
    told = [
        f"{one['system']} on {one['machine']} with Python {one['python']}" for one in (meant, found)
    ]
    return (
        f"This bundle is for {told[0]}; this is {told[1]}.\n"
        "Run it with the Python that it is for, or make another bundle."
    )


def main() -> int:
    """Make an environment if there is none, and install into it."""
    if why := unfit():
        print(why)
        return 2
    place = Path(sys.argv[1] if len(sys.argv) > 1 else Path.home() / "tiecoat-program").absolute()
    folder = place / ("Scripts" if os.name == "nt" else "bin")
    python = folder / ("python.exe" if os.name == "nt" else "python")
    if not python.exists():
        print(f"making an environment in {place} ...", flush=True)
        venv.create(place, with_pip=True)
    print("installing ...", flush=True)
    pip = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    wheels = ["--no-index", "--find-links", str(HERE / "wheels"), "--require-hashes"]
    if code := subprocess.call([*pip, *wheels, "--requirement", str(HERE / "requirements.txt")]):
        print("Not installed. Copy the bundle again: a file of it may be damaged or missing.")
        return code
    print(f"tiecoat is in {folder}; begin with:  {folder / 'tiecoat'} new my-lab")
    return 0


if __name__ == "__main__":
    sys.exit(main())
