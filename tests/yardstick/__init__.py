"""Yardsticks for hearing beats, bars and phrases: sets with known truth, peers, tables.

Run from the folder ``tests``: ``python -m yardstick.run --help``.
"""

import sys
from pathlib import Path

# The instruments of the sample tracks play here too; they lie beside the package.
STUDIO = str(Path(__file__).parents[2] / "sample_audio")
if STUDIO not in sys.path:
    sys.path.append(STUDIO)
