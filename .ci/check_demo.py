"""Check what ``aquatempo demo`` left in a folder, knowing nothing of the package's code."""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path


def main(folder: Path) -> None:
    """Raise AssertionError, naming the file, unless every output is there and holds together."""
    files = sorted(p for p in folder.rglob("*") if p.is_file())
    print(*(f"  {p.relative_to(folder)} ({p.stat().st_size} bytes)" for p in files), sep="\n")
    assert all(p.stat().st_size > 0 for p in files), "an output is empty"
    assert any(p.suffix in (".svg", ".png") for p in files), "no picture"
    timelines = 0
    for path in files:
        if path.suffix == ".json":
            data = json.loads(path.read_text(encoding="utf-8"))
            timelines += isinstance(data, dict) and bool(data.get("cues"))
        elif path.suffix == ".csv":
            rows = list(csv.reader(path.open(encoding="utf-8", newline="")))
            assert len(rows) > 1, f"{path}: no rows"
            assert len({len(row) for row in rows}) == 1, f"{path}: ragged rows"
    assert timelines >= 6, (
        f"{timelines} timelines with cues: the sample audio has at least 6 tracks"
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
