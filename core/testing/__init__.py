"""For authors of plugins: does mine do what tiecoat asks of a plugin?

    # test_pendulum.py, beside the folder `exports`
    from pathlib import Path
    from tiecoat.testing import Conformance

    HERE = Path(__file__).parent
    pendulum = Conformance(HERE.parent, exports=HERE / "exports")

pytest then runs each check of such a `Conformance` as a test of its own, and tells what it finds in
sentences. See `Conformance` for what is handed over, `tiecoat plugin new` for a plugin to begin
with.
"""

from tiecoat.testing.conformance import Conformance

__all__ = ["Conformance"]
