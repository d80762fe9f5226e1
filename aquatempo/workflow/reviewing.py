"""Any plan judged, calls included: the job behind ``aquatempo review``."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence, Set
from dataclasses import replace
from pathlib import Path

from aquatempo import cues
from aquatempo.deck.call_words import call_words
from aquatempo.documents.move_requests import open_catalogue
from aquatempo.documents.plan import PLAN_SUFFIXES
from aquatempo.documents.plan_slips import read_plan_with_slips
from aquatempo.documents.rules_file import read_rules
from aquatempo.errors import AquatempoError, InputError, TextFileError
from aquatempo.exports.effort_picture import effort_picture
from aquatempo.moves import Catalogue, catalogue
from aquatempo.music.hearing import AS_USUAL, Hearing
from aquatempo.records.cues import CueOptions, CueTimeline
from aquatempo.records.plan import Block, Brief, ClassPlan, PlannedTrack
from aquatempo.records.review import CallLoad, Fault, Finding, Review, Severity
from aquatempo.records.rhythm import PhraseKind
from aquatempo.records.track import Failure, Track
from aquatempo.review.effort import mean_efforts
from aquatempo.review.plan_review import review_plan
from aquatempo.review.spots import read
from aquatempo.store.results import refuse_target, write_result
from aquatempo.workflow.planning import with_analyses

__all__ = ["efforts", "review", "review_file", "write_effort_picture"]

Progress = Callable[[int, int], None]
_UNCALLED = re.compile(r"phrase (\d+): (no count is left to call .+); tell the class before")


def review(
    plan: ClassPlan,
    tracks: Sequence[Track] = (),
    source: Catalogue | None = None,
    options: CueOptions | None = None,
    slips: Sequence[Finding] = (),
    unread: Set[tuple[int, int]] = frozenset(),
) -> Review:
    """Return what is wrong with a plan, ours or a hand-written one.

    tracks: what was heard; they find their place by content, else by file, else by title. Beats
    that the plan already carries are used where none is given. Calls and places in the song are
    judged only where there are beats. Figures are estimates for planning. source: the catalogue
    in force (None: the packaged one); options: how calls are made; slips: what could not be
    read in its file; unread: (track, phrase), 1-based, that are left out for that.
    """
    known = source or catalogue()
    whole = _with_beats(plan, tracks)
    calls = tuple(_call_loads(whole, known, options or CueOptions()))
    return review_plan(whole, known, calls, slips, unread)


def review_file(
    path: str,
    *,
    own_moves: str | None = None,
    rules: str | None = None,
    options: CueOptions | None = None,
    hearing: Hearing = AS_USUAL,
    progress: Progress | None = None,
) -> tuple[ClassPlan, Review, tuple[Failure, ...]]:
    """Return the plan in a file, its review, and the tracks that could not be heard.

    What cannot be read in it is among the findings, with its line, and the rest is reviewed; a
    plan of which nothing can be read gives one without tracks. Raises TextFileError where there
    is no such file, and for another kind of file. path: of the plan; own_moves: the user's
    catalogue file, or None; rules: a coordinator's file, in place of the rules in the plan;
    options: how calls are made; hearing: how tracks are heard; progress: told (tracks heard,
    of all).
    """
    source = open_catalogue(own_moves)
    found = read_plan_with_slips(path, source)
    slips = [_slip(one) for one in found.slips]
    plan = found.plan or ClassPlan(Brief(title=path), ())
    if slips and not plan.tracks and Path(path).suffix.lower() not in PLAN_SUFFIXES:
        raise TextFileError(path, None, f"no plan: needs one, as {' or '.join(PLAN_SUFFIXES)}")
    if rules is not None:
        plan = replace(plan, brief=replace(plan.brief, rules=read_rules(rules, source)))
    tracks: list[PlannedTrack] = []
    failures: list[Failure] = []
    for done, planned in enumerate(plan.tracks, 1):
        try:
            tracks += with_analyses(replace(plan, tracks=(planned,)), hearing).tracks
        except AquatempoError as error:
            tracks.append(planned)
            failures.append(Failure(planned.file or planned.title, str(error)))
        if progress is not None:
            progress(done, len(plan.tracks))
    plan = replace(plan, tracks=tuple(tracks))
    told = review(plan, source=source, options=options, slips=slips, unread=found.unread)
    return plan, told, tuple(failures)


def efforts(
    plan: ClassPlan, own_moves: str | None = None
) -> tuple[tuple[float | None, ...], dict[str, float | None]]:
    """Return the mean perceived exertion of each song, and of each part by name [Borg, 6 to 20].

    plan: the class; own_moves: the user's catalogue file, or None.
    """
    return mean_efforts(read(plan, open_catalogue(own_moves)))


def _slip(slip: TextFileError) -> Finding:
    """Return a slip in a file as a finding, in its place."""
    place = slip.place
    numbers = [int(key) + 1 for key in place if isinstance(key, int)]
    inside = numbers[:3] if place and place[0] == "tracks" else []
    track, phrase, block = (*inside, 0, 0, 0)[:3]
    where = f"line {slip.line}: " if slip.line is not None else ""
    return Finding(
        *(Fault.FILE, Severity.ERROR, track, phrase, block),
        f"{where}{slip.problem}",
        "mend this line; the rest is reviewed without it",
        source="the form of a plan's file",
        line=slip.line,
    )


def write_effort_picture(plan: ClassPlan, found: Review, path: str, force: bool = False) -> None:
    """Write the effort of a class along its clock as SVG. Raises InputError, OutputError.

    plan: for its title; found: its review; path: ends in .svg; force: replace a file that
    exists.
    """
    refuse_target(path, "picture", (".svg",), force)
    write_result(path, effort_picture(plan.brief.title, found), force)


def _with_beats(plan: ClassPlan, tracks: Sequence[Track]) -> ClassPlan:
    def beats(planned: PlannedTrack) -> PlannedTrack:
        heard = next((track for track in tracks if _same(track, planned)), None)
        return planned if heard is None else replace(planned, analysis=heard.analysis)

    return replace(plan, tracks=tuple(beats(track) for track in plan.tracks))


def _same(track: Track, planned: PlannedTrack) -> bool:
    """Tell whether a track is the one planned: by content where both know it, else by name."""
    if track.content_key and planned.content_key:
        return track.content_key == planned.content_key
    return planned.file == track.file if planned.file else planned.title == track.title


def _call_loads(plan: ClassPlan, source: Catalogue, options: CueOptions) -> Iterator[CallLoad]:
    """Yield what is called in each phrase; a track whose plan is broken carries no calls."""
    brief, words = plan.brief, call_words(source)
    options = replace(
        options,
        own_names=(*brief.move_names, *options.own_names),
        own_signs=(*brief.move_signs, *options.own_signs),
    )
    known = [*brief.known_moves, *options.known_moves]
    for number, planned in enumerate(plan.tracks, 1):
        now = replace(options, known_moves=tuple(dict.fromkeys(known)))
        known += [block.move for phrase in planned.phrases for block in phrase.blocks]
        if planned.analysis is None:
            continue
        try:
            timeline = cues.timeline(planned.analysis, planned, words, now)
        except InputError:
            continue  # the review of the structure says what is wrong with it
        yield from _loads(number, planned, timeline, options.words_per_phrase)


def _loads(
    number: int, planned: PlannedTrack, timeline: CueTimeline, budget: int
) -> Iterator[CallLoad]:
    spoken = {phrase.start_beat: phrase.words for phrase in timeline.phrases}
    missing: dict[int, list[str]] = {}
    for note in timeline.notes:
        if told := _UNCALLED.fullmatch(note):
            missing.setdefault(int(told[1]), []).append(told[2])
    before: Block | None = None
    after_break = False
    for place, phrase in enumerate(planned.phrases, 1):
        words, late = spoken.get(phrase.start_beat, 0), tuple(missing.get(place, ()))
        if _only_sides(phrase.blocks):
            words = 0  # left, right, left: a drill that counts itself, as in a pyramid
            goes_on = (
                before is not None and bool(phrase.blocks) and _alike(before, phrase.blocks[0])
            )
            late = () if goes_on else late
        before = phrase.blocks[-1] if phrase.blocks else before
        if words > budget or late:
            yield CallLoad(number, place, words, budget, late, after_break)
        after_break = phrase.kind is PhraseKind.BREAK


def _only_sides(blocks: Sequence[Block]) -> bool:
    """Tell whether nothing but the leading side changes within a phrase."""
    return all(_alike(blocks[0], block) for block in blocks)


def _alike(one: Block, other: Block) -> bool:
    def told(block: Block) -> Block:
        return replace(block, counts=0, lead="", words="", show="")

    return told(one) == told(other)
