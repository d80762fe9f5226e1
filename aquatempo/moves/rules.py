"""What the packaged tables say of positions, transition costs and joint norms."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from aquatempo.records.moves import Action, Joint, JointSwing

__all__ = ["Rules", "axis_of", "packaged", "rules"]

_SAGITTAL = (Action.FLEXION, Action.EXTENSION)
_HORIZONTAL = (Action.HORIZONTAL_ABDUCTION, Action.HORIZONTAL_ADDUCTION)


@dataclass(frozen=True)
class Rules:
    """The packaged judgements, all of them common practice unless they say otherwise.

    positions: end position -> what it is for the next move; closing_counts: counts to
    come back to the centre from there; costs: counts that a reason adds to a
    transition; norms_deg: joint and axis -> (lowest, highest) angle [degrees].
    opposed_muscles: pairs that work against each other.
    """

    positions: MappingProxyType[str, str]
    closing_counts: MappingProxyType[str, int]
    costs: MappingProxyType[str, int]
    works_up_to_counts: int
    far_m_per_movement: float
    norms_deg: MappingProxyType[str, tuple[float, float]]
    norms_source: str
    opposed_muscles: tuple[tuple[str, str], ...]


def packaged(name: str) -> str:
    """Return the text of a packaged table of the catalogue."""
    return resources.files("aquatempo.moves").joinpath("data", name).read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def rules() -> Rules:
    """Return the packaged judgements, read once."""
    change: dict[str, Any] = tomllib.loads(packaged("transitions.toml"))
    norms: dict[str, Any] = tomllib.loads(packaged("norms.toml"))
    muscles: dict[str, Any] = tomllib.loads(packaged("muscles.toml"))
    return Rules(
        positions=MappingProxyType(change["positions"]),
        closing_counts=MappingProxyType(change["closing_counts"]),
        costs=MappingProxyType(change["costs"]),
        works_up_to_counts=int(change["limits"]["works_up_to_counts"]),
        far_m_per_movement=float(change["limits"]["far_m_per_movement"]),
        norms_deg=MappingProxyType(
            {k: (float(a), float(b)) for k, (a, b) in norms["norms"].items()}
        ),
        norms_source=str(norms["source"]),
        opposed_muscles=tuple((one, other) for one, other in muscles["opposed"]),
    )


def axis_of(swing: JointSwing) -> str:
    """Return the joint and axis of a swing as the norms name them: ``hip sagittal``.

    >>> from aquatempo.records.moves import Side
    >>> axis_of(JointSwing(Joint.HIP, Action.ABDUCTION, 0, 30, Side.LEAD))
    'hip frontal'
    """
    if swing.action in _SAGITTAL:
        axis = "sagittal"
    elif swing.action in _HORIZONTAL:
        axis = "horizontal"
    elif swing.joint is Joint.TRUNK:
        axis = swing.action.value
    else:
        axis = "frontal"
    return f"{swing.joint} {axis}"
