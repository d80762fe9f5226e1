"""Which factors are put together on a move: what goes well, and what makes it much harder.

Common practice and judgement, no source.
"""

from __future__ import annotations

from aquatempo.records.moves import Factor

__all__ = ["LAYERS", "PROBES", "STRONG", "STRONGEST"]

# Pairs of factors that may be set together: neither changes what the other needs.
LAYERS = (
    (Factor.ARMS, Factor.TRAVEL),
    (Factor.ARMS, Factor.HANDS),
    (Factor.HANDS, Factor.TRAVEL),
    (Factor.ARMS, Factor.TEMPO),
    (Factor.TRAVEL, Factor.TEMPO),
    (Factor.HANDS, Factor.TEMPO),
    (Factor.RANGE, Factor.ARMS),
    (Factor.RANGE, Factor.HANDS),
    (Factor.RANGE, Factor.TRAVEL),
    (Factor.LEVEL, Factor.ARMS),
    (Factor.LEVEL, Factor.HANDS),
)
# Forms that go far: what a move can come to is told from these, those with most factors that
# the class may put together alone, and all of them where such a one may not be done.
PROBES = (
    ((Factor.RANGE, "large"), (Factor.ARMS, "raise"), (Factor.HANDS, "open")),
    ((Factor.ARMS, "raise"), (Factor.HANDS, "open")),
    ((Factor.RANGE, "large"),),
    ((Factor.TEMPO, "land"),),
    ((Factor.RANGE, "small"),),
)
STRONG = (
    ((Factor.ARMS, "raise"), (Factor.HANDS, "open")),
    ((Factor.ARMS, "swing"), (Factor.HANDS, "open")),
    ((Factor.ARMS, "fly"), (Factor.HANDS, "open")),
    ((Factor.RANGE, "large"), (Factor.HANDS, "open")),
    ((Factor.RANGE, "large"), (Factor.ARMS, "raise")),
    ((Factor.LEVEL, "power"), (Factor.HANDS, "open")),
    ((Factor.LEVEL, "power"), (Factor.ARMS, "raise")),
    ((Factor.LEVEL, "III"), (Factor.HANDS, "open")),
    ((Factor.TRAVEL, "forward"), (Factor.HANDS, "open")),
    ((Factor.TRAVEL, "sideways"), (Factor.HANDS, "open")),
    ((Factor.LEVEL, "II"), (Factor.HANDS, "open")),
    ((Factor.TEMPO, "land"), (Factor.HANDS, "open")),
    ((Factor.TEMPO, "land"), (Factor.ARMS, "raise")),
)
# As long ways with open hands keep nearly all of their range, a class that works goes on to these.
STRONGEST = (
    ((Factor.RANGE, "large"), (Factor.ARMS, "raise"), (Factor.HANDS, "open")),
    ((Factor.RANGE, "large"), (Factor.ARMS, "swing"), (Factor.HANDS, "open")),
    ((Factor.RANGE, "large"), (Factor.LEVEL, "power"), (Factor.HANDS, "open")),
    ((Factor.RANGE, "large"), (Factor.TRAVEL, "forward"), (Factor.HANDS, "open")),
    ((Factor.ARMS, "raise"), (Factor.TRAVEL, "forward"), (Factor.HANDS, "open")),
    ((Factor.ARMS, "raise"), (Factor.LEVEL, "power"), (Factor.HANDS, "open")),
    ((Factor.RANGE, "large"), (Factor.LEVEL, "III"), (Factor.HANDS, "open")),
    ((Factor.LEVEL, "III"), (Factor.TEMPO, "land")),
)
