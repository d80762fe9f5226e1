"""Land, water and half water tempo: how many counts a movement takes."""

from __future__ import annotations

from enum import StrEnum

__all__ = ["TempoOption"]


class TempoOption(StrEnum):
    """The usual tempo options, fastest first; the value is their pattern of counts.

    On land a movement takes one beat, in water its full range takes two, sometimes four
    (common practice, no source).

    >>> [(option.value, option.words) for option in TempoOption]
    [('1', 'land tempo'), ('2', 'water tempo'), ('4', 'half water tempo')]
    """

    LAND = "1"
    WATER = "2"
    HALF_WATER = "4"

    @property
    def counts(self) -> int:
        """Counts a movement."""
        return int(self.value)

    @property
    def words(self) -> str:
        """The name of the option: ``half water tempo``."""
        return f"{self.name.lower().replace('_', ' ')} tempo"
