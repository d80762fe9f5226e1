"""What a class is to be: its parts, tempos, effort, ceilings, and what notes on people ask."""

from __future__ import annotations

from aquatempo.class_shape.parts import Part, class_shape, interval_seconds, usual_range_bpm

__all__ = ["Part", "class_shape", "interval_seconds", "usual_range_bpm"]
