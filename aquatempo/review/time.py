"""Whether a class fits its time, its tempos and its songs."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.class_shape.parts import class_shape
from aquatempo.records.plan import Brief, PlannedTrack
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan, finding
from aquatempo.units import percent

__all__ = ["class_length", "songs"]

OVER_MINUTES = 1.0
UNDER_SHARE = 0.1
_TEMPO_SLACK_BPM = 0.5  # what is heard is not sharper than this
_ROUNDING = 1e-6


def class_length(reading: ReadPlan) -> Iterator[Finding]:
    """Yield a class that takes more or less time than its brief gives it."""
    wanted, found = reading.brief.minutes, reading.minutes
    if found > wanted + OVER_MINUTES:
        over = next((s for s in reading.spots if s.minute + s.minutes > wanted), None)
        yield finding(
            *(Fault.OVER_TIME, Severity.WARNING, over),
            f"the class takes {found:.1f} minutes, {found - wanted:.1f} more than {wanted:g}",
            "drop whole phrases, those of the main part first",
        )
    elif found < wanted * (1.0 - UNDER_SHARE):
        yield finding(
            *(Fault.UNDER_TIME, Severity.ADVICE, None),
            f"the class takes {found:.1f} of {wanted:g} minutes",
            "add a track, or ask for fewer minutes",
        )


def songs(reading: ReadPlan) -> Iterator[Finding]:
    """Yield tracks played outside their part's tempo, or changed in speed too far."""
    brief, unusual = reading.brief, []
    wanted = {part.name.value: part for part in class_shape(brief)}
    for number, track in enumerate(reading.plan.tracks, 1):
        tempo, part = track.tempo_bpm * track.speed, wanted.get(track.part)
        if part is not None and _off_bpm(tempo, part.tempo_bpm) > _TEMPO_SLACK_BPM:
            low, high = part.tempo_bpm
            words = f"track {number} is played at {tempo:.0f} bpm, {track.part}"
            if part.own_range:
                yield _off_tempo(Severity.WARNING, number, f"{words} is {low:.0f} to {high:.0f}")
            elif not _asked_for(track, brief):
                unusual.append((number, f"{words} is usually {low:.0f} to {high:.0f}"))
        yield from _speed(number, track, brief)
    if unusual:  # a habit and not the brief's own line: told once
        yield _off_tempo(Severity.ADVICE, unusual[0][0], "; ".join(words for _, words in unusual))


def _asked_for(track: PlannedTrack, brief: Brief) -> bool:
    """Return whether the brief wants this song in this part, whatever its tempo."""
    names = (track.title, track.file, track.file.rpartition("/")[2])
    return any(one.title in names and one.part == track.part for one in brief.songs)


def _off_bpm(tempo_bpm: float, span_bpm: tuple[float, float]) -> float:
    """Return by how much a tempo lies outside a range [beats/min]."""
    return max(span_bpm[0] - tempo_bpm, tempo_bpm - span_bpm[1], 0.0)


def _off_tempo(severity: Severity, number: int, reason: str) -> Finding:
    remedy = "change the tempo option or the move, or take another song"
    return Finding(Fault.TEMPO, severity, number, 0, 0, reason, remedy)


def _speed(number: int, track: PlannedTrack, brief: Brief) -> Iterator[Finding]:
    change = track.speed - 1.0
    words = f"played {100 * change:+.1f} %"
    if abs(change) > brief.most_speed + _ROUNDING:
        yield Finding(
            *(Fault.SPEED, Severity.ERROR, number, 0, 0),
            f"{words}: more than {percent(brief.most_speed)} spoils a song",
            "change the tempo option or the move first, or take another song",
        )
    elif abs(change) > brief.free_speed + _ROUNDING:
        reasoned = bool(track.speed_reason)
        yield Finding(
            *(Fault.SPEED, Severity.ADVICE if reasoned else Severity.WARNING, number, 0, 0),
            f"{words}, which is heard ({track.speed_reason or 'no reason is given'})",
            f"stay within {percent(brief.free_speed)}, or say why",
        )
