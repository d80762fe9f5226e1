"""What a review finds in a plan."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["PRACTICE", "CallLoad", "Fault", "Finding", "Review", "Severity"]

PRACTICE = "common practice, no source"


class Severity(StrEnum):
    """How much a finding weighs; only an error makes a plan unfit to teach."""

    ERROR = "error"
    WARNING = "warning"
    ADVICE = "advice"


class Fault(StrEnum):
    """What may be wrong with a plan; ``docs/design/review.md`` says where each rule is broken."""

    COUNTS = "counts do not add up"
    PHRASES = "phrases do not follow one another"
    BEATS = "beats that the track has not"
    PLACE = "not where the track has its phrase"
    FILE = "slip in the file"
    UNKNOWN = "unknown"
    NOT_ALLOWED = "not allowed"
    CONTRADICTION = "block and variation disagree"
    UNFIT = "does not fit the move"
    CEILING = "above the ceiling"
    RULES = "against the coordinator's rules"
    LEVEL = "level not taught"
    DEPTH = "not at this depth"
    SPACE = "too little space"
    SPACE_UNKNOWN = "space not known"
    RANGE = "range too short"
    NEW_MOVE = "new move too short"
    NEW_FACTOR = "new factor too short"
    LEARNING = "too much to learn"
    ONCE = "learned and never used"
    COUNT_ONE = "change off count 1"
    FACTORS = "several factors at once"
    TRANSITION = "costly transition"
    ARMS = "arms in and out of the water"
    BRIDGE = "bridge not covered"
    LEAD_MISSING = "lead missing"
    LEAD = "lead never swaps"
    SIDES = "sides unbalanced"
    ONE_SIDE = "one side forgotten"
    ONE_PLANE = "too long in one plane"
    ONE_MUSCLE = "too long on one muscle or joint"
    ONE_MOVE = "too long on one move"
    PLANES = "planes unbalanced"
    MUSCLES = "muscles unbalanced"
    EFFORT = "effort goes the wrong way"
    TOO_HARD = "harder than asked"
    TOO_EASY = "easier than asked"
    HARD_LONG = "hard for too long"
    LEAP = "effort leaps"
    LOUD = "loud music, easier moves"
    INTERVAL = "interval off its time"
    INTERVAL_EFFORT = "work and rest alike"
    STILL = "held still where the class should move"
    HARD_STRETCH = "hard work among the stretches"
    STRETCH_SHORT = "stretch too short"
    FILLER = "too much filling"
    ENDING = "no ending"
    OVER_TIME = "over time"
    UNDER_TIME = "under time"
    PARTS = "parts out of order"
    TEMPO = "tempo outside the part's range"
    SPEED = "song's speed changed"
    JUMPS = "too much jumping on deck"
    JUMP_EARLY = "jumps too early"
    JUMP_LONG = "jumps too long in a row"
    JUMP_MANY = "too many jumps"
    HEAT = "water too warm"
    PEOPLE = "not for the people here"
    CALLS = "calls too thick"
    CALL_MISSING = "no time to call"


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault, where it is, and what to do about it.

    fault: the rule that is broken. track, phrase, block: 1-based places, 0 where it concerns
    the whole. minute: of the class, where it starts [min]. source: where the rule comes from.
    line: of the plan's file, where that is known.
    """

    fault: Fault
    severity: Severity
    track: int
    phrase: int
    block: int
    reason: str
    remedy: str
    minute: float = 0.0
    source: str = PRACTICE
    line: int | None = None


@dataclass(frozen=True, slots=True)
class CallLoad:
    """What is spoken in one phrase of a plan, for the review.

    track, phrase: 1-based. words: spoken in it; budget: most words that it may carry.
    missing: what no call can reach in time, in words. after_break: a break goes before it.
    """

    track: int
    phrase: int
    words: int
    budget: int
    missing: tuple[str, ...] = ()
    after_break: bool = False


@dataclass(frozen=True, slots=True)
class Review:
    """All findings, worst first, and the figures they rest on.

    effort: (minute from the start, MET) a phrase along the class; exertion: the same as
    perceived [Borg, 6 to 20]. balance: (what, share)
    pairs of sides, planes and muscles. jump_minutes: shown on deck. parts: (name, from
    minute, to minute). prompts: cautions that the moves of the plan bring with them.
    """

    findings: tuple[Finding, ...]
    minutes: float
    effort: tuple[tuple[float, float], ...]
    balance: tuple[tuple[str, float], ...]
    jump_minutes: float
    parts: tuple[tuple[str, float, float], ...] = ()
    prompts: tuple[str, ...] = ()
    exertion: tuple[tuple[float, float], ...] = ()

    @property
    def fit_to_teach(self) -> bool:
        """Whether no finding is an error."""
        return all(finding.severity is not Severity.ERROR for finding in self.findings)

    def count(self, severity: Severity) -> int:
        """Return how many findings are of a severity."""
        return sum(finding.severity is severity for finding in self.findings)
