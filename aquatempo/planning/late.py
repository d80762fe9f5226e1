"""A class that starts late: whole phrases dropped, from each part in proportion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from aquatempo.errors import InfeasibleError
from aquatempo.moves import Catalogue, catalogue, resolve, variation_of
from aquatempo.planning.blocks.pieces import Piece, led
from aquatempo.planning.blocks.showing import jumps_high, with_showing
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.solver.solving import Effort, minimise
from aquatempo.planning.songs.song import usable
from aquatempo.planning.telling import closing_notes, minutes_of
from aquatempo.planning.turns import first_counts
from aquatempo.records.moves import MoveForm, MoveKind
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedTrack
from aquatempo.units import clock

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["KEPT_SHARES", "trim_late"]

# How much of its length each part gives for one unit of the main part's, and how much of
# it stays (common practice, no source): every part gives, but the body still has to be
# warmed up and brought down again.
_GIVES = {
    PartName.MAIN: 1.0,
    PartName.INTERVALS: 0.8,
    PartName.STRETCH: 0.8,
    PartName.WARM_UP: 0.5,
    PartName.COOL_DOWN: 0.5,
}
KEPT_SHARES = {
    PartName.MAIN: 0.25,
    PartName.INTERVALS: 0.0,
    PartName.STRETCH: 0.5,
    PartName.WARM_UP: 0.6,
    PartName.COOL_DOWN: 0.6,
}
_OFF_SHARE = 4  # a tenth of a minute that a part gives more or less than its share
_TOUCHED = 8  # for each song that is cut: someone has to fade it out
_LEFT_OUT = 2  # for a song that is not played at all
_TOO_MUCH = 1  # a tenth of a minute that is dropped beyond what was asked
_WORK = 2.0
_UNTAUGHT = (MoveKind.HOLDING, MoveKind.STRETCH)
_SLOWED = {("tempo", "half"), ("level", "grounded"), ("level", "II")}
_TENTH = 0.1  # minutes; lengths are weighed in steps of it


def trim_late(plan: ClassPlan, minutes: float, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan shorter by at least some minutes: songs end earlier or are left out.

    Whole phrases go, from the end of a song, from each part in proportion; warm-up and
    cool-down give half as much and keep at least 60 % of their length, the class ends as it ended,
    intervals lose whole sets, and no move is met varied that was not met plain. Raises
    InfeasibleError where so much cannot be dropped. source: the catalogue in force.
    """
    known = source or catalogue()
    here = known.at(plan.brief.depth)
    chosen = _choose(plan, minutes, here)
    if chosen is None:
        most = minutes
        while most > 0 and _choose(plan, most, here) is None:
            most -= 0.5
        raise InfeasibleError(
            [f"late by {minutes:g} minutes", f"a class of {minutes_of(plan.tracks):.0f} minutes"],
            f"Least change: late by {max(0.0, most):g} minutes at most, so that warm-up and "
            "cool-down keep 60 % of their length; beyond that plan a shorter class.",
        )
    cuts = [_options(plan, number)[choice] for number, choice in enumerate(chosen)]
    kept = [track for track, _ in cuts if track is not None]
    led_anew = _with_leads(kept, plan, here)
    trimmed = with_showing(led_anew, plan.brief.jump_minutes, plan.brief.depth, here)
    palette = Palette(plan.brief, [track.tempo_bpm * track.speed for track in trimmed], known)
    jumped = _jumped(trimmed, plan, here)
    notes = dict.fromkeys(
        (
            *_what_changed(plan, minutes, trimmed, [track for track, _ in cuts]),
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
            told = f"{gone} phrase{'s' if gone != 1 else ''} earlier"
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
        if jumps_high(_form(block, plan, source))
    )


def _choose(plan: ClassPlan, minutes: float, source: Catalogue) -> tuple[int, ...] | None:
    """Return which of its options each track takes, None where so much cannot be dropped."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    options = [_options(plan, number) for number in range(len(plan.tracks))]
    taken = [[model.new_bool_var("") for _ in cuts] for cuts in options]
    gone: dict[str, list[cp_model.LinearExpr]] = {}
    costs: list[cp_model.LinearExpr] = []
    for track, cuts, row in zip(plan.tracks, options, taken, strict=True):
        model.add_exactly_one(row)
        lost = [tenths for _, tenths in cuts]
        gone.setdefault(track.part, []).append(cp_model.LinearExpr.weighted_sum(row, lost))
        prices = [_TOUCHED] * len(cuts)
        prices[0] = 0
        if cuts[-1][0] is None:
            prices[-1] = _LEFT_OUT
        costs.append(cp_model.LinearExpr.weighted_sum(row, prices))
    lengths = {
        part: minutes_of([track for track in plan.tracks if track.part == part]) for part in gone
    }
    weight = sum(_GIVES[PartName(part)] * length for part, length in lengths.items())
    for part, terms in gone.items():
        most = (1.0 - KEPT_SHARES[PartName(part)]) * lengths[part]
        dropped = cp_model.LinearExpr.sum(terms)
        model.add(dropped <= int(most / _TENTH))
        share = _GIVES[PartName(part)] * lengths[part] / weight if weight else 0.0
        wanted = round(min(most, share * minutes) / _TENTH)
        off = model.new_int_var(0, 10**5, "")
        model.add(off >= dropped - wanted)
        model.add(off >= wanted - dropped)
        costs.append(_OFF_SHARE * off)
    kept = _KeptPhrases(plan, options, taken)
    for needing, lessons in _lessons(plan, source):
        taught = cp_model.LinearExpr.sum([kept.expression(place) for place in lessons])
        model.add(taught >= kept.expression(needing))
    everything = cp_model.LinearExpr.sum([term for terms in gone.values() for term in terms])
    model.add(everything >= round(minutes / _TENTH))
    costs.append(_TOO_MUCH * everything)
    model.minimize(cp_model.LinearExpr.sum(costs))
    result = minimise(model, Effort(plan.brief.seed, _WORK))
    if result is None:
        return None
    _, solver = result
    return tuple(
        next(number for number, var in enumerate(row) if solver.boolean_value(var)) for row in taken
    )


class _KeptPhrases:
    """Which phrases stay, as sums over the options that keep them."""

    def __init__(
        self,
        plan: ClassPlan,
        options: Sequence[Sequence[tuple[PlannedTrack | None, int]]],
        taken: list[list[cp_model.IntVar]],
    ) -> None:
        self.plan, self.options, self.taken = plan, options, taken

    def expression(self, place: tuple[int, int]) -> cp_model.LinearExpr:
        """Return 1 where a phrase (track, phrase) stays, 0 where it goes."""
        from ortools.sat.python import cp_model

        number, index = place
        whole = self.plan.tracks[number].phrases[index]
        keeping = [
            var
            for var, (track, _) in zip(self.taken[number], self.options[number], strict=True)
            if track is not None and whole in track.phrases
        ]
        return cp_model.LinearExpr.sum(keeping)


def _lessons(
    plan: ClassPlan, source: Catalogue
) -> list[tuple[tuple[int, int], list[tuple[int, int]]]]:
    """Return phrases that need a move known, each with the phrases before that teach it.

    A phrase teaches a move that fills it as it stands; it needs it known where it starts
    varied or inside the phrase.
    """
    taught: dict[str, list[tuple[int, int]]] = {}
    found = []
    known = set(plan.brief.known_moves)
    for number, track in enumerate(plan.tracks):
        here: set[str] = set()
        for index, phrase in enumerate(track.phrases):
            moves = dict.fromkeys(block.move for block in phrase.blocks)
            for move in moves:
                if move in known or move in here or source.move(move).kind in _UNTAUGHT:
                    continue
                if len(moves) == 1 and set(phrase.blocks[0].variation) <= _SLOWED:
                    taught.setdefault(move, []).append((number, index))
                    here.add(move)
                elif move in taught:
                    found.append(((number, index), list(taught[move])))
    return found


def _options(plan: ClassPlan, number: int) -> list[tuple[PlannedTrack | None, int]]:
    """Return what is left of a track with 0, 1, 2 ... phrases fewer, and what goes [tenths].

    A song that is cut keeps at least half; the last option leaves it out. What is locked
    stays. The last track gives from within, so that the class ends as it ended.
    """
    track = plan.tracks[number]
    length = minutes_of([track])
    found: list[tuple[PlannedTrack | None, int]] = [(track, 0)]
    if track.locked or any(phrase.locked for phrase in track.phrases):
        return found
    if any(block.locked for phrase in track.phrases for block in phrase.blocks):
        return found
    last = number == len(plan.tracks) - 1
    for cut in _cuts(track, last):
        tenths = round((length - minutes_of([cut])) / _TENTH - 0.499)
        if tenths > found[-1][1]:
            found.append((cut, tenths))
    if not last:
        found.append((None, int(length / _TENTH)))
    return found


def _cuts(track: PlannedTrack, last: bool) -> list[PlannedTrack]:
    """Return a track with ever fewer phrases, at least half of it."""
    stints = any(block.stint is not None for phrase in track.phrases for block in phrase.blocks)
    if stints:
        return _fewer_sets(track)
    places = [index for index, phrase in enumerate(track.phrases) if usable(phrase)]
    found = []
    for number in range(1, len(places) // 2 + 1):
        if last:
            # The end is moved forward: the ending's blocks go where the song now stops.
            ending = track.phrases[-1]
            at = places[len(places) - number - 1]
            target = track.phrases[at]
            if target.counts != ending.counts:
                continue
            closed = replace(target, blocks=ending.blocks, section=ending.section)
            found.append(replace(track, phrases=(*track.phrases[:at], closed)))
        else:
            end = places[len(places) - number - 1] + 1
            found.append(replace(track, phrases=track.phrases[:end]))
    return found


def _fewer_sets(track: PlannedTrack) -> list[PlannedTrack]:
    """Return a track of intervals with ever fewer sets; the song stops where a set ends."""
    ends, at = [], 0
    flat = [block for phrase in track.phrases for block in phrase.blocks]
    for place, block in enumerate(flat):
        at += block.counts
        after = flat[place + 1].stint if place + 1 < len(flat) else None
        rests = block.stint is not None and not block.stint.works
        if rests and (after is None or after.works):
            ends.append(at)
    found = []
    for end in ends[-2::-1]:
        if end * 2 >= at:
            found.append(replace(track, phrases=first_counts(track.phrases, end)))
    return found


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


def _form(block: Block, plan: ClassPlan, source: Catalogue) -> MoveForm:
    move = source.move(block.move)
    return resolve(move, variation_of(move, block.variation, source), plan.brief.depth, source)


def _piece(block: Block, plan: ClassPlan, source: Catalogue, keep: bool) -> Piece:
    one_side = any(factor == "sides" for factor, _ in block.variation)
    stays = keep or block.locked or one_side
    return Piece(block.counts, _form(block, plan, source), block.lead if stays else "")
