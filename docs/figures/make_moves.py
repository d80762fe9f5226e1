"""Draw the end positions of every move of the catalogue for docs/moves.md.

Run ``python docs/figures/make_moves.py`` to renew docs/figures/moves; ``--check`` only says
whether they are up to date.
"""

from __future__ import annotations

import sys
from pathlib import Path

from aquatempo.moves import catalogue, resolve
from aquatempo.records.moves import Move
from aquatempo.records.people import DEEP_POOL, ClassDepth, Pool
from aquatempo.workflow.figures import figure_svg

FOLDER = Path(__file__).parent / "moves"


def picture(move: Move) -> str:
    """Return the picture of a move, in shallow water where it is done there."""
    pool = Pool() if ClassDepth.SHALLOW in move.depths else DEEP_POOL
    return figure_svg(resolve(move, None, pool.kind), pool)


def main() -> int:
    """Write the pictures, or check them; return 1 where they are stale."""
    pictures = {f"{move.key}.svg": picture(move) for move in catalogue().moves.values()}
    if "--check" in sys.argv[1:]:
        kept = {file.name: file.read_text(encoding="utf-8") for file in FOLDER.glob("*.svg")}
        return int(kept != pictures)
    FOLDER.mkdir(exist_ok=True)
    for old in FOLDER.glob("*.svg"):
        old.unlink()
    for name, text in pictures.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
