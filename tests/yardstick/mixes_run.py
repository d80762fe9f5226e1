"""How tempo by section, splices and restarts of the phrase count are heard in the mixes.

cd tests && python -m yardstick.mixes_run [--stored] [--only NAME]
"""

from __future__ import annotations

import argparse
import json

from .calls import TOOL, Answer, call
from .layout import ANSWERS, Truth, load_tracks
from .tables import percent, scored

SPLICE_S = 4.0
"""A splice counts as found where a section starts within this, about eight counts."""
NEAR_BPM = 0.3


def share_right(truth: Truth, answer: Answer) -> float:
    """Return the share of time in which the section's tempo is within ``NEAR_BPM``."""
    right = 0.0
    for true in truth["tempo_sections"]:
        for heard in answer.get("tempo_sections") or ():
            start = max(true["start_s"], heard["start_s"])
            stop = min(true["end_s"], heard["end_s"])
            if stop > start and abs(true["tempo_bpm"] - heard["tempo_bpm"]) <= NEAR_BPM:
                right += stop - start
    sections = truth["tempo_sections"]
    return right / float(sections[-1]["end_s"] - sections[0]["start_s"])


def changes_found(truth: Truth, answer: Answer) -> tuple[int, int, int]:
    """Return (changes of tempo found, there, heard)."""
    there = [section["start_s"] for section in truth["tempo_sections"][1:]]
    heard = [section["start_s"] for section in (answer.get("tempo_sections") or ())[1:]]
    found = sum(any(abs(time - other) <= SPLICE_S for other in heard) for time in there)
    return found, len(there), len(heard)


def restarts_found(truth: Truth, answer: Answer) -> tuple[int, int]:
    """Return (splices at which a phrase starts within half a beat, splices)."""
    starts = [phrase["start_s"] for phrase in answer.get("phrases") or ()]
    window = 30 / truth["tempo_bpm"]
    hits = sum(any(abs(time - start) <= window for start in starts) for time in truth["splices_s"])
    return hits, len(truth["splices_s"])


def main() -> None:
    """Print one line a mix."""
    parser = argparse.ArgumentParser(description="Score the mixes.")
    parser.add_argument("--stored", action="store_true", help="use stored answers")
    parser.add_argument("--only", default="", help="mixes whose name has this in it")
    asked = parser.parse_args()
    print(
        "| mix | min | beat F | downbeat F | phrase F | time at the right tempo "
        "| tempo changes found (there, heard) | phrases restart at splices | s | peak MB |"
    )
    print("|---" * 10 + "|")
    for track in load_tracks(("mixes",)):
        if asked.only not in track["id"]:
            continue
        file = ANSWERS / TOOL / "mixes" / f"{track['id']}.json"
        if asked.stored and file.exists():
            answer = json.loads(file.read_text())
        else:
            answer = call(TOOL, track["audio"])
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(json.dumps(answer))
        score = scored(track, answer).score
        found, there, heard = changes_found(track, answer)
        hits, splices = restarts_found(track, answer)
        cells = (
            track["id"],
            f"{track['duration_s'] / 60:.1f}",
            percent(score.beat_f),
            percent(score.downbeat_f),
            percent(score.phrase_f),
            percent(share_right(track, answer)),
            f"{found} ({there}, {heard})",
            f"{hits} of {splices}",
            f"{answer['wall_s']:.1f}",
            f"{answer['peak_mb']:.0f}",
        )
        print(f"| {' | '.join(cells)} |" + (f" {answer['error']}" if answer.get("error") else ""))


if __name__ == "__main__":
    main()
