"""Stretches one after the other, held in warm water and moving in cool, and how a class ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from aquatempo.feasibility import thresholds
from aquatempo.planning.blocks.filling import Filled, Music
from aquatempo.planning.blocks.pieces import LEFT, RIGHT, Piece
from aquatempo.planning.moves.ledger import Ledger
from aquatempo.planning.moves.palette import Palette
from aquatempo.planning.moves.passages import Passages
from aquatempo.records.moves import Move, MoveForm, MoveKind
from aquatempo.records.plan import Brief
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["ENDINGS", "endings_of", "fill_with_stretches"]

HELD_S = (15.0, 30.0)  # a held stretch (common practice; garber-2011: 10 to 30 s)
_USUAL_HELD_S = 20.0
_INTO = 4  # counts to ease into a stretch
_MOVING_EIGHTS = 4  # of a moving stretch, both sides in it
_ENDING_EIGHTS = 2
_LEGS = ("calves", "hamstrings", "quadriceps", "hip flexors", "hip adductors", "hip extensors")
# How a class may end: upright, facing the instructor (common practice, no source).
ENDINGS = ("stand-and-breathe", "arm-glide", "sway", "shake-out", "scull", "march")


@dataclass
class _Row:
    """One stretch in the order of the part: which side, how many counts."""

    move: Move
    lead: str
    counts: int


def endings_of(brief: Brief, palette: Palette) -> list[str]:
    """Return how the class may end, best first: what was not used lately, then by the seed."""
    have = {move.key for move in palette.moves}
    keys = [key for key in ENDINGS if key in have]
    after = brief.course.endings_after if brief.course is not None else 2
    lately = {key for key, weeks in brief.endings_used if weeks <= after}
    turned = keys[brief.seed % len(keys) :] + keys[: brief.seed % len(keys)] if keys else []
    return sorted(turned, key=lambda key: key in lately)


def fill_with_stretches(
    music: Music, palette: Palette, ledger: Ledger, ends: bool = False
) -> Filled:
    """Return stretches for all of the music; a held one takes its seconds on each side.

    The least used come first, so that a second song goes on where the first ended; all of
    them are stretches, also over bridges. ends: the class ends here, in the last two eights.
    """
    total = sum(phrase.counts for phrase in music.phrases)
    room = total
    closing: list[Piece] = []
    endings = endings_of(palette.brief, palette)
    if ends and endings and total >= 8 * COUNTS_PER_EIGHT:
        counts = _ENDING_EIGHTS * COUNTS_PER_EIGHT + total % COUNTS_PER_EIGHT
        closing = [Piece(counts, palette.form(palette.source.move(endings[0])))]
        room -= counts
    rows = _in_turn(room, music.tempo_bpm, palette, ledger)
    pieces = [Piece(row.counts, palette.form(row.move), row.lead) for row in rows]
    pieces = [_held(one, music.tempo_bpm) for one in _filled_up(pieces, room, palette)] + closing
    names = ["stretch"] * len(music.phrases)
    if closing:
        names[-1] = "ending"
    return Filled(_cut(pieces, [phrase.counts for phrase in music.phrases]), (), tuple(names))


def _in_turn(room: int, tempo_bpm: float, palette: Palette, ledger: Ledger) -> list[_Row]:
    """Return stretches that fill some counts, big muscles of the legs first."""
    order = _order(palette)
    rows: list[_Row] = []
    if not order:
        return rows
    while True:
        left = room - sum(row.counts for row in rows)
        fitting = [(move, _counts(move, tempo_bpm)) for move in order]
        fitting = [(move, counts) for move, counts in fitting if sum(counts) <= left]
        if not fitting:
            return rows
        move, counts = min(fitting, key=lambda one: (ledger.phrases[one[0].key], order.index(one[0])))
        sides = (RIGHT, LEFT) if move.sided else ("",)
        for side, length in zip(sides, counts, strict=True):
            rows.append(_Row(move, side, length))
        ledger.phrases[move.key] += 1


def _order(palette: Palette) -> list[Move]:
    """Return the stretches that suit the water, those of the legs and the chest first."""
    moves = [
        one.form.move
        for one in palette.rate(
            [palette.form(move) for move in palette.of(MoveKind.STRETCH)], palette.tempos_bpm[0]
        )
        if one.allowed
    ]
    cool = palette.pool.temperature_c < max(29.0, thresholds().cool_below_c)
    suiting = [move for move in moves if ("h" in move.pattern) != cool]
    found = suiting or moves
    wanted = [muscle for muscle in _LEGS]
    return sorted(
        (palette.source.move(move.key) for move in found),
        key=lambda move: min(
            (wanted.index(muscle) for muscle in move.muscles if muscle in wanted), default=3
        ),
    )


def _counts(move: Move, tempo_bpm: float) -> tuple[int, ...]:
    """Return the counts of a stretch, one number a side where it has sides."""
    if "h" not in move.pattern:
        whole = _MOVING_EIGHTS * COUNTS_PER_EIGHT
        return (whole // 2, whole // 2) if move.sided else (whole,)
    beat_s = 60.0 / tempo_bpm
    eights = max(1, round(_USUAL_HELD_S / beat_s / COUNTS_PER_EIGHT))
    while eights > 1 and eights * COUNTS_PER_EIGHT * beat_s > HELD_S[1]:
        eights -= 1
    while eights * COUNTS_PER_EIGHT * beat_s < HELD_S[0]:
        eights += 1
    counts = eights * COUNTS_PER_EIGHT
    return (counts, counts) if move.sided else (counts,)


def _filled_up(pieces: list[Piece], room: int, palette: Palette) -> list[Piece]:
    """Return pieces that fill the room: what is left goes to the last stretches, evenly."""
    left = room - sum(piece.counts for piece in pieces)
    if left and not pieces:
        hold = Passages(palette.holds).holds[0]
        return [Piece(room, hold)]
    if left:
        last = pieces[-1]
        pair = len(pieces) > 1 and pieces[-2].form == last.form and last.lead
        if pair and left % 2 == 0 and left <= 2 * COUNTS_PER_EIGHT:
            for place in (-2, -1):
                pieces[place] = _longer(pieces[place], left // 2)
        elif left <= COUNTS_PER_EIGHT and not last.lead:
            pieces[-1] = _longer(last, left)
        else:
            loose = _loose(palette)
            pieces = [*pieces, Piece(left, loose)]
    return pieces


def _held(piece: Piece, tempo_bpm: float) -> Piece:
    """Return a held stretch with its own counts written out, and its seconds."""
    form = piece.form
    if form.move.kind is not MoveKind.STRETCH or "h" not in form.move.pattern:
        return piece
    out = 2 if len(form.movements) == 2 and not form.move.sided else 1
    held = piece.counts - (_INTO if out == 1 else 2 * _INTO + _INTO)
    pattern = f"{_INTO}+{held}h" if out == 1 else f"{_INTO}+{held}h-{_INTO}+{_INTO}h"
    return replace(piece, pattern=pattern, held_s=round(held * 60.0 / tempo_bpm, 1))


def _loose(palette: Palette) -> MoveForm:
    """Return what fills the counts that no stretch fits: loose, upright, never a jog."""
    keys = ("shake-out", "sway", "scull", "stand-and-breathe")
    by_key = {move.key: move for move in palette.of(MoveKind.HOLDING)}
    key = next((key for key in keys if key in by_key), None)
    return palette.form(by_key[key]) if key else palette.holds[0]


def _longer(piece: Piece, counts: int) -> Piece:
    return Piece(piece.counts + counts, piece.form, piece.lead)


def _cut(pieces: Sequence[Piece], counts: Sequence[int]) -> list[list[Piece]]:
    """Return pieces parted where the stretches of the song end."""
    left, rows = list(pieces), []
    for room in counts:
        row: list[Piece] = []
        while room and left:
            first = left.pop(0)
            take = min(room, first.counts)
            row.append(replace(first, counts=take))
            if take < first.counts:
                left.insert(0, replace(first, counts=first.counts - take))
            room -= take
        rows.append(row)
    return rows
