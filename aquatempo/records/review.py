"""What a review finds in a plan."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Finding", "Review", "Severity"]


class Severity(StrEnum):
    """How much a finding weighs; only an error makes a plan unfit to teach."""

    ERROR = "error"
    WARNING = "warning"
    ADVICE = "advice"


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault, where it is, and what to do about it.

    fault: its name from a known list. track, phrase, block: 1-based places, 0 where it
    concerns the whole.
    """

    fault: str
    severity: Severity
    track: int
    phrase: int
    block: int
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Review:
    """All findings, worst first, and the figures they rest on.

    effort: (minute from the start, MET) along the class. balance: (what, share) pairs of
    sides, planes and muscles. jump_minutes: shown on deck.
    """

    findings: tuple[Finding, ...]
    minutes: float
    effort: tuple[tuple[float, float], ...]
    balance: tuple[tuple[str, float], ...]
    jump_minutes: float

    @property
    def fit_to_teach(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity is not Severity.ERROR for finding in self.findings)
