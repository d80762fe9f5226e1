"""Train the rhythm network.

``python -m aquatempo.training --fonts A.sf2 --folder SONGS --out W.npz``
"""

from __future__ import annotations

import argparse
from dataclasses import fields
from pathlib import Path

from aquatempo.training.train import Settings, train


def _yes(text: str) -> bool:
    return text == "yes"


def main() -> None:
    """Read the settings and train."""
    parser = argparse.ArgumentParser(
        prog="python -m aquatempo.training", description="Train the rhythm network."
    )
    parser.add_argument(
        "--fonts", type=Path, nargs="+", required=True, help="soundfonts, sf2 or sf3"
    )
    parser.add_argument("--folder", type=Path, required=True, help="where songs are kept")
    parser.add_argument("--start", type=Path, help="weights to start from")
    parser.add_argument("--music", type=Path, help="examples of music by others (training.music)")
    parser.add_argument("--out", type=Path, required=True, help="file of weights to write, .npz")
    for field in fields(Settings):
        if field.name not in ("fonts", "out", "folder", "start", "music"):
            option = "--" + field.name.replace("_", "-")
            kind = _yes if isinstance(field.default, bool) else type(field.default)
            parser.add_argument(option, type=kind, default=field.default)
    train(Settings(**vars(parser.parse_args())))


if __name__ == "__main__":
    main()
