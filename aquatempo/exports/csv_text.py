"""Cue timelines as comma-separated values (RFC 4180), one call a row."""

from __future__ import annotations

from aquatempo.exports.csv_cells import csv_text
from aquatempo.exports.stints import change_under_way, stint_ends_s
from aquatempo.records.cues import CueTimeline
from aquatempo.records.plan import Stint

__all__ = ["CUE_COLUMNS", "cue_csv"]

CUE_COLUMNS = (
    "time_s", "end_s", "beat", "count", "phrase", "phrase_kind", "kind", "words", "sign",
    "change", "move", "name", "variation", "pattern", "lead", "mirrored_lead", "level", "travel",
    "origin", "stint", "set", "sets", "stint_s", "left_s",
)  # fmt: skip


def cue_csv(timeline: CueTimeline) -> str:
    """Return one row a call with the change it leads to; times in seconds to the millisecond.

    left_s is what is left of the turn of work or rest that is under way. Columns have the names
    of the JSON keys; beat, phrase and change count from 0.
    """
    rows: list[tuple[object, ...]] = []
    ends_s = stint_ends_s(timeline.changes)
    for cue in timeline.cues:
        change = timeline.changes[cue.change]
        running = change_under_way(cue)
        turns = running >= 0 and timeline.changes[running].stint is not None
        left = f"{max(0.0, ends_s[running] - cue.time_s):.1f}" if turns else ""
        kind = timeline.phrases[cue.phrase].kind if cue.phrase >= 0 else ""
        rows.append(
            (
                f"{cue.time_s:.3f}", f"{cue.end_s:.3f}", cue.beat, cue.count, cue.phrase, kind,
                cue.kind, cue.words, cue.sign, cue.change, change.move, change.name,
                "; ".join(f"{factor}={option}" for factor, option in change.variation),
                change.pattern, change.lead, change.mirrored_lead, change.level, change.travel,
                cue.origin, *_stint(change.stint), left,
            )
        )  # fmt: skip
    return csv_text(CUE_COLUMNS, rows)


def _stint(stint: Stint | None) -> tuple[object, ...]:
    if stint is None:
        return ("", "", "", "")
    return ("work" if stint.works else "rest", stint.number, stint.of, f"{stint.seconds:g}")
