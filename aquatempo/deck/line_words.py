"""The words of a line on the deck: what to add to a move's name, and its counts written out."""

from __future__ import annotations

from collections.abc import Mapping

from aquatempo import cues
from aquatempo.exports.labels import labels, movement_name, within
from aquatempo.moves import parse_pattern
from aquatempo.records.cues import Change
from aquatempo.records.moves import PatternStep
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["spelled", "style", "tempo"]

LONG_HOLD = COUNTS_PER_EIGHT  # from here on it is the hold that counts, not the way there
_TOLD_APART = {"tempo", "level", "travel"}  # factors that stand in a change of their own


def style(change: Change, usual_level: str, usual_travel: str, language: str) -> tuple[str, ...]:
    """Return what varies beside tempo option and side, the most important first.

    Arms and the rest of the variation, travel and level where they are not the usual ones.
    change: a change of the timeline; usual_level: the move's own level; usual_travel: the
    move's own travel; language: code such as "de".
    """
    pack, words = cues.load_language(language), labels(language)
    parts = [
        within(name, words)
        for (factor, _), name in zip(change.variation, change.variation_names, strict=True)
        if factor not in _TOLD_APART
    ]
    if change.travel not in ("", usual_travel):
        parts.append(words[change.travel])
    if change.level not in ("", usual_level):
        numbered = change.level in ("I", "II", "III")
        spoken = words["level"].format(level=change.level) if numbered else ""
        parts.append(spoken or pack.level[change.level])
    return tuple(dict.fromkeys(parts))


def tempo(pattern: str, language: str) -> str:
    """Return a tempo option in few letters: ``water (2)``, ``2, hold 2``, ``hold 28``.

    pattern: counts a movement; language: code such as "de".
    """
    words = labels(language)
    option = words.get(f"tempo_{pattern}")
    if option is not None:
        return option
    steps = parse_pattern(pattern).steps
    if not any(step.held_counts for step in steps):
        return pattern
    longest = max(steps, key=lambda step: step.held_counts)
    if longest.held_counts >= LONG_HOLD:
        return _held(longest, words)
    parts = (
        f"{step.moving_counts}, {_held(step, words)}"
        if step.held_counts
        else f"{step.moving_counts}"
        for step in steps
    )
    return ", ".join(parts)


def _held(step: PatternStep, words: Mapping[str, str]) -> str:
    return f"{words['bounce'] if step.bounced else words['hold']} {step.held_counts}"


def spelled(change: Change, movements: tuple[str, ...], language: str) -> tuple[str, int]:
    """Return one repetition written out in counts, and how many counts it takes.

    What the change leaves no counts for is not told. A move without movements of its own
    is an eight.
    language: code such as "de".
    """
    words = labels(language)
    if not movements:
        return words["eight_one"], COUNTS_PER_EIGHT
    steps = parse_pattern(change.pattern).steps
    names = [movement_name(name, change.lead, language) for name in movements]
    count, number, parts = 1, 0, []
    # A repetition has run when both the movements and the pattern are at their start again.
    while number == 0 or number % len(names) or number % len(steps):
        step = steps[number % len(steps)]
        last = count + step.moving_counts - 1
        held = words["bounce"] if step.bounced else words["hold"]
        for first, end, told in (
            (count, last, names[number % len(names)]),
            (last + 1, last + step.held_counts, held),
        ):
            if first <= end and first <= change.counts:
                parts.append(f"{_span(first, min(end, change.counts))} {told}")
        count += step.moving_counts + step.held_counts
        number += 1
    return ", ".join(parts), count - 1


def _span(first: int, last: int) -> str:
    return f"{first}" if first == last else f"{first}-{last}"
