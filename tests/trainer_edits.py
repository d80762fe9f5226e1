"""What a trainer would change in a plan, counted by machine: faults of choreography, song by song.

Only the plan's own blocks and the catalogue are read: no figure and no code of planning or review
is used. It does not replace reading; it finds what a reader has called an edit before. All of it
is common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from aquatempo.moves import catalogue
from aquatempo.records.moves import MoveKind, Plane
from aquatempo.records.plan import Block, ClassPlan, PlannedPhrase, PlannedTrack

__all__ = ["Built", "built", "edits"]

WORKING = (MoveKind.BASE, MoveKind.DEEP_ONLY, MoveKind.ARMS_ONLY)
_BUILDING = ("warm-up", "main")
_AGAINST = {
    (Plane.FRONTAL, "forward"), (Plane.FRONTAL, "back"), (Plane.SAGITTAL, "sideways"),
    (Plane.VERTICAL, "forward"), (Plane.VERTICAL, "back"), (Plane.VERTICAL, "sideways"),
}  # fmt: skip
_CHORUSES, _OF_SONGS, _FORM_SONGS = 0.34, 0.7, 0.45  # share of the main part with the same
_MANY_SONGS = 6  # fewer cannot be called often
_SENT_AWAY_S = 30.0  # in one direction, by the clock
_KNOW_THEIR_WAY = ("regular", "trained", "")

_EASED = {("level", "grounded"), ("level", "II")}  # less than the plain move

Form = tuple[str, frozenset[tuple[str, str]]]


@dataclass(frozen=True)
class Built:
    """How much a class builds: against monotony.

    sets: different forms in a song of the main part, mean. varied: share of the main part's
    counts that is varied. steps: times that a move goes on to more, within a song, mean.
    plain_songs: songs of the main part in which nothing is varied.
    """

    sets: float
    varied: float
    steps: float
    plain_songs: int


def edits(plan: ClassPlan) -> list[str]:
    """Return what a trainer would change, a line each, with the number of the track."""
    found = [*_against_plane(plan), *_at_once(plan), *_alike(plan), *_often(plan), *_turns(plan),
             *_for_one_phrase(plan), *_plain(plan)]  # fmt: skip
    for number, track in enumerate(plan.tracks, 1):
        lines = [*_inside(track), *_returning(track, plan.brief.build.value), *_cooling(track)]
        found += [f"track {number}: {line}" for line in lines]
    return found


def built(plan: ClassPlan) -> Built:
    """Return how much the main part of a plan builds."""
    songs = [track for track in plan.tracks if track.part == "main"]
    sets, steps, plain, varied, whole = 0, 0, 0, 0, 0
    for track in songs:
        forms = [(_form(b), b.counts) for p in track.phrases for b in p.blocks if _works(b)]
        sets += len({form for form, _ in forms})
        whole += sum(counts for _, counts in forms)
        song_varied = sum(counts for form, counts in forms if form[1])
        varied += song_varied
        plain += not song_varied
        last: dict[str, frozenset[tuple[str, str]]] = {}
        for (move, options), _ in forms:
            steps += move in last and options > last[move]
            last[move] = options
    number = max(1, len(songs))
    return Built(sets / number, varied / max(1, whole), steps / number, plain)


def _works(block: Block) -> bool:
    return catalogue().moves[block.move].kind in WORKING


def _form(block: Block) -> Form:
    return block.move, frozenset(c for c in block.variation if c[0] != "sides")


def _words(options: frozenset[tuple[str, str]]) -> str:
    return "+".join(f"{factor}={key}" for factor, key in sorted(options)) or "plain"


def _sections(track: PlannedTrack) -> Iterator[tuple[str, list[PlannedPhrase]]]:
    """Yield each section of a track: phrases in a row with the same name, the intro with them."""
    row: list[PlannedPhrase] = []
    for phrase in track.phrases:
        name = phrase.section
        if row and name != row[0].section:
            yield row[0].section, row
            row = []
        if name:
            row.append(phrase)
    if row:
        yield row[0].section, row


def _inside(track: PlannedTrack) -> Iterator[str]:
    """Yield what is given up or exchanged within one return of a section, once a song."""
    if track.part not in _BUILDING and track.part != "cool-down":
        return
    told = set()
    for name, phrases in _sections(track):
        last: dict[str, frozenset[tuple[str, str]]] = {}
        for phrase in phrases:
            for block in filter(_works, phrase.blocks):
                move, options = _form(block)
                if name.startswith("pyramid"):
                    last = {key: was for key, was in last.items() if key == move}
                was = last.get(move, options)
                last[move] = options
                case = (move, was, options)
                eased = (options - was) & _EASED
                if (was - options - _EASED or eased) and case not in told:
                    told.add(case)
                    exchanged = "exchanged" if {f for f, _ in was - options} & {
                        f for f, _ in options - was} else "given up"  # fmt: skip
                    yield (f"{exchanged} inside {name}: {move} {_words(was)} -> {_words(options)}")


def _returning(track: PlannedTrack, build: str) -> Iterator[str]:
    """Yield moves that come back plainer than they left, in a later section of the song."""
    if track.part not in _BUILDING:
        return
    last: dict[str, tuple[int, frozenset[tuple[str, str]]]] = {}
    firsts: dict[tuple[str, str], frozenset[tuple[str, str]]] = {}
    told = set()
    for number, (name, phrases) in enumerate(_sections(track)):
        for phrase in phrases:
            for block in filter(_works, phrase.blocks):
                move, options = _form(block)
                before, was = last.get(move, (number, options))
                last[move] = (number, options)
                less = was - options - _EASED
                row = build == "add-on" and less
                fewer = row or (less and len(options) < len(was))
                firsts.setdefault((move, name), options)
                again = name == "chorus" and options == firsts[move, name]  # a chorus as it is
                if before != number and fewer and not again and move not in told:
                    told.add(move)
                    yield f"comes back plainer: {move} {_words(was)} -> {_words(options)} ({name})"


def _against_plane(plan: ClassPlan) -> Iterator[str]:
    for number, track in enumerate(plan.tracks, 1):
        if track.part == "stretch":
            continue
        sent = {
            (block.move, key)
            for phrase in track.phrases
            for block in filter(_works, phrase.blocks)
            for factor, key in block.variation
            if factor == "travel" and (catalogue().moves[block.move].plane, key) in _AGAINST
        }
        for move, key in sorted(sent):
            yield f"track {number}: {move} sent {key}, against its plane"


def _at_once(plan: ClassPlan) -> Iterator[str]:
    """Yield moves of a warm-up that take two or more things at once, not met with that move."""
    trained = "trained" in " ".join(plan.brief.group_notes) or plan.brief.group.intensity == "hard"
    met: dict[str, set[frozenset[tuple[str, str]]]] = {}
    known: set[tuple[str, str]] = set()
    for number, track in enumerate(plan.tracks, 1):
        if track.part != "warm-up":
            return
        for phrase in track.phrases:
            for block in filter(_works, phrase.blocks):
                move, options = _form(block)
                had = met.setdefault(move, {frozenset()})
                new = min((len(options - one) for one in had), default=0)
                if new > 1 and (not trained or len(options - known) > 1):
                    told = f"{new} things at once in a warm-up: {move} {_words(options)}"
                    yield f"track {number}: {told}"
                had.add(options)
                known |= options


def _choruses(track: PlannedTrack) -> frozenset[str]:
    return frozenset(
        block.move
        for phrase in track.phrases
        if phrase.section == "chorus"
        for block in filter(_works, phrase.blocks)
    )


def _opens(track: PlannedTrack) -> str:
    works = (b.move for p in track.phrases for b in p.blocks if _works(b))
    return next(works, "")


def _alike(plan: ClassPlan) -> Iterator[str]:
    """Yield neighbouring songs whose choruses, or first moves, are the same."""
    for number, (one, other) in enumerate(pairwise(plan.tracks), 2):
        parts = {one.part, other.part}
        if not parts <= {"warm-up", "main", "cool-down"}:
            continue
        first, second = _choruses(one), _choruses(other)
        same = first & second
        both = bool(same) and same in (first, second)
        if both or (same and parts == {"warm-up"}):
            yield f"tracks {number - 1}, {number}: the same chorus: {', '.join(sorted(same))}"
        if _opens(one) == _opens(other):
            yield f"tracks {number - 1}, {number}: both open with {_opens(one)}"


def _often(plan: ClassPlan) -> Iterator[str]:
    """Yield base moves and forms that come in too many songs of the main part."""
    songs = [track for track in plan.tracks if track.part == "main"]
    if len(songs) < _MANY_SONGS:
        return
    choruses, moves, forms = Counter[str](), Counter[str](), Counter[Form]()
    for track in songs:
        choruses.update(_choruses(track))
        done = [block for phrase in track.phrases for block in filter(_works, phrase.blocks)]
        moves.update({block.move for block in done})
        forms.update({_form(block) for block in done if _form(block)[1]})
    sets = Counter(
        frozenset(b.move for p in track.phrases for b in filter(_works, p.blocks))
        for track in songs
    )
    few = len(moves) < _MANY_SONGS  # a class that has few moves comes back to each
    for same, times in sorted(sets.items(), key=str):
        if times > 1 and len(same) > 2 and not few:
            yield f"{times} songs of {', '.join(sorted(same))}"
    for move, times in sorted(choruses.items()):
        if times > ceil(_CHORUSES * len(songs)) + few:
            yield f"{move} in {times} choruses of {len(songs)} songs"
    for move, times in sorted(moves.items()):
        if times > _OF_SONGS * len(songs) and not few:
            yield f"{move} in {times} of {len(songs)} songs"
    for (move, options), times in sorted(forms.items(), key=str):
        if times > ceil(_FORM_SONGS * len(songs)):
            yield f"{move} {_words(options)} in {times} songs"


def _for_one_phrase(plan: ClassPlan) -> Iterator[str]:
    """Yield what is done to a move in one phrase of the class only: taught for nothing."""
    times: Counter[tuple[str, str, str]] = Counter()
    where: dict[tuple[str, str, str], int] = {}
    for number, track in enumerate(plan.tracks, 1):
        for phrase in track.phrases if track.part in _BUILDING else ():
            done = {(block.move, *change) for block in filter(_works, phrase.blocks)
                    for change in block.variation if change[0] != "sides"}  # fmt: skip
            times.update(done)
            where |= dict.fromkeys(done, number)
    for (move, factor, key), count in sorted(times.items()):
        if count == 1:
            yield f"track {where[move, factor, key]}: {move} {factor}={key} for one phrase"


def _plain(plan: ClassPlan) -> Iterator[str]:
    """Yield songs after the first two in which nothing is done to any move."""
    new = {"first week", "beginners"} & set(plan.brief.group_notes)
    for number, track in enumerate(plan.tracks, 1):
        forms = [_form(b) for p in track.phrases for b in filter(_works, p.blocks)]
        varied = any(options - _EASED for _, options in forms)
        if number > 2 and track.part in _BUILDING and not new and not varied:
            yield f"track {number}: nothing is done to any move"


def _turns(plan: ClassPlan) -> Iterator[str]:
    """Yield one move in too many turns of work, or sent away for a whole long turn."""
    turns: dict[int, Block] = {}
    lasted: Counter[int] = Counter()
    for track in plan.tracks:
        for phrase in track.phrases:
            for block in phrase.blocks:
                if block.stint is not None and block.stint.works and block.stint.number:
                    turns[block.stint.number] = block
                    seconds = 60.0 * block.counts / (track.tempo_bpm * track.speed)
                    lasted[block.stint.number] += round(seconds)
    times = Counter(block.move for block in turns.values())
    most = -(-len(turns) // 3)
    for move, count in sorted(times.items()):
        if len(turns) >= _MANY_SONGS and count > most:
            yield f"{move} in {count} of {len(turns)} turns of work"
    away = {
        _form(block)
        for number, block in turns.items()
        if lasted[number] > _SENT_AWAY_S and any(f == "travel" for f, _ in block.variation)
    }
    for move, options in sorted(away, key=str):
        yield f"{move} {_words(options)} for a whole turn of work"


def _cooling(track: PlannedTrack) -> Iterator[str]:
    """Yield raised arms with which a cool-down begins."""
    if track.part != "cool-down":
        return
    first: Sequence[Block] = [b for p in track.phrases for b in p.blocks if _works(b)][:1]
    if any(("arms", "raise") in block.variation for block in first):
        yield "a cool-down song begins with raised arms"
