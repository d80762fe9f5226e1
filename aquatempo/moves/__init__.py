"""What can be asked of a class: base moves, factors, patterns, transitions. Knows no water."""

from aquatempo.moves.catalogue import Catalogue, catalogue
from aquatempo.moves.forms import resolve
from aquatempo.moves.patterns import lead_check, parse_pattern, patterns

__all__ = ["Catalogue", "catalogue", "lead_check", "parse_pattern", "patterns", "resolve"]
