"""Build the held-out sets.

cd tests && python -m yardstick.held [breaks machine sung sung_fresh further_a further_b
    further_c classmix formmix othermix_a othermix_b othermix_c othermix_d
    stylemix] [--packages]
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from functools import partial

from ..layout import HELD
from . import breaks, class_mixes, further, machine, other_mixes, sung

MAKERS: dict[str, Callable[[], None]] = {
    "breaks": breaks.make,
    "machine": machine.make,
    "classmix": class_mixes.make,
    "formmix": partial(class_mixes.make, "formmix"),
    **{name: partial(other_mixes.make, name) for name in other_mixes.RECIPES},
    "sung": sung.make,
    "sung_fresh": partial(sung.make, "sung_fresh"),
    "further_a": partial(further.make, "further_a"),
    "further_b": partial(further.make, "further_b"),
    "further_c": partial(further.make, "further_c"),
}
PACKAGES: dict[str, Callable[[], list[str]]] = {
    "breaks": lambda: ["sonic-pi-samples"],
    "machine": lambda: ["hydrogen-data"],
    "further_a": partial(further.packages, "further_a"),
    "further_b": partial(further.packages, "further_b"),
    "further_c": partial(further.packages, "further_c"),
}
"""What a set reads from; the others need none."""


def main() -> None:
    """Do what the command line asks for."""
    parser = argparse.ArgumentParser(description="Build the held-out sets.")
    parser.add_argument("sets", nargs="*", metavar="SET", help=f"of {', '.join(HELD)}")
    parser.add_argument("--packages", action="store_true", help="only name the packages needed")
    options = parser.parse_args()
    unknown = set(options.sets) - set(HELD)
    if unknown:
        parser.error(f"no such set: {', '.join(sorted(unknown))}")
    if options.packages:
        named = [PACKAGES[name]() for name in options.sets or HELD if name in PACKAGES]
        print("\n".join(sorted({package for packages in named for package in packages})))
        return
    for name in options.sets or HELD:
        MAKERS[name]()


if __name__ == "__main__":
    main()
