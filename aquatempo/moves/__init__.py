"""What can be asked of a class: base moves, factors, patterns, transitions. Knows no water."""

from aquatempo.moves.catalogue import Catalogue, catalogue
from aquatempo.moves.forms import counts_a_repetition, resolve, variation_of
from aquatempo.moves.patterns import lead_check, parse_pattern, patterns
from aquatempo.moves.postures import pose
from aquatempo.moves.transitions import transition
from aquatempo.moves.variations import ladder, variations, why_not

__all__ = [
    "Catalogue",
    "catalogue",
    "counts_a_repetition",
    "ladder",
    "lead_check",
    "parse_pattern",
    "patterns",
    "pose",
    "resolve",
    "transition",
    "variation_of",
    "variations",
    "why_not",
]
