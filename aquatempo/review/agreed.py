"""A coordinator's rules beyond moves and levels: approved songs, rotation, least minutes."""

from __future__ import annotations

from collections.abc import Iterator

from aquatempo.records.plan import PartName
from aquatempo.records.review import Fault, Finding, Severity
from aquatempo.review.spots import ReadPlan

__all__ = ["agreed"]

_SLACK_MINUTES = 0.5


def agreed(reading: ReadPlan) -> Iterator[Finding]:
    """Yield songs that are not approved or come back too soon, and parts that are too short."""
    rules = reading.brief.rules
    if rules is None:
        return
    source = f"the rules of {rules.title or 'the coordinator'}"
    for number, track in enumerate(reading.plan.tracks, 1):
        if not track.file and not track.title:
            continue
        names = {track.title, track.file, track.file.rpartition("/")[2]}
        if rules.songs and track.file and not names & set(rules.songs):
            yield _at(number, f"{track.title} is not among the approved songs", source)
        for song, ago in reading.brief.songs_used:
            if song in names and ago <= rules.songs_after:
                weeks = f"{ago} week{'s' if ago > 1 else ''} ago"
                least = f"{rules.songs_after} have to lie between"
                yield _at(number, f"{track.title} was used {weeks}: {least}", source)
    asked = {
        PartName.WARM_UP: rules.warm_up_minutes,
        PartName.COOL_DOWN: rules.cool_down_minutes,
    }
    for part, minutes in asked.items():
        spots = reading.of_parts(part)
        lasts = sum(spot.minutes for spot in spots)
        if spots and lasts < minutes - _SLACK_MINUTES:
            yield Finding(
                *(Fault.RULES, Severity.WARNING, spots[0].track, 0, 0),
                f"the {part} lasts {lasts:.1f} minutes, {minutes:g} are asked",
                "make it longer, or play another song there",
                source=source,
            )


def _at(number: int, reason: str, source: str) -> Finding:
    remedy = "take another song"
    return Finding(Fault.RULES, Severity.WARNING, number, 0, 0, reason, remedy, source=source)
