"""Build the second development set, or name the packages that it needs.

cd tests && python -m yardstick.second [gm groove module loop lmms] [--only NAME]
cd tests && python -m yardstick.second --packages
"""

from __future__ import annotations

import argparse
import warnings

from ..layout import SECOND
from . import groove, loop, midi, module, project
from .rows import packages, rows

MAKERS = {
    "gm": midi.make,
    "groove": groove.make,
    "module": module.make,
    "loop": loop.make,
    "lmms": project.make,
}


def main() -> None:
    """Do what the command line asks for."""
    parser = argparse.ArgumentParser(description="Build the second development set.")
    parser.add_argument("kinds", nargs="*", metavar="KIND", help=f"of {', '.join(SECOND)}")
    parser.add_argument("--only", default="", help="build tracks whose name has this in it")
    parser.add_argument("--packages", action="store_true", help="only name the packages needed")
    options = parser.parse_args()
    unknown = set(options.kinds) - set(SECOND)
    if unknown:
        parser.error(f"no such kind: {', '.join(sorted(unknown))}")
    if options.packages:
        print("\n".join(packages()))
        return
    warnings.filterwarnings("ignore", category=RuntimeWarning, module="pretty_midi")
    for kind in options.kinds or SECOND:
        for row in rows(kind):
            if options.only in row["name"]:
                MAKERS[kind](row)


if __name__ == "__main__":
    main()
