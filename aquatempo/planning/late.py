"""A class that starts late: whole phrases dropped, what matters least first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from aquatempo.errors import InfeasibleError
from aquatempo.moves import Catalogue, catalogue, resolve, variation_of
from aquatempo.planning.blocks.pieces import Piece, led
from aquatempo.planning.blocks.showing import with_showing
from aquatempo.planning.solver.solving import Effort, minimise
from aquatempo.planning.songs.song import usable
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedPhrase, PlannedTrack

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["KEPT_SHARES", "trim_late"]

# Which part gives first, and how much of each part stays (common practice, no source): the
# body still has to be warmed up and brought down again.
_PRICES = {
    PartName.MAIN: 2,
    PartName.INTERVALS: 3,
    PartName.STRETCH: 4,
    PartName.WARM_UP: 6,
    PartName.COOL_DOWN: 6,
}
KEPT_SHARES = {
    PartName.MAIN: 0.25,
    PartName.INTERVALS: 0.0,
    PartName.STRETCH: 0.5,
    PartName.WARM_UP: 0.6,
    PartName.COOL_DOWN: 0.6,
}
_TOUCHED = 8  # for each song that is cut: someone has to fade it out
_LEFT_OUT = 4  # for a song that is not played at all
_WORK = 2.0
_UNTAUGHT = (MoveKind.HOLDING, MoveKind.STRETCH)
_SLOWED = {("tempo", "half")}
_TENTH = 0.1  # minutes; lengths are weighed in steps of it


def trim_late(plan: ClassPlan, minutes: float, source: Catalogue | None = None) -> ClassPlan:
    """Return a plan shorter by at least some minutes: songs end earlier or are left out.

    Whole phrases go, from the end of a song. The main part gives first, then intervals and
    stretch; warm-up and cool-down keep at least 60 % of their length, and no move is met varied
    that was not met plain. Raises InfeasibleError where so much cannot be dropped. source: the
    catalogue in force (None: the packaged one).
    """
    known = source or catalogue()
    chosen = _choose(plan, minutes, known)
    if chosen is None:
        most = minutes
        while most > 0 and _choose(plan, most, known) is None:
            most -= 0.5
        raise InfeasibleError(
            [f"late by {minutes:g} minutes", f"a class of {_minutes(plan.tracks):.0f} minutes"],
            f"Least change: late by {max(0.0, most):g} minutes at most, so that warm-up and "
            "cool-down keep 60 % of their length; beyond that plan a shorter class.",
        )
    kept = [_cut(track, number) for track, number in zip(plan.tracks, chosen, strict=True)]
    tracks = [track for track in kept if track is not None]
    led_anew = _with_leads(tracks, plan, known)
    trimmed = with_showing(led_anew, plan.brief.jump_minutes, plan.brief.depth, known)
    dropped = _minutes(plan.tracks) - _minutes(trimmed)
    notes = [f"starts {minutes:g} minutes late: {dropped:.1f} minutes dropped in whole phrases"]
    for track, number in zip(plan.tracks, chosen, strict=True):
        if number and _cut(track, number) is None:
            notes.append(f"{track.title}: left out")
        elif number:
            notes.append(f"{track.title}: fade out {number} phrases earlier")
    return replace(plan, tracks=trimmed, notes=(*notes, *plan.notes))


def _choose(plan: ClassPlan, minutes: float, source: Catalogue) -> tuple[int, ...] | None:
    """Return how many phrases each track loses, past its options for all of it."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    options = [_options(track) for track in plan.tracks]
    taken = [[model.new_bool_var("") for _ in cuts] for cuts in options]
    gone: dict[str, list[cp_model.LinearExpr]] = {}
    costs: list[cp_model.LinearExpr] = []
    for track, cuts, row in zip(plan.tracks, options, taken, strict=True):
        model.add_exactly_one(row)
        gone.setdefault(track.part, []).append(cp_model.LinearExpr.weighted_sum(row, cuts))
        prices = [_PRICES[PartName(track.part)] * cut + _TOUCHED for cut in cuts]
        prices[0] = 0
        prices[-1] += _LEFT_OUT - _TOUCHED
        costs.append(cp_model.LinearExpr.weighted_sum(row, prices))
    for part, terms in gone.items():
        lengths = _minutes([track for track in plan.tracks if track.part == part])
        most = (1.0 - KEPT_SHARES[PartName(part)]) * lengths
        model.add(cp_model.LinearExpr.sum(terms) <= int(most / _TENTH))
    kept = _KeptPhrases(plan, taken)
    for needing, lessons in _lessons(plan, source):
        taught = cp_model.LinearExpr.sum([kept.expression(place) for place in lessons])
        model.add(taught >= kept.expression(needing))
    everything = [term for terms in gone.values() for term in terms]
    model.add(cp_model.LinearExpr.sum(everything) >= round(minutes / _TENTH))
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

    def __init__(self, plan: ClassPlan, taken: list[list[cp_model.IntVar]]) -> None:
        self.plan, self.taken = plan, taken

    def expression(self, place: tuple[int, int]) -> cp_model.LinearExpr:
        """Return 1 where a phrase (track, phrase) stays, 0 where it goes."""
        from ortools.sat.python import cp_model

        number, index = place
        track, row = self.plan.tracks[number], self.taken[number]
        keeping = [row[0]]
        for cut in range(1, len(row) - 1):
            if index < len(_cut_at(track, cut)):
                keeping.append(row[cut])
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


def _options(track: PlannedTrack) -> list[int]:
    """Return what goes [tenths of a minute] with 0, 1, 2 ... phrases fewer, and with all.

    A song that is cut keeps at least half; the last option leaves it out.
    """
    whole = sum(usable(phrase) for phrase in track.phrases)
    length = _minutes([track])
    cuts = [
        length - _minutes([replace(track, phrases=_cut_at(track, number))])
        for number in range(1, whole // 2 + 1)
    ]
    return [0, *(int(cut / _TENTH) for cut in cuts), int(length / _TENTH)]


def _cut(track: PlannedTrack, number: int) -> PlannedTrack | None:
    """Return a track with some phrases fewer, None where it is left out."""
    whole = sum(usable(phrase) for phrase in track.phrases)
    if number == 0:
        return track
    if number > whole // 2:
        return None
    return replace(track, phrases=_cut_at(track, number))


def _cut_at(track: PlannedTrack, number: int) -> tuple[PlannedPhrase, ...]:
    places = [index for index, phrase in enumerate(track.phrases) if usable(phrase)]
    return track.phrases[: places[len(places) - number - 1] + 1]


def _minutes(tracks: Sequence[PlannedTrack]) -> float:
    return sum(
        phrase.counts / (track.tempo_bpm * track.speed)
        for track in tracks
        for phrase in track.phrases
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
            stretch = track.part == PartName.STRETCH.value
            rows.append(
                [_piece(block, plan, source, keep=both or stretch) for block in phrase.blocks]
            )
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
    move = source.move(block.move)
    form = resolve(move, variation_of(move, block.variation, source), plan.brief.depth, source)
    return Piece(block.counts, form, block.lead if keep else "")
