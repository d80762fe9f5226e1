"""All single-factor variations of a move, judged: the job behind ``aquatempo vary``."""

from __future__ import annotations

from aquatempo.documents.move_requests import open_catalogue
from aquatempo.moves import ladder
from aquatempo.music.hearing import AS_USUAL, Hearing
from aquatempo.records.people import Group, Pool
from aquatempo.records.variation import JudgedLadder, JudgedRung
from aquatempo.workflow.judging import tempo_of

__all__ = ["vary"]


def vary(
    move: str,
    target: float | str,
    pool: Pool,
    group: Group,
    *,
    own_moves: str | None = None,
    hearing: Hearing = AS_USUAL,
) -> JudgedLadder:
    """Return the variations of a move with one factor changed, from easier to harder.

    target: a tempo [beats/min], or a track whose tempo is taken. Each is judged at its own
    pattern. The order is that of effort in the model, then of common judgement; the base move
    stands among them. Raises UnknownNameError with the nearest move. pool: the water; group:
    the people; own_moves: the user's catalogue file, or None; hearing: how tracks are heard.
    """
    from aquatempo.feasibility import judge

    source = open_catalogue(own_moves)
    chosen = source.move(move)
    tempo_bpm = tempo_of(target, hearing)
    rungs = ladder(chosen, pool.kind, source)
    verdicts = [
        judge(rung.form, rung.form.pattern, tempo_bpm, pool, group, source=source) for rung in rungs
    ]
    base_met = next(
        verdict.met.median
        for rung, verdict in zip(rungs, verdicts, strict=True)
        if not rung.variation.changes
    )
    judged = []
    for rung, verdict in zip(rungs, verdicts, strict=True):
        factor, option = rung.variation.changes[0] if rung.variation.changes else ("", "")
        step_met = round(verdict.met.median - base_met, 3)
        place = (round(step_met, 1), rung.rung)
        name = rung.form.name
        judged.append((place, JudgedRung(str(factor), option, name, rung.why, step_met, verdict)))
    judged.sort(key=lambda pair: pair[0])
    return JudgedLadder(chosen.name, tempo_bpm, tuple(rung for _, rung in judged))
