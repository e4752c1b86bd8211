"""Set-up in one command, on any system with Python 3.11 or newer and pip.

    python .ci/start.py demo     install tiecoat into .venv/ here and run the demonstration
    python .ci/start.py test     install it with what the tests need and run them
    python .ci/start.py bundle FOLDER    gather what a computer without internet needs (--help)

What it stands on is installed in the versions that the tests have passed with (constraints.txt).

What follows the word goes to the demonstration, to pytest or to the bundle.
"""

from __future__ import annotations

import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PLACE = Path(os.environ.get("TIECOAT_VENV", ROOT / ".venv"))
TESTED = ".ci/constraints.txt"  # versions with which everything has passed
COMMANDS = {
    "demo": (".", ["archive_example/demo.py"]),
    "test": (".[test]", ["-m", "pytest"]),
    "bundle": (".", [".ci/bundle.py"]),
}


def main() -> int:
    """Make the environment if need be, install, run."""
    if sys.version_info < (3, 11):  # noqa: UP036 - whoever has an older one is told
        print(f"tiecoat needs Python 3.11 or newer; this is {sys.version.split()[0]}")
        return 2
    if len(sys.argv) < 2 or sys.argv[1] not in COMMANDS:
        print(__doc__)
        return 2
    what, command = COMMANDS[sys.argv[1]]
    python = PLACE / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        print(f"making an environment in {PLACE} ...", flush=True)
        venv.create(PLACE, with_pip=True)
    print("installing tiecoat and what it stands on ...", flush=True)
    pip = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    if code := subprocess.call([*pip, "--constraint", TESTED, "--editable", what], cwd=ROOT):
        return code
    return subprocess.call([str(python), *command, *sys.argv[2:]], cwd=ROOT)


if __name__ == "__main__":
    sys.exit(main())
