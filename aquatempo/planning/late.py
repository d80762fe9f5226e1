"""A class that starts late: whole phrases dropped, from each part in proportion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from aquatempo.errors import InfeasibleError
from aquatempo.moves import Catalogue, catalogue
from aquatempo.planning.blocks.pieces import Piece, led
from aquatempo.planning.blocks.showing import jumps_high, with_showing
from aquatempo.planning.late_choice import KEPT_SHARES, choose_cuts, form_of, without_clashes
from aquatempo.planning.late_cuts import cuts_of, lessons_of
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.telling import closing_notes, minutes_of
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedTrack
from aquatempo.units import clock

__all__ = ["KEPT_SHARES", "trim_late"]


def trim_late(plan: ClassPlan, minutes: float, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan shorter by at least some minutes: songs end earlier or are left out.

    Whole phrases go, from the end of a song, from each part in proportion; warm-up and
    cool-down give half as much and keep at least 60 % of their length, the class ends as it ended,
    intervals lose whole sets, and no move is met varied that was not met plain. Raises
    InfeasibleError where so much cannot be dropped. source: the catalogue in force.
    """
    known = source or catalogue()
    here = known.at(plan.brief.depth)
    options = [cuts_of(plan, number, here) for number in range(len(plan.tracks))]
    lessons = lessons_of(plan, here)
    chosen = choose_cuts(plan, minutes, options, lessons)
    if chosen is None:
        most = minutes
        while most > 0 and choose_cuts(plan, most, options, lessons) is None:
            most -= 0.5
        raise InfeasibleError(
            [f"late by {minutes:g} minutes", f"a class of {minutes_of(plan.tracks):.0f} minutes"],
            f"Least change: late by {max(0.0, most):g} minutes at most, so that warm-up and "
            "cool-down keep 60 % of their length; beyond that plan a shorter class.",
        )
    palette = Palette(plan.brief, [track.tempo_bpm * track.speed for track in plan.tracks], known)
    chosen = without_clashes(plan, minutes, options, lessons, chosen, palette)
    cuts = [row[choice][0] for row, choice in zip(options, chosen, strict=True)]
    kept = [track for track in cuts if track is not None]
    led_anew = _with_leads(kept, plan, here)
    trimmed = with_showing(led_anew, plan.brief.jump_minutes, plan.brief.depth, here)
    jumped = _jumped(trimmed, plan, here)
    notes = dict.fromkeys(
        (
            *_what_changed(plan, minutes, trimmed, cuts),
            *closing_notes(plan.brief, trimmed, palette, jumped),
        )
    )
    shorter = replace(plan.brief, minutes=round(minutes_of(trimmed), 1))
    sets = {
        block.stint.number
        for track in trimmed
        for phrase in track.phrases
        for block in phrase.blocks
        if block.stint is not None and block.stint.number
    }
    if shorter.intervals is not None and sets:
        shorter = replace(shorter, intervals=replace(shorter.intervals, sets=len(sets)))
    return replace(plan, brief=shorter, tracks=trimmed, notes=tuple(notes))


def _what_changed(
    plan: ClassPlan,
    minutes: float,
    trimmed: Sequence[PlannedTrack],
    cuts: Sequence[PlannedTrack | None],
) -> list[str]:
    """Return the notes of a late class: what was dropped, and what still holds of the old."""
    dropped = minutes_of(plan.tracks) - minutes_of(trimmed)
    notes = [f"starts {minutes:g} minutes late: {dropped:.1f} minutes dropped in whole phrases"]
    for track, cut in zip(plan.tracks, cuts, strict=True):
        if cut is None:
            notes.append(f"{track.title}: left out")
        elif cut is not track:
            gone = len(track.phrases) - len(cut.phrases)
            seconds = minutes_of([cut]) * 60.0
            told = f"{gone} phrase{'s' if gone > 1 else ''} earlier" if gone else "earlier"
            notes.append(f"{track.title}: fade out {told}, after {clock(seconds)} from count 1")
    changed = {
        track.title for track, cut in zip(plan.tracks, cuts, strict=True) if cut is not track
    }
    stale = ("minutes in whole phrases", "minutes of jumps", "rights to play", "starts ")
    for note in plan.notes:
        title = note.partition(":")[0]
        if any(word in note for word in stale) or (title in changed and "fade out" in note):
            continue
        if title in changed and cuts[[t.title for t in plan.tracks].index(title)] is None:
            continue
        notes.append(note)
    return notes


def _jumped(tracks: Sequence[PlannedTrack], plan: ClassPlan, source: Catalogue) -> float:
    """Return how long big jumps last [min]."""
    return sum(
        block.counts / (track.tempo_bpm * track.speed)
        for track in tracks
        for phrase in track.phrases
        for block in phrase.blocks
        if jumps_high(form_of(block, plan, source))
    )


def _with_leads(
    tracks: Sequence[PlannedTrack], plan: ClassPlan, source: Catalogue
) -> list[PlannedTrack]:
    """Return tracks whose leads are shared out anew; what is told side by side stays."""
    apart = 0
    found = []
    for track in tracks:
        rows = []
        for phrase in track.phrases:
            both = len({block.lead for block in phrase.blocks if block.lead}) > 1
            stays = both or track.part == PartName.STRETCH.value or phrase.locked or track.locked
            rows.append([_piece(block, plan, source, keep=stays) for block in phrase.blocks])
        led_rows, apart = led(rows, apart)
        phrases = tuple(
            replace(
                phrase,
                blocks=tuple(
                    replace(old, lead=new.lead) for old, new in zip(phrase.blocks, row, strict=True)
                ),
            )
            for phrase, row in zip(track.phrases, led_rows, strict=True)
        )
        found.append(replace(track, phrases=phrases))
    return found


def _piece(block: Block, plan: ClassPlan, source: Catalogue, keep: bool) -> Piece:
    form = form_of(block, plan, source)
    one_side = any(factor == "sides" for factor, _ in block.variation)
    stays = keep or block.locked or one_side or form.move.kind is MoveKind.STRETCH
    return Piece(block.counts, form, block.lead if stays else "")
