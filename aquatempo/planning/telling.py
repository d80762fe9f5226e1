"""What a plan says of itself at the end: time, jumps, fillers, notes, equipment, rights."""

from __future__ import annotations

from collections.abc import Sequence

from aquatempo.planning.blocks.showing import shown
from aquatempo.planning.moves.palette import Palette
from aquatempo.records.people import ClassDepth
from aquatempo.records.plan import Brief, PlannedTrack

__all__ = ["WHOLE_ONCE", "closing_notes", "minutes_of", "whole_once"]

WHOLE_ONCE = "tracks is played whole, once"


def minutes_of(tracks: Sequence[PlannedTrack]) -> float:
    """Return how long some tracks last as played [min]."""
    return sum(
        phrase.counts / (track.tempo_bpm * track.speed)
        for track in tracks
        for phrase in track.phrases
    )


def whole_once(tracks: int) -> str:
    """Return the note of a class that lasts as long as its tracks."""
    return f"each of the {tracks} {WHOLE_ONCE}: the class lasts as long as they do"


def closing_notes(
    brief: Brief, tracks: Sequence[PlannedTrack], palette: Palette, jumped: float
) -> list[str]:
    """Return the notes that close a plan. jumped: minutes of big jumps [min].

    brief: what was asked; tracks: the songs, in order; palette: what the class may do here.
    """
    minutes = minutes_of(tracks)
    notes = [f"{minutes:.1f} minutes in whole phrases; {brief.minutes:g} were asked for"]
    if jumped:
        full = shown(tracks, brief.depth, palette.source)
        notes.append(
            f"{jumped:.1f} minutes of jumps, {full:.1f} of them shown in full on deck"
            f" (limit {brief.jump_minutes:g})"
        )
    notes += palette.limits.cautions
    if brief.depth is ClassDepth.DEEP:
        notes.append("a flotation belt for everyone, also who swims well")
    if brief.equipment:
        notes.append(f"equipment ({', '.join(brief.equipment)}) is not counted in the figures")
    notes.append("rights to play, copy and edit music differ by place: check each track")
    return notes
