"""How many syllables words have, and so how long they take to say."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["SyllableRule"]

_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True)
class SyllableRule:
    """Vowel groups with exceptions: a rule of thumb that one language states as data.

    vowels: letters that make a syllable. together: groups of them that make one
    syllable; without any, each run of vowels is one. silent: patterns struck out
    first, unless one of kept matches. words: exceptions, counted by hand.
    """

    vowels: str
    together: tuple[str, ...]
    silent: tuple[re.Pattern[str], ...]
    kept: tuple[re.Pattern[str], ...]
    words: Mapping[str, int]

    def count(self, text: str) -> int:
        """Return the syllables of a text; each word has at least one, figures have none."""
        return sum(self._count_word(word.lower()) for word in _WORD.findall(text))

    def word_count(self, text: str) -> int:
        """Return the number of words of a text."""
        return len(_WORD.findall(text))

    def speaking_s(self, text: str, syllables_per_second: float) -> float:
        """Return how long a text takes to say [s] at a rate [syllables/s].

        syllables_per_second: speaking rate.
        """
        return self.count(text) / syllables_per_second

    def _count_word(self, word: str) -> int:
        if word in self.words:
            return self.words[word]
        if not any(pattern.search(word) for pattern in self.kept):
            for pattern in self.silent:
                word = pattern.sub("", word)
        runs = re.findall(f"[{self.vowels}]+", word)
        return max(1, sum(self._groups(run) for run in runs))

    def _groups(self, run: str) -> int:
        if not self.together:
            return 1
        groups = 0
        while run:
            group = max((g for g in self.together if run.startswith(g)), key=len, default=run[0])
            run = run[len(group) :]
            groups += 1
        return groups
