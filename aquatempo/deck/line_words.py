"""The words of a line on the deck: what to add to a move's name, and its counts written out."""

from __future__ import annotations

from aquatempo import cues
from aquatempo.exports.labels import labels, movement_name
from aquatempo.moves import parse_pattern
from aquatempo.records.cues import Change
from aquatempo.units import COUNTS_PER_EIGHT

__all__ = ["details", "spelled"]

_TOLD_APART = {"tempo", "level", "travel"}  # factors that stand in a change of their own


def details(change: Change, usual_level: str, usual_travel: str, language: str) -> tuple[str, ...]:
    """Return what to add to the name, the most important first.

    Tempo option with its counts, the side that leads and the one that the instructor shows,
    arms and the rest of the variation, travel and level where they are not the usual ones.
    change: the line; usual_level: of the move, not told; usual_travel: likewise; language: code
    such as "de".
    """
    pack, words = cues.load_language(language), labels(language)
    parts = [_tempo(change, language)]
    if change.lead:
        own = words[change.mirrored_lead or change.lead]
        parts.append(words["leads"].format(side=words[change.lead], own=own))
    parts += [
        name
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


def _tempo(change: Change, language: str) -> str:
    """Return the tempo option in few letters; a row of figures tells itself."""
    option = labels(language).get(f"tempo_{change.pattern}")
    if option is not None:
        return option
    figures = change.pattern.replace("-", "").isdigit()
    return change.pattern if figures else f"{change.tempo_name} ({change.pattern})"


def spelled(change: Change, movements: tuple[str, ...], language: str) -> str:
    """Write out one repetition in counts, and how often it fits: for a day without sound.

    change: the line; movements: names of one repetition in order; language: code such as "de".
    """
    words = labels(language)
    if not movements:
        eights, rest = divmod(change.counts, COUNTS_PER_EIGHT)
        told = words["eight_one"] if eights == 1 else words["eights"].format(eights=eights)
        if not eights:
            return words["counts_alone"].format(counts=rest)
        return f"{told} {_rest(rest, language)}".rstrip()
    steps = parse_pattern(change.pattern).steps
    names = [movement_name(name, change.lead, language) for name in movements]
    count, number, parts = 1, 0, []
    # A repetition has run when both the movements and the pattern are at their start again.
    while number == 0 or number % len(names) or number % len(steps):
        step = steps[number % len(steps)]
        last = count + step.moving_counts - 1
        parts.append(f"{_span(count, last)} {names[number % len(names)]}")
        if step.held_counts:
            held = words["bounce"] if step.bounced else words["hold"]
            parts.append(f"{_span(last + 1, last + step.held_counts)} {held}")
        count += step.moving_counts + step.held_counts
        number += 1
    times, rest = divmod(change.counts, count - 1)
    if not times:
        return f"{', '.join(parts)} ({words['counts_alone'].format(counts=rest)})"
    told = words["times"].format(times=times) if times > 1 else words["once"]
    return f"{', '.join(parts)}: {told} {_rest(rest, language)}".rstrip()


def _span(first: int, last: int) -> str:
    return f"{first}" if first == last else f"{first}-{last}"


def _rest(counts: int, language: str) -> str:
    words = labels(language)
    if counts == 1:
        return words["and_count"]
    return words["and_counts"].format(counts=counts) if counts else ""
