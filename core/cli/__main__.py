"""`python -m tiecoat.cli` is `tiecoat`."""

from __future__ import annotations

import sys

from tiecoat.cli.commands import main

if __name__ == "__main__":
    sys.exit(main())
