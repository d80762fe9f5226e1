"""A ladder of variations of one move, each judged for a pool, group and tempo."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.verdict import Verdict

__all__ = ["JudgedLadder", "JudgedRung"]


@dataclass(frozen=True, slots=True)
class JudgedRung:
    """One variation: the factor and option changed ("" for the base move), why, the verdict.

    step_met: how much harder (above 0) or easier (below 0) than the base move the model
    finds it, as a difference in MET of the group's median.
    """

    factor: str
    option: str
    name: str
    why: str
    step_met: float
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class JudgedLadder:
    """Variations of a move from easier to harder."""

    move: str
    tempo_bpm: float
    rungs: tuple[JudgedRung, ...]
