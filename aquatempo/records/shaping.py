"""What might be done instead in a plan, and what that would change."""

from __future__ import annotations

from dataclasses import dataclass

from aquatempo.records.plan import Block, ClassPlan

__all__ = ["Alternative", "OtherClass"]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another form for a block.

    name: as people read it. rpe_change, met_change: against what is there now, for the
    middle of the group [Borg, MET]. impact: its band, impact_before: what is there now.
    planes: (plane, share now, share then) of the worked counts of the class, where it
    differs. learning: what the class would have to learn, "" for nothing. cost: by which
    they are ranked, the best first.
    """

    block: Block
    name: str
    rpe_change: float
    met_change: float
    impact: str
    impact_before: str
    planes: tuple[tuple[str, float, float], ...]
    learning: str
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class OtherClass:
    """A class that differs in its base moves.

    shared: share of worked counts, 0 to 1, whose base move is one of the first class's;
    bases: its base moves.
    """

    plan: ClassPlan
    bases: tuple[str, ...]
    shared: float
