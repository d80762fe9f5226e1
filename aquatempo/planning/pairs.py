"""The same class at the other depth: its brief, and which move stands for which."""

from __future__ import annotations

from dataclasses import replace

from aquatempo.moves import Catalogue
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.plan import Brief

__all__ = ["other_depth", "twin_brief", "twin_move"]

_POOLS = {ClassDepth.DEEP: 2.0, ClassDepth.SHALLOW: 1.2}  # usual depths [m]


def other_depth(depth: ClassDepth) -> ClassDepth:
    """Return the depth that a class does not have."""
    return ClassDepth.DEEP if depth is ClassDepth.SHALLOW else ClassDepth.SHALLOW


def twin_brief(brief: Brief) -> Brief:
    """Return the brief of the other depth: its pool at the usual depth, the same water."""
    depth = other_depth(brief.depth)
    pool = Pool(
        depth_m=_POOLS[depth],
        temperature_c=brief.pool.temperature_c,
        salinity_g_kg=brief.pool.salinity_g_kg,
        space_m2=brief.pool.space_m2,
        kind=depth,
    )
    return replace(brief, depth=depth, pool=pool, twin=False, title=f"{brief.title}, {depth.value}")


def twin_move(key: str, depth: ClassDepth, source: Catalogue) -> str:
    """Return the move that stands for another at a depth, "" where there is none.

    key: of the line; source: the catalogue in force.

    >>> from aquatempo.moves import catalogue
    >>> twin_move("rocking-horse", ClassDepth.DEEP, catalogue())
    'bicycle'
    """
    move = source.move(key)
    if depth in move.depths:
        return key
    if depth is ClassDepth.DEEP:
        return move.deep_equivalent
    back = (one.key for one in source.moves.values() if one.deep_equivalent == key)
    return next((one for one in back if depth in source.move(one).depths), "")
