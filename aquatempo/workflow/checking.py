"""A playlist against a shallow and a deep class: the job behind ``aquatempo check``."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from aquatempo.documents.move_requests import open_catalogue
from aquatempo.exports.playlist import playlist
from aquatempo.moves import Catalogue
from aquatempo.music.hearing import AS_USUAL, Hearing, each_track
from aquatempo.records.check import CheckReport, ClassFit, TrackCheck
from aquatempo.records.doubt import doubt_of
from aquatempo.records.people import DEEP_POOL, ClassDepth, Group, Pool
from aquatempo.records.rhythm import PhraseKind, RhythmAnalysis
from aquatempo.records.steadiness import tempi_in_turn
from aquatempo.records.track import Failure, Track
from aquatempo.store.results import refuse_target, write_result

__all__ = ["USUAL_POOLS", "check", "check_track", "phrase_health"]

USUAL_POOLS = (Pool(), DEEP_POOL)


def check(
    paths: Sequence[str],
    pools: Sequence[Pool] = USUAL_POOLS,
    group: Group | None = None,
    *,
    ranges_bpm: Mapping[ClassDepth, tuple[float, float]] | None = None,
    own_moves: str | None = None,
    hearing: Hearing = AS_USUAL,
    jobs: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    save: str | None = None,
    force: bool = False,
) -> CheckReport:
    """Return how each track that paths name suits the class of each pool.

    ranges_bpm: the user's own tempo ranges by depth in place of the published ones. save: an
    M3U file for the tracks that suit at least one class, with changes or without. pools: one a
    class; group: the people; own_moves: the user's catalogue file, or None; hearing: how tracks
    are heard; jobs: processes at a time, None for one a core; progress: told (tracks done, of
    all); force: replace a file that exists.
    """
    source = open_catalogue(own_moves)
    if save is not None:
        refuse_target(save, "playlist", (".m3u", ".m3u8"), force)
    checks: list[TrackCheck] = []
    suitable: list[Track] = []
    failures: list[Failure] = []
    for item in each_track(paths, hearing, jobs, progress):
        if isinstance(item, Failure):
            failures.append(item)
            continue
        checks.append(check_track(item, pools, group, ranges_bpm, source))
        if any(fit.fit.startswith("suits") for fit in checks[-1].fits):
            suitable.append(item)
    if save is not None:
        write_result(save, playlist(suitable, Path(save).parent), force)
    return CheckReport(tuple(checks), tuple(failures))


def check_track(
    track: Track,
    pools: Sequence[Pool] = USUAL_POOLS,
    group: Group | None = None,
    ranges_bpm: Mapping[ClassDepth, tuple[float, float]] | None = None,
    source: Catalogue | None = None,
) -> TrackCheck:
    """Return how one track suits the class of each pool; see check for pools and group.

    ranges_bpm as in check; source: the catalogue of moves, the packaged one if none is given.
    """
    from aquatempo.feasibility import fit_track

    analysis = track.analysis
    fits = []
    for pool in pools:
        own = (ranges_bpm or {}).get(pool.kind)
        found = fit_track(analysis.tempo_bpm, pool, group or Group(), range_bpm=own, source=source)
        origin = dict(found.origins).get("range_bpm", "")
        fits.append(
            ClassFit(
                pool.kind, str(found.fit), found.reason, found.range_bpm, str(origin),
                round(found.speed, 4), found.short,
            )
        )  # fmt: skip
    kinds = [phrase.kind for phrase in analysis.phrases]
    health, breaking = phrase_health(analysis)
    if breaking:
        fits = [_with_changes(fit, breaking) for fit in fits]
    notes = analysis.notes
    if doubt := doubt_of(analysis, track.file):
        notes = (*notes, doubt)
    return TrackCheck(
        file=track.file,
        title=track.title,
        duration_s=analysis.duration_s,
        tempo_bpm=analysis.tempo_bpm,
        confidence=analysis.confidence,
        phrases=kinds.count(PhraseKind.PHRASE),
        bridges=kinds.count(PhraseKind.BRIDGE),
        breaks=kinds.count(PhraseKind.BREAK),
        phrase_health=health,
        fits=tuple(fits),
        notes=notes,
    )


def phrase_health(analysis: RhythmAnalysis) -> tuple[str, str]:
    """Return how whole the phrases are in words, and what of it asks for changes, or "".

    Bridges and breaks ask for a holding move; another metre or a tempo that moves asks
    for more than that.
    """
    if analysis.tempo_bpm is None:
        return "no beat", ""
    kinds = [phrase.kind for phrase in analysis.phrases]
    parts = [f"{kinds.count(PhraseKind.PHRASE)} x 32"]
    breaking = ""
    for kind, word in ((PhraseKind.BRIDGE, "bridge"), (PhraseKind.BREAK, "break")):
        counts = [str(phrase.counts) for phrase in analysis.phrases if phrase.kind is kind]
        if counts:
            plural = "s" if len(counts) > 1 else ""
            parts.append(f"{len(counts)} {word}{plural} ({', '.join(counts)})")
    if analysis.beats_per_bar not in (None, 4):
        breaking = f"counts in {analysis.beats_per_bar}, not in 4"
    elif not analysis.steady:
        told = tempi_in_turn(analysis.tempo_sections)
        moving = f"its tempo moves by {analysis.tempo_drift_percent:.1f} %"
        breaking = f"its tempo changes: {told}" if told else moving
    elif PhraseKind.PHRASE not in kinds:
        breaking = "no whole phrase of 32 was found"
    return ", ".join(parts if not breaking else [*parts, breaking]), breaking


def _with_changes(fit: ClassFit, breaking: str) -> ClassFit:
    verdict = fit.fit if fit.fit.startswith("does not") else "suits with changes"
    return replace(fit, fit=verdict, reason=f"{fit.reason}; {breaking}")
