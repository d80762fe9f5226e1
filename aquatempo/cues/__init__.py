"""Plan + beats -> timeline of calls: when, which words, which sign. Knows no catalogue."""

from __future__ import annotations

from aquatempo.cues.build import timeline
from aquatempo.cues.in_turn import simple_choice
from aquatempo.cues.language import LanguagePack, language_codes, load_language
from aquatempo.cues.syllables import SyllableRule

__all__ = [
    "LanguagePack",
    "SyllableRule",
    "language_codes",
    "load_language",
    "simple_choice",
    "timeline",
]
