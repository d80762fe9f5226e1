"""Stretches one after the other, held in warm water and moving in cool, and how a class ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from aquatempo.feasibility import thresholds
from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.pieces import LEFT, RIGHT, Piece, parted
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette
from aquatempo.records.moves import Move, MoveKind
from aquatempo.records.plan import Brief, PlannedPhrase
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["ENDINGS", "HELD_S", "MOVING_BELOW_C", "endings_of", "fill_with_stretches"]

HELD_S = (15.0, 30.0)  # a held stretch (common practice; garber-2011: 10 to 30 s)
MOVING_BELOW_C = 29.0  # below it stretches keep moving (common practice, no source)
_INTO = 4  # counts to ease into a stretch
_SLACK_S = 4.0  # that a stretch may be held longer, over a bridge
_ENDING_COUNTS = 2 * COUNTS_PER_EIGHT
_LEAST_FOR_ENDING = 8 * COUNTS_PER_EIGHT
# Big muscles of the legs first; the chest before the last two, or a song of stretches ends with
# the legs while the arms have worked as long (common practice, no source).
_ORDER = (
    *("calves", "hamstrings", "quadriceps", "hip flexors", "chest", "hip adductors"),
    *("hip extensors", "upper back", "shoulder muscles", "trunk rotators"),
)
# How a class may end: upright, facing the instructor (common practice, no source).
ENDINGS = ("stand-and-breathe", "arm-glide", "sway", "shake-out", "scull", "march")
_LOOSE = ("shake-out", "sway", "scull", "stand-and-breathe")


@dataclass(frozen=True)
class _StretchTurn:
    """One side of a stretch, or all of it; counts: how long it takes."""

    move: Move
    lead: str
    counts: int


def endings_of(brief: Brief, palette: Palette) -> list[str]:
    """Return how the class may end, best first: what was not used lately, then by the seed.

    brief: what was asked; palette: what the class may do here.
    """
    have = {move.key for move in palette.moves}
    keys = [key for key in ENDINGS if key in have]
    lately = _lately(brief)
    turned = keys[brief.seed % len(keys) :] + keys[: brief.seed % len(keys)] if keys else []
    return sorted(turned, key=lambda key: lately.get(key, 0.0))


def _lately(brief: Brief) -> dict[str, float]:
    """Return what ended a class lately, and how lately: 1 last week, 1/2 the week before."""
    after = brief.course.endings_after if brief.course is not None else 2
    return {key: 1.0 / max(1, weeks) for key, weeks in brief.endings_used if weeks <= after}


def fill_with_stretches(
    music: Music, palette: Palette, ledger: Ledger, ends: bool = False
) -> Filled:
    """Return stretches for all of the music; a held one takes its seconds on each side.

    They begin on count 1 of a phrase; what lies between goes to the stretch before it. A moving
    stretch takes two phrases, with the other leg first when it comes back. The
    least used come first, so that a second song goes on where the first ended. ends: the class
    ends here, in the last two eights. palette: what the class may do here; ledger: what the
    class has done so far.
    """
    beat_s = 60.0 / music.tempo_bpm
    endings = endings_of(palette.brief, palette)
    total = sum(phrase.counts for phrase in music.phrases)
    closing = ends and bool(endings) and total >= _LEAST_FOR_ENDING
    spans = _spans(music.phrases, beat_s, closing)
    # Too short for an ending of its own, a class ends with a stretch: not with that of last week.
    lately = _lately(palette.brief) if ends and not closing else {}
    turns = _in_turn(spans, beat_s, palette, ledger, lately)
    pieces = [_piece(turn, span, palette, beat_s) for turn, span in turns]
    if closing:
        counts = total - sum(spans)
        pieces.append(Piece(counts, palette.form(palette.source.move(endings[0]))))
    rows = parted(pieces, [phrase.counts for phrase in music.phrases])
    names = ["stretch"] * len(rows)
    if closing:
        names[-1] = "ending" if len(rows[-1]) == 1 else "stretch, ending"
    return Filled(rows, (), tuple(names))


def _spans(phrases: Sequence[PlannedPhrase], beat_s: float, closing: bool) -> list[int]:
    """Return the counts that each turn of a stretch gets, from the first phrase to the end."""
    each = COUNTS_PER_PHRASE
    while each > COUNTS_PER_EIGHT and (each - _INTO) * beat_s > HELD_S[1] + _SLACK_S:
        each //= 2
    spans: list[int] = []
    lead_in = 0
    for phrase in phrases:
        whole, rest = divmod(phrase.counts, each)
        spans += [each] * whole
        if rest and spans:
            spans[-1] += rest
        else:
            lead_in += rest
    if spans and lead_in:
        spans[0] += lead_in
    if not spans:
        spans = [lead_in]
    if closing:
        if spans[-1] <= _ENDING_COUNTS + COUNTS_PER_EIGHT:
            spans.pop()
        else:
            spans[-1] -= _ENDING_COUNTS
            if (spans[-1] - _INTO) * beat_s < HELD_S[0] and len(spans) > 1:
                spans.pop()
    return spans


def _in_turn(
    spans: Sequence[int],
    beat_s: float,
    palette: Palette,
    ledger: Ledger,
    lately: Mapping[str, float],
) -> list[tuple[_StretchTurn, int]]:
    """Return which stretch each span is given to; both sides of one follow each other.

    lately: stretches that had better not come last, the higher the figure the less.
    """
    order = _order(palette)
    found: list[tuple[_StretchTurn, int]] = []
    loose = _loose(palette)
    place = 0
    while place < len(spans):
        left = len(spans) - place
        fitting = [move for move in order if _sides(move) <= left]
        if not fitting:
            found.append((_StretchTurn(loose, "", spans[place]), spans[place]))
            place += 1
            continue
        move = min(
            fitting,
            key=lambda one: (
                lately.get(one.key, 0.0) if _takes(one) >= left else 0.0,
                ledger.phrases[one.key],
                order.index(one),
            ),
        )
        again = ledger.phrases[move.key] % 2
        ledger.phrases[move.key] += 1
        twice = _takes(move) > _sides(move)
        for side in range(min(_takes(move), left)):
            lead = (RIGHT, LEFT)[again if twice else side] if move.sided else ""
            found.append((_StretchTurn(move, lead, spans[place]), spans[place]))
            place += 1
    return found


def _sides(move: Move) -> int:
    """Return how many spans a stretch takes: one a side where it is held or works one side."""
    held = "h" in move.pattern
    return 2 if move.sided and (held or not move.alternates) else 1


def _takes(move: Move) -> int:
    """Return how many spans a stretch takes where there are as many: a moving one comes twice."""
    return 2 if "h" not in move.pattern else _sides(move)


def _order(palette: Palette) -> list[Move]:
    """Return the stretches that suit the water, those of the legs first."""
    forms = [palette.form(move) for move in palette.of(MoveKind.STRETCH)]
    rated = palette.rate(forms, palette.tempos_bpm[0])
    moves = [palette.source.move(one.form.move.key) for one in rated if one.allowed]
    cool = palette.pool.temperature_c < max(MOVING_BELOW_C, thresholds().cool_below_c)
    suiting = [move for move in moves if ("h" in move.pattern) != cool]
    return sorted(
        suiting or moves,
        key=lambda move: min(
            (_ORDER.index(muscle) for muscle in move.muscles if muscle in _ORDER), default=99
        ),
    )


def _piece(turn: _StretchTurn, counts: int, palette: Palette, beat_s: float) -> Piece:
    """Return a turn as a piece; a held stretch has its own counts written out, and its seconds."""
    form = palette.form(turn.move)
    piece = Piece(counts, form, turn.lead)
    if form.move.kind is not MoveKind.STRETCH or "h" not in form.move.pattern:
        return piece
    if len(form.movements) == 2 and not form.move.sided:
        held, pattern = _released(counts, beat_s)
    else:
        held = counts - _INTO
        pattern = f"{_INTO}+{held}h"
    return replace(piece, pattern=pattern, held_s=round(held * beat_s, 1))


def _released(counts: int, beat_s: float) -> tuple[int, str]:
    """Return the counts that a stretch without sides is held, and its pattern.

    It is let go in time and rested from; where it would be held for less than 15 s, the rest
    is left out, then it is let go in half the counts.
    """
    held, out, rest = counts - 3 * _INTO, _INTO, f"+{_INTO}h"
    if held * beat_s < HELD_S[0]:
        held, rest = held + _INTO, ""
    if held * beat_s < HELD_S[0]:
        held, out = held + _INTO // 2, _INTO // 2
    return held, f"{_INTO}+{held}h-{out}{rest}"


def _loose(palette: Palette) -> Move:
    """Return what fills the counts that no stretch fits: loose, upright, never a jog."""
    by_key = {move.key: move for move in palette.of(MoveKind.HOLDING)}
    key = next((key for key in _LOOSE if key in by_key), None)
    return by_key[key] if key else palette.source.move(palette.holds[0].move.key)
