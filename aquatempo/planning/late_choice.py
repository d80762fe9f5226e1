"""Which cuts a class that starts late takes: a constraint problem, and what it may not lead to."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, TypeAlias

from aquatempo.moves import Catalogue, resolve, variation_of
from aquatempo.planning.late_cuts import TENTH
from aquatempo.planning.late_rules import Carried, clashes
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.solver.solving import Effort, minimise
from aquatempo.planning.telling import minutes_of
from aquatempo.records.moves import MoveForm
from aquatempo.records.plan import Block, ClassPlan, PartName, PlannedTrack

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["KEPT_SHARES", "choose_cuts", "form_of", "without_clashes"]

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
_TRIES = 40  # of other cuts, where what then stands side by side does not do
_Cut: TypeAlias = tuple[PlannedTrack | None, int]
_Lesson: TypeAlias = tuple[tuple[int, int], list[tuple[int, int]]]


def without_clashes(
    plan: ClassPlan,
    minutes: float,
    options: Sequence[Sequence[_Cut]],
    lessons: Sequence[_Lesson],
    chosen: tuple[int, ...],
    palette: Palette,
) -> tuple[int, ...]:
    """Return other cuts where what then stands side by side is too long, too early or too light.

    Each clash is forbidden and the cuts are chosen anew; where that comes to no end, those cuts
    are taken that clash the least. chosen: the option of each track at first; plan, minutes,
    options, lessons: as in ``choose_cuts``; palette: what the moves of the class come to.
    """
    barred: list[dict[int, frozenset[int]]] = []
    best, fewest = chosen, math.inf
    for _ in range(_TRIES):
        cuts = [row[choice][0] for row, choice in zip(options, chosen, strict=True)]
        found = clashes(_done(plan, cuts, palette), plan.brief.depth)
        # What the class did before it was cut is not for the cuts to mend.
        mine = [one for one in found if any(chosen[track] for track in (*one.cut, one.track))]
        if len(mine) < fewest:
            best, fewest = chosen, len(mine)
        if not mine:
            break
        for one in mine:
            together = {track: frozenset((chosen[track],)) for track in one.cut}
            if one.track not in together:
                together[one.track] = frozenset(
                    number
                    for number, (cut, _) in enumerate(options[one.track])
                    if cut is not None and len(cut.phrases) >= one.phrases
                )
            barred.append(together)
        again = choose_cuts(plan, minutes, options, lessons, barred)
        if again is None:
            break
        chosen = again
    return best


def _done(plan: ClassPlan, cuts: Sequence[PlannedTrack | None], palette: Palette) -> list[Carried]:
    """Return all that a class does that is cut so."""
    found = []
    for number, track in enumerate(cuts):
        if track is None:
            continue
        tempo = track.tempo_bpm * track.speed
        places = [(at, block) for at, one in enumerate(track.phrases) for block in one.blocks]
        forms = [form_of(block, plan, palette.source) for _, block in places]
        for (at, block), rated in zip(places, palette.rate(forms, tempo), strict=True):
            phrase = track.phrases[at]
            what = track.part, phrase.kind, phrase.energy_level
            found.append(Carried(number, at, *what, rated, 60.0 * block.counts / tempo))
    return found


def choose_cuts(
    plan: ClassPlan,
    minutes: float,
    options: Sequence[Sequence[_Cut]],
    lessons: Sequence[_Lesson],
    barred: Sequence[Mapping[int, frozenset[int]]] = (),
) -> tuple[int, ...] | None:
    """Return which of its options each track takes, None where so much cannot be dropped.

    plan: the class; minutes: to be dropped; options: of each track, what is left of it and what
    goes [tenths of a minute]; lessons: phrases that need one of others; barred: options by track
    that are not to be taken all together.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
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
        model.add(dropped <= int(most / TENTH))
        share = _GIVES[PartName(part)] * lengths[part] / weight if weight else 0.0
        wanted = round(min(most, share * minutes) / TENTH)
        off = model.new_int_var(0, 10**5, "")
        model.add(off >= dropped - wanted)
        model.add(off >= wanted - dropped)
        costs.append(_OFF_SHARE * off)
    kept = _KeptPhrases(plan, options, taken)
    for needing, teaching in lessons:
        taught = cp_model.LinearExpr.sum([kept.expression(place) for place in teaching])
        model.add(taught >= kept.expression(needing))
    for together in barred:
        parts = [taken[track][option] for track, some in together.items() for option in some]
        model.add(cp_model.LinearExpr.sum(parts) <= len(together) - 1)
    everything = cp_model.LinearExpr.sum([term for terms in gone.values() for term in terms])
    model.add(everything >= round(minutes / TENTH))
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
        options: Sequence[Sequence[_Cut]],
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


def form_of(block: Block, plan: ClassPlan, source: Catalogue) -> MoveForm:
    """Return the form that a block of a plan carries. source: the catalogue in force."""
    move = source.move(block.move)
    return resolve(move, variation_of(move, block.variation, source), plan.brief.depth, source)
