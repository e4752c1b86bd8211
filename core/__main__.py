"""`python -m tiecoat` is `tiecoat`."""

from __future__ import annotations

import sys

from tiecoat.cli import main

if __name__ == "__main__":
    sys.exit(main())
