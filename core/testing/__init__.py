"""For authors of plugins: does mine do what tiecoat asks of a plugin?

    # test_pendulum.py, beside the folder `exports`
    from pathlib import Path
    from tiecoat.testing import Conformance

    HERE = Path(__file__).parent
    pendulum = Conformance(HERE.parent, exports=HERE / "exports")

pytest then runs each check of such a `Conformance` as a test of its own, and tells what it finds in
sentences. With one reader and one example that takes about a quarter of a minute of the processor,
more with each example, and on a busy machine as much longer as that is busy. A package need not be
installed for it. See `Conformance` for what is handed over, `tiecoat plugin new` for a plugin to
begin with.
"""

from tiecoat.testing.conformance import Conformance

__all__ = ["Conformance"]
