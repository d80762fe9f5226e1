"""Where a figure comes from."""

from __future__ import annotations

from enum import StrEnum

__all__ = ["Origin"]


class Origin(StrEnum):
    """Where a figure comes from; every computed result can say it."""

    MEASURED = "measured"
    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    ESTIMATED = "estimated"
    ENTERED = "entered"
    CORRECTED = "corrected"
