"""Samples to tempo, beats, bars and phrases, and how sure each is. Arrays in, never paths."""

from __future__ import annotations

from aquatempo.rhythm.analysis import analyse, analyse_blocks
from aquatempo.rhythm.corrections import apply_corrections

__all__ = ["analyse", "analyse_blocks", "apply_corrections"]
