"""When a hearing is sure enough to teach from, and what to do where it is not.

One threshold for all: what listens, checks, plans and shows asks here.
"""

from __future__ import annotations

from aquatempo.records.rhythm import RhythmAnalysis

__all__ = ["SURE", "doubt_of", "is_sure"]

SURE = 0.8  # of tempo and count 1; tracks half a beat off stay below it (docs/rhythm.md)
LEAST_ODDS = 0.02
SAME_TEMPO = 0.01


def is_sure(analysis: RhythmAnalysis) -> bool:
    """Tell whether tempo and count 1 can be relied on without listening."""
    return analysis.confidence >= SURE


def doubt_of(analysis: RhythmAnalysis, file: str) -> str:
    """Return what is doubtful about a track and how to settle it, or "" where it is sure.

    analysis: after corrections; file: path of the track, for the command.
    """
    tempo_bpm = analysis.tempo_bpm
    if tempo_bpm is None or is_sure(analysis):
        return ""
    name = f'"{file}"' if " " in file else file
    if analysis.tempo_confidence >= SURE:
        return (
            f"not sure of count 1 ({analysis.confidence:.0%}): listen, and if it is off, move it: "
            f"aquatempo correct {name} --shift 2 (beats), or --count-one with its time"
        )
    rivals = [
        other
        for other in analysis.tempo_alternatives
        if other.odds >= LEAST_ODDS and abs(other.tempo_bpm / tempo_bpm - 1) > SAME_TEMPO
    ]
    other_bpm = max(rivals, key=lambda other: other.odds).tempo_bpm if rivals else 0.0
    if not rivals:
        other_bpm = tempo_bpm * (0.5 if tempo_bpm > 110 else 2.0)
    ratio = other_bpm / tempo_bpm
    ways = {0.5: ("half", "--half"), 2.0: ("double", "--double")}
    word, option = next(
        (way for plain, way in ways.items() if abs(ratio / plain - 1) < SAME_TEMPO),
        ("rather", f"--tempo {other_bpm:.1f}"),
    )
    question = f"{tempo_bpm:.0f} or {word} {other_bpm:.0f}?"
    if word == "double":
        question = f"half {tempo_bpm:.0f} or double {other_bpm:.0f}?"
    elif word == "half":
        question = f"half {other_bpm:.0f} or double {tempo_bpm:.0f}?"
    return (
        f"not sure of the tempo ({analysis.tempo_confidence:.0%}): {question} It is counted at "
        f"{tempo_bpm:.0f}; if that is wrong: aquatempo correct {name} {option}"
    )
