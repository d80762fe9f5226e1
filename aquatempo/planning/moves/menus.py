"""Which forms of a move there are to choose from: plain, learned, new, and put together.

Weights are common practice and judgement, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from aquatempo.class_shape.parts import GENTLE_PARTS, SLOW_PARTS
from aquatempo.class_shape.standards import VARIATIONS
from aquatempo.class_shape.themes import factor_weight
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.offers import EASIER
from aquatempo.planning.moves.palette import Palette, Rated, hops, jumps
from aquatempo.records.brief import Experience
from aquatempo.records.moves import Factor, ImpactLevel, Move, MoveForm, MoveKind, Plane
from aquatempo.records.plan import Block, BuildWay, PartName

__all__ = [
    "OFF",
    "VIGOROUS",
    "Taste",
    "alone",
    "changed_factors",
    "changes_beyond",
    "goes_across",
    "menu",
    "taste_of",
]

VIGOROUS = 4.0  # drive of a class that works at RPE 14 and more
OFF = 4.0  # a phrase and point of effort off what is wanted
MOST_NEW = 6  # new forms of a move to choose from in a song
MOST_LAYERED = 4
_MOST_DRIVEN = 8  # for a class that works hard
_OF_A_PAIR = 2  # forms with the same two factors: the others have their turn
_PARTNERS, _WITH = 4, "with-"  # the moves that the class knows best may be combined with others
_NEW_TO_LAYER = 3  # of the new forms, so many may be put together with others
_FAR_RPE = 1.5  # where single changes stay further below what is wanted, two at a time help
_WARM_RPE = 12.0  # a warm-up that has to rise above may end large, and on the beat
_SLOW_BPM = 80.0  # where the counts are slow already, tempo is not slowed further
_USED = 2  # for each other move that has this option already: the class has seen it
_THEME = 5
_TURN_ROUND = 6  # a change of direction for groups that should have few
# Dearer than effort says, as they ask for space, balance or an ear, or cheaper, as they
# change more than they cost (common practice, no source).
_DEMANDING = {
    (Factor.LEVEL, "III"): 5,
    (Factor.LEVEL, "power"): 5,
    (Factor.TRAVEL, "back"): 4,
    (Factor.TURN, "half"): 5,
    (Factor.TURN, "quarter"): 3,
    (Factor.TURN, "torso"): 2,
    (Factor.TEMPO, "build"): 6,
    (Factor.TEMPO, "hold"): 4,
    (Factor.TEMPO, "bounce"): 3,
    (Factor.TEMPO, "mixed"): 3,
    (Factor.COMBINATION, ""): 8,
    (Factor.RANGE, "small"): 6,
    (Factor.RANGE, "large"): 0,
    (Factor.TRAVEL, "forward"): 0,
    (Factor.TRAVEL, "sideways"): 1,
    (Factor.TRAVEL, "in-place"): 6,
    (Factor.ARMS, "still"): 5,
    (Factor.HANDS, "fist"): 4,
    (Factor.HANDS, "slice"): 6,
    (Factor.ARM_SYMMETRY, ""): 2,
    (Factor.ARM_SYMMETRY, "one"): 4,
}
# What a hard class is made of beside speed: it costs nothing extra, and the rare ones are to come.
_HARD_WAYS = ((Factor.LEVEL, "power"), (Factor.LEVEL, "III"), (Factor.TEMPO, "land"),
              (Factor.HANDS, "open"), (Factor.TRAVEL, "forward"),
              (Factor.TRAVEL, "sideways"))  # fmt: skip
_RARE = (Factor.LEVEL,)
# A phrase of them, up to so many, until they have come in so many: a chorus that brings one is
# worth it, a single phrase of a verse is not.
_STILL_TO_COME, _PHRASES_TO_COME, _COMES_OFTEN = 8, 3, 3
# A move of the side goes to the side, one of before and behind forward or back; up and down goes
# nowhere. Where the theme is travel, anything may go anywhere.
_ACROSS = {
    Plane.FRONTAL: ("forward", "back"),
    Plane.SAGITTAL: ("sideways",),
    Plane.VERTICAL: ("forward", "back", "sideways"),
}
_NOT_GENTLE = ((Factor.LEVEL, "power"), (Factor.LEVEL, "III"), (Factor.TEMPO, "land"),
              (Factor.TEMPO, "build"), (Factor.TEMPO, "quick-recover"),
              (Factor.RANGE, "large"))  # fmt: skip
_LATE_IN_WARM_UP = ((Factor.TEMPO, "land"), (Factor.RANGE, "large"))
_STILL = ((Factor.TEMPO, "hold"), (Factor.TEMPO, "recover"))  # not where the class is to work


@dataclass(frozen=True)
class Taste:
    """What the part, the group and the way of building ask of forms.

    follow: (phrase, offset) -> the block of another plan that this one follows. drive: how
    much more it costs to stay below the effort wanted than to go above. firm: least and most
    share of the main part at medium impact.
    """

    part: PartName
    way: BuildWay
    experience: Experience
    themes: tuple[str, ...] = ()
    calm: bool = False
    jumps_allowed: bool = False
    hop_cost: int = 0
    hop_room: float = 0.0
    follow: Mapping[tuple[int, int], Block] | None = None
    drive: float = 1.0
    firm: tuple[float, float] = (0.0, 1.0)

    @property
    def vigorous(self) -> bool:
        """Whether a trained group works hard here: three things at a time, all ways of working."""
        return self.drive >= VIGOROUS and self.experience is Experience.TRAINED


def menu(
    palette: Palette,
    start: Rated,
    tempo_bpm: float,
    ledger: Ledger,
    taste: Taste,
    wanted: float,
) -> list[Rated]:
    """Return the forms of a move to choose from: the start form, what is learned, what is new.

    wanted: the effort that it is varied towards [Borg]. palette: what the class may do here;
    tempo_bpm: as played [beats/min]; ledger: what the class has done so far; taste: what the
    part and the group ask.
    """
    move = start.form.move
    if move.kind in (MoveKind.HOLDING, MoveKind.STRETCH):
        return [start]
    base = start.form.variation.changes
    rises = taste.drive > 1.0 and wanted > start.rpe + _FAR_RPE / 3.0
    fits = _worth_rating(move, ledger, taste, rises)
    singles = {
        rated.form: rated
        for rated in palette.forms_of(palette.source.move(move.key), tempo_bpm, start.form, fits)
        if rated.form != start.form and _suits(rated, start, tempo_bpm, taste, wanted)
    }
    learned = _learned(palette, start, tempo_bpm, ledger, taste, wanted)
    lately = [one for one in learned if alone(one, base) and not _from_before(one, ledger)]
    room = VARIATIONS[taste.experience] - len({one.form.variation for one in lately})
    fresh = sorted(
        (rated for form, rated in singles.items() if form not in {one.form for one in learned}),
        key=lambda rated: _liking(rated, start, ledger, taste, wanted),
    )
    varied: dict[Factor, int] = {}
    new: list[Rated] = []
    for rated in fresh:
        factor = changes_beyond(rated, base)[0][0]
        if varied.get(factor, 0) < 2 and len(new) < (MOST_NEW if room > 0 else 0):
            varied[factor] = varied.get(factor, 0) + 1
            new.append(rated)
    found = [start, *learned, *new]
    single = [one for one in [*learned, *new[:_NEW_TO_LAYER]] if alone(one, base)]
    layered = palette.layered(start.form, single, tempo_bpm)
    if wanted - max(one.rpe for one in [start, *single]) > _FAR_RPE:
        layered = list(
            {
                one.form: one
                for one in [*layered, *palette.strong(start.form, tempo_bpm, taste.vigorous)]
            }.values()
        )
    layered = [one for one in layered if _suits(one, start, tempo_bpm, taste, wanted)]
    layered.sort(key=lambda rated: abs(rated.rpe - wanted))
    have = {frozenset(one.form.variation.changes) for one in found}  # in whatever order
    known = len(found)
    pairs: dict[frozenset[Factor], int] = {}
    for one in layered:
        factors = frozenset(factor for factor, _ in changes_beyond(one, base))
        pairs[factors] = pairs.get(factors, 0) + 1
        told = frozenset(one.form.variation.changes)
        if told not in have and pairs[factors] <= _OF_A_PAIR:
            have.add(told)
            found.append(one)
    return found[: known + (_MOST_DRIVEN if taste.drive > 1.0 else MOST_LAYERED)]


def _worth_rating(
    move: Move, ledger: Ledger, taste: Taste, rises: bool
) -> Callable[[tuple[Factor, str]], bool]:
    """Return which changes may come: none that holds still, no partner that is not well known.

    Where a class is to work harder than with the plain move (rises), nothing that makes it easier
    is looked at: no plan would take it, and each verdict takes its time.
    """
    others = [key for key in ledger.known if key != move.key]
    near = sorted(others, key=lambda key: (-ledger.phrases[key], key))[:_PARTNERS]
    barred = () if taste.part in SLOW_PARTS or "balance" in taste.themes else _STILL
    barred = (*barred, *(EASIER if rises else ()))

    def fits(change: tuple[Factor, str]) -> bool:
        if goes_across(move, change, taste.themes):
            return False
        if change[0] is Factor.COMBINATION:
            return change[1].removeprefix(_WITH) in near
        return change not in barred

    return fits


def changes_beyond(rated: Rated, base: Sequence[tuple[Factor, str]]) -> list[tuple[Factor, str]]:
    """Return what a form changes beyond the changes of its start, base; its level for none.

    rated: the form.
    """
    return [change for change in rated.form.variation.changes if change not in base] or [
        (Factor.LEVEL, rated.form.level.value)
    ]


def alone(rated: Rated, base: Sequence[tuple[Factor, str]]) -> bool:
    """Return whether a form changes one thing beyond the changes of its start, base.

    rated: the form.
    """
    return len(changes_beyond(rated, base)) == 1


def _from_before(rated: Rated, ledger: Ledger) -> bool:
    """Return whether a form was learned in an earlier class."""
    changes = tuple((factor.value, key) for factor, key in rated.form.variation.changes)
    return (rated.form.move.key, changes) in ledger.old


def _learned(
    palette: Palette,
    start: Rated,
    tempo_bpm: float,
    ledger: Ledger,
    taste: Taste,
    wanted: float,
) -> list[Rated]:
    """Return the forms of a move that the class has learned and that fit here."""
    base, move = start.form.variation.changes, palette.source.move(start.form.move.key)
    forms = []
    for changes in ledger.learned(move.key):
        pairs = tuple((Factor(factor), key) for factor, key in changes)
        more = tuple(
            change for change in pairs if change not in base and change[0] is not Factor.SIDES
        )
        if more and not any(f in {factor for factor, _ in base} for f, _ in more):
            forms.append(palette.form(move, (*base, *more)))
    rated = palette.rate(list(dict.fromkeys(forms)), tempo_bpm)
    return [
        one
        for one in rated
        if one.allowed and one.form != start.form and _suits(one, start, tempo_bpm, taste, wanted)
    ]


def _suits(rated: Rated, start: Rated, tempo_bpm: float, taste: Taste, wanted: float) -> bool:
    """Return whether a form has its place in the part."""
    changes = changes_beyond(rated, start.form.variation.changes)
    barred = set(_NOT_GENTLE)
    if taste.part is PartName.WARM_UP and wanted >= _WARM_RPE:
        barred -= set(_LATE_IN_WARM_UP)
    if taste.part in GENTLE_PARTS and any(change in barred for change in changes):
        return False
    if taste.part in (PartName.MAIN, PartName.INTERVALS):
        if any(change in _STILL for change in changes) and "balance" not in taste.themes:
            return False
    elif taste.part is PartName.WARM_UP and any(change in _STILL for change in changes):
        return False
    if taste.part is PartName.COOL_DOWN and hops(rated.form) and not hops(start.form):
        return False
    if tempo_bpm < _SLOW_BPM and any(factor is Factor.TEMPO for factor, _ in changes):
        return False
    if jumps(rated) and not taste.jumps_allowed:
        return False
    if (Factor.TEMPO, "bounce") in changes and rated.form.level is not ImpactLevel.I:
        return False
    if any(goes_across(start.form.move, change, taste.themes) for change in changes):
        return False
    arms_only = rated.form.move.kind is MoveKind.ARMS_ONLY
    return not (arms_only and rated.form.arms != start.form.arms)


def goes_across(move: Move, change: tuple[Factor, str], themes: Sequence[str] = ()) -> bool:
    """Return whether a change sends a move across its plane, as a side kick forward.

    move: the base move; change: a factor with its option; themes: of the class.
    """
    factor, key = change
    return factor is Factor.TRAVEL and key in _ACROSS.get(move.plane, ()) and "travel" not in themes


def _liking(
    rated: Rated, start: Rated, ledger: Ledger, taste: Taste, wanted: float
) -> tuple[float, str]:
    """Return the key that sorts new forms: what fits the effort and asks little, first."""
    cost = OFF * abs(rated.rpe - wanted) + taste_of(rated, start, ledger, taste)
    return cost, str(rated.form.variation.changes)


def taste_of(
    rated: Rated, start: Rated, ledger: Ledger, taste: Taste, phrases: int = _PHRASES_TO_COME
) -> float:
    """Return what a variation costs by itself.

    rated: the form; start: the form that its move starts with; ledger: what the class has done
    so far; taste: what the part and the group ask; phrases: that it would come for.
    """
    cost = 0.0
    for factor, key in changes_beyond(rated, start.form.variation.changes):
        if factor is Factor.LEVEL and (factor, key) not in _DEMANDING:
            continue
        if taste.vigorous and (factor, key) in _HARD_WAYS:
            had = sum(n for (_, f, k), n in ledger.options.items() if (f, k) == (factor.value, key))
            rare = factor in _RARE and had < _COMES_OFTEN
            cost -= _STILL_TO_COME * min(phrases, _PHRASES_TO_COME) * rare
        else:
            cost += _DEMANDING.get((factor, key), _DEMANDING.get((factor, ""), 0))
        cost -= _THEME * factor_weight(taste.themes, factor, key)
        others = sum(
            1 for (move, f, k) in ledger.options
            if f == factor.value and k == key and move != rated.form.move.key
        )  # fmt: skip
        cost += min(6, _USED * others)
        if taste.calm and factor in (Factor.TRAVEL, Factor.TURN):
            cost += _TURN_ROUND
    return cost


def changed_factors(before: MoveForm, after: MoveForm) -> set[Factor]:
    """Return the factors that differ between two forms of one move.

    before: the form that was; after: the form that comes.
    """
    return {f for f, _ in set(before.variation.changes) ^ set(after.variation.changes)}
