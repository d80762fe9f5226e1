"""Run systems over the sets and print markdown tables.

    cd tests && python -m yardstick.run aquatempo librosa [--set form,hard] [--tracks]
    cd tests && python -m yardstick.run --speed aquatempo librosa --files a.mp3 b.mp3

Answers of peers are stored below the root folder and used again (``--redo`` runs them anew);
aquatempo is always run anew. Needs the extras ``bench`` and ``dev``.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

from .calls import SYSTEMS, TOOL, Answer, call
from .layout import ANSWERS, SECOND, SETS, Truth, load_tracks
from .speed import compare_speed
from .tables import (
    Row,
    confidence_lines,
    exercise_type,
    hint_lines,
    level_clear,
    scored,
    table,
    track_lines,
)

TOGETHER = (("recorded", "midi", "tracker"), SECOND)
"""Sets of distinct songs that are also averaged over."""
CLEAR = "without tracks whose level is arguable"


def options() -> argparse.Namespace:
    """Return the command line."""
    parser = argparse.ArgumentParser(description="Run systems over the sets; print tables.")
    parser.add_argument("systems", nargs="+", choices=SYSTEMS, metavar="SYSTEM")
    parser.add_argument("--set", default="form,hard", help=f"of {', '.join(SETS)}")
    parser.add_argument("--limit", type=int, help="only the first N tracks of each set")
    parser.add_argument("--every", type=int, default=1, help="only every Nth track of each set")
    parser.add_argument("--jobs", type=int, default=1, help="tracks at a time")
    parser.add_argument("--redo", action="store_true", help="run peers even where stored")
    parser.add_argument("--stored", action="store_true", help="use stored answers of aquatempo too")
    parser.add_argument("--tracks", action="store_true", help="also one line a track")
    parser.add_argument("--tags", action="store_true", help="also one table for each tag")
    parser.add_argument("--speed", action="store_true", help="time the systems against each other")
    parser.add_argument("--files", nargs="*", default=[], help="with --speed: files to time")
    parser.add_argument("--repeats", type=int, default=3, help="with --speed: rounds")
    return parser.parse_args()


def main() -> None:
    """Print what the command line asks for."""
    asked = options()
    if asked.speed:
        print(compare_speed(asked.systems, asked.files, asked.repeats))
        return
    sets = tuple(asked.set.split(","))
    tracks = load_tracks(sets, asked.limit, asked.every)
    rows = {system: rows_of(system, tracks, asked) for system in asked.systems}
    print(report(rows, sets, asked))


def rows_of(system: str, tracks: Sequence[Truth], asked: argparse.Namespace) -> list[Row]:
    """Return the scored answers of a system, from storage where allowed."""

    def answer(track: Truth) -> Answer:
        file = ANSWERS / system / track["set"] / f"{track['id']}.json"
        if file.exists() and (asked.stored or (system != TOOL and not asked.redo)):
            stored: Answer = json.loads(file.read_text())
            return stored
        result = call(system, track["audio"])
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps(result))
        return result

    with ThreadPoolExecutor(asked.jobs) as pool:
        return [
            scored(track, result)
            for track, result in zip(tracks, pool.map(answer, tracks), strict=True)
        ]


def report(rows: dict[str, list[Row]], sets: Sequence[str], asked: argparse.Namespace) -> str:
    """Return the tables: distinct sets together, then each set, then details."""
    groups: list[tuple[str, ...]] = [(name,) for name in sets]
    for family in reversed(TOGETHER):
        together = tuple(name for name in sets if name in family)
        if len(together) > 1:
            groups.insert(0, together)
    lines = []
    for group in groups:
        chosen = {
            system: [row for row in found if row.track["set"] in group]
            for system, found in rows.items()
        }
        lines += [f"### {', '.join(group)}", "", *table(chosen), ""]
        for found in chosen.values():
            lines += hint_lines(found)
        typical = {
            system: [row for row in found if exercise_type(row.track)]
            for system, found in chosen.items()
        }
        if len(next(iter(typical.values()))) < len(next(iter(chosen.values()))):
            lines += [f"### {', '.join(group)}: exercise-type tracks", "", *table(typical), ""]
        clear = {system: level_clear(found) for system, found in chosen.items()}
        if len(next(iter(clear.values()))) < len(next(iter(chosen.values()))):
            lines += [f"### {', '.join(group)}, {CLEAR}", "", *table(clear), ""]
    every = next(iter(rows.values()))
    tags = sorted({tag for row in every for tag in row.track.get("tags", ())})
    for tag in tags if asked.tags else ():
        chosen = {
            system: [row for row in found if tag in row.track.get("tags", ())]
            for system, found in rows.items()
        }
        lines += [f"### {tag}", "", *table(chosen), ""]
    for system, found in rows.items():
        if asked.tracks:
            lines += [f"### {system}, track by track", "", *track_lines(found), ""]
        if any(row.score.confidence is not None for row in found):
            lines += [f"### {system}: confidence", "", *confidence_lines(found), ""]
            clear_ones = level_clear(found)
            if len(clear_ones) < len(found):
                title = f"### {system}: confidence, {CLEAR}"
                lines += [title, "", *confidence_lines(clear_ones), ""]
    failed = [
        f"- {system} {row.track['set']}/{row.track['id']}: {row.answer['error']}"
        for system, found in rows.items()
        for row in found
        if row.answer.get("error")
    ]
    return "\n".join([*lines, *(["### Failed", "", *failed] if failed else [])])


if __name__ == "__main__":
    main()
