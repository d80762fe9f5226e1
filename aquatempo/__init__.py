"""Music tempo to movement cadence in water, and cues on the beat."""

from __future__ import annotations

__all__ = ["__version__"]

__version__ = "0.1.0"
