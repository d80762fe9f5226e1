"""The choreography of a song before any move is chosen: which phrase does what again.

A place is filled by one base move. A slice is some counts of a phrase that a place gets;
slices with the same tie are done alike, as a chorus that comes back. How moves are put
together is common practice, no source:

- linear: a move for the verses, one or two for the chorus that comes back, a third between;
- layer: the same, and each return has one thing more;
- block: a set of moves, gone through again and again, another factor each time;
- add-on: A, B, AB, C, ABC, ... until all are done in a row within a phrase, then that harder;
- pyramid: sets on one side, 8 right, 8 left, 4, 4, 2, 2, 1, 1, where the chorus is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from aquatempo.planning.songs.sections import Role, SongSection
from aquatempo.records.brief import BuildWay, Experience
from aquatempo.units import COUNTS_PER_EIGHT, COUNTS_PER_PHRASE

__all__ = ["Design", "Slice", "design_song", "pyramid_counts", "sets_of"]

SET_SIZES = {
    Experience.FIRST_WEEK: 2,
    Experience.BEGINNERS: 3,
    Experience.REGULAR: 4,
    Experience.TRAINED: 4,
}  # moves of a block or add-on (common practice, no source)
_STEPS = (8, 4, 2, 1)  # repetitions a side
_ROUND = 2  # phrases that the full row of an add-on stays as it is
_PYRAMID_PHRASES, _SHORT_PHRASES = 4, 2  # that a pyramid from 8, from 4 takes in water tempo


@dataclass(frozen=True)
class Slice:
    """Some counts of a phrase. tie: slices of one tie are done alike.

    pyramid: it is counted out side by side. turn: which return of its place it is, 0 the
    first. plain: it is done as it was learned, with nothing new.
    """

    counts: int
    place: int
    tie: int
    turn: int = 0
    pyramid: bool = False
    plain: bool = False


@dataclass(frozen=True)
class Design:
    """What each phrase of a song is made of. names: what each phrase is called.

    roles: of each place; firsts: the phrase in which each place comes first.
    """

    slices: tuple[tuple[Slice, ...], ...]
    names: tuple[str, ...]
    roles: tuple[Role, ...]

    @property
    def places(self) -> int:
        """How many base moves it asks for, at most."""
        return len(self.roles)


class _Drawing:
    """A design in the making."""

    def __init__(self, phrases: int) -> None:
        self.rows: list[list[Slice]] = [[] for _ in range(phrases)]
        self.names = [""] * phrases
        self.roles: list[Role] = []
        self.ties: dict[object, int] = {}
        self.turns: dict[int, int] = {}
        self.chorus = 0  # phrases of the first one

    def place(self, role: Role) -> int:
        self.roles.append(role)
        return len(self.roles) - 1

    def tie(self, key: object) -> int:
        return self.ties.setdefault(key, len(self.ties))

    def put(
        self, phrase: int, counts: int, place: int, key: object, *, turn: int, pyramid: bool = False
    ) -> None:
        self.rows[phrase].append(Slice(counts, place, self.tie(key), turn, pyramid))

    def done(self) -> Design:
        return Design(tuple(map(tuple, self.rows)), tuple(self.names), tuple(self.roles))


def design_song(
    way: BuildWay,
    sections: Sequence[SongSection],
    counts: Sequence[int],
    experience: Experience,
    *,
    teaching: bool = False,
) -> Design:
    """Return the design of a song of some sections, by the way of building.

    counts: of each whole phrase. teaching: moves are met here, so nothing is put together.
    experience: what the group has done before.
    """
    drawing = _Drawing(len(counts))
    if way is BuildWay.BLOCK and len(counts) > 1:
        _block(drawing, counts, SET_SIZES[experience])
    elif way is BuildWay.ADD_ON and len(counts) >= 4:
        slow = experience in (Experience.FIRST_WEEK, Experience.BEGINNERS)
        _add_on(drawing, counts, SET_SIZES[experience], 2 if slow else 1)
    else:
        _verses(drawing, way, sections, counts, experience, teaching)
    return drawing.done()


def _verses(
    drawing: _Drawing,
    way: BuildWay,
    sections: Sequence[SongSection],
    counts: Sequence[int],
    experience: Experience,
    teaching: bool,
) -> None:
    known = list(Experience).index(experience)
    trained = known >= 3  # a trained group meets more moves in a warm-up, each for less time
    pair = known >= 2 and (trained or not teaching) and way is not BuildWay.PYRAMID
    verse: int | None = None
    other: int | None = None
    chorus: list[int] = []
    middle: int | None = None
    joined: set[int] = set()
    long = [i for i in range(1, len(sections)) if _joins(sections, i, counts, _PYRAMID_PHRASES)]
    short = [i for i in range(1, len(sections)) if _joins(sections, i, counts, _SHORT_PHRASES)]
    for index, section in enumerate(sections):
        rows = range(section.first, section.first + section.length)
        if index in joined:
            continue
        if chorus and way is BuildWay.PYRAMID and index in (*short, *long[-1:]):
            both = range(section.first, section.first + section.length + sections[index + 1].length)
            _second_base(drawing, way, sections[index + 1], chorus, known)
            _chorus(drawing, way, sections[index + 1], both, counts, chorus, teaching)
            joined.add(index + 1)
            continue
        if section.role is Role.CHORUS:
            if not chorus:
                chorus = [drawing.place(Role.CHORUS)]
                chorus += [drawing.place(Role.CHORUS)] if pair and section.length > 1 else []
            _second_base(drawing, way, section, chorus, known)
            _chorus(drawing, way, section, rows, counts, chorus, teaching)
            continue
        if section.role is Role.MIDDLE and (known >= 1 or teaching):
            middle = drawing.place(Role.MIDDLE) if middle is None else middle
            mine, name = middle, "middle"
        elif section.turn == 1 and trained and way is BuildWay.LINEAR:
            other = drawing.place(Role.VERSE) if other is None else other
            mine, name = other, "verse 2"
        else:
            verse = drawing.place(Role.VERSE) if verse is None else verse
            mine, name = verse, f"verse {section.turn + 1}"
        for row in rows:
            key = (mine, section.role, section.turn, row)
            drawing.put(row, counts[row], mine, key, turn=section.turn)
            drawing.names[row] = name


def _second_base(
    drawing: _Drawing, way: BuildWay, section: SongSection, chorus: list[int], known: int
) -> None:
    """Give the pyramids of a group that knows its way about a second move, when it is due."""
    if way is BuildWay.PYRAMID and known >= 2 and section.turn > 0 and len(chorus) == 1:
        chorus.append(drawing.place(Role.CHORUS))


def _joins(
    sections: Sequence[SongSection], index: int, counts: Sequence[int], phrases: int
) -> bool:
    """Return whether a quiet section and the chorus after it hold a pyramid of so many phrases.

    The large steps are in the quiet, the single ones in the loud.
    """
    if index + 1 >= len(sections) or sections[index].role is Role.CHORUS:
        return False
    after = sections[index + 1]
    length = sections[index].length + after.length
    rows = range(sections[index].first, sections[index].first + length)
    whole = all(counts[row] == COUNTS_PER_PHRASE for row in rows)
    return after.role is Role.CHORUS and length == phrases and whole


def _chorus(
    drawing: _Drawing,
    way: BuildWay,
    section: SongSection,
    rows: range,
    counts: Sequence[int],
    places: Sequence[int],
    teaching: bool,
) -> None:
    """Draw a chorus: the same each time it comes, but for layers, pyramids and lessons.

    A longer one than the first begins it again: its last phrase brings nothing new. Pyramids
    take two moves in turn, so that no leg works on through a song; the first of one phrase is a set
    of four repetitions a side, as nothing smaller is learned in it.
    """
    anew = way in (BuildWay.LAYER, BuildWay.PYRAMID)
    turn = section.turn if anew else min(section.turn, 1) if teaching else 0
    drawing.chorus = drawing.chorus or len(rows)
    alone = section.turn == 0 and len(rows) == 1
    if way is BuildWay.PYRAMID:
        places = [places[section.turn % len(places)]]
    for index, row in enumerate(rows):
        drawing.names[row] = "pyramid" if way is BuildWay.PYRAMID and not alone else "chorus"
        pyramid = way is BuildWay.PYRAMID and counts[row] == COUNTS_PER_PHRASE and not alone
        step = index % drawing.chorus
        place = places[step % len(places)]
        key = (place, "chorus", turn, 0 if pyramid else step // len(places) % 2)
        drawing.put(row, counts[row], place, key, pyramid=pyramid, turn=section.turn)


def _block(drawing: _Drawing, counts: Sequence[int], size: int) -> None:
    """Draw a set of moves gone through again and again, two phrases each where there is room."""
    size = min(size, max(2, len(counts) // 2))
    each = 2 if len(counts) >= 4 * size else 1
    places = [drawing.place(Role.VERSE if k % 2 == 0 else Role.CHORUS) for k in range(size)]
    for row, length in enumerate(counts):
        turn, inside = divmod(row, size * each)
        place = places[inside // each]
        drawing.put(row, length, place, (place, turn), turn=turn)
        drawing.names[row] = f"set, round {turn + 1}"


def _add_on(drawing: _Drawing, counts: Sequence[int], size: int, learn: int) -> None:
    """Draw A, B, AB, C, ABC, ... and then all of them in a row until the song ends."""
    script: list[tuple[int, ...]] = []
    for known in range(size):
        script += [(known,)] * learn
        if known:
            script.append(tuple(range(known + 1)))
    last = tuple(range(size))
    places: list[int] = []
    for row, length in enumerate(counts):
        together = script[row] if row < len(script) else last
        while len(places) <= max(together):
            places.append(drawing.place(Role.VERSE if len(places) % 2 == 0 else Role.CHORUS))
        if length != COUNTS_PER_PHRASE:
            together = together[:1]
        shares = _shares(len(together), length)
        drawing.names[row] = " ".join("ABCD"[k] for k in together)
        # What is learned alone goes into the row; once the whole row stands it comes back harder,
        # and stays so: a row of four that changes again is a new row.
        turn = int(row >= len(script) + _ROUND)
        for place, share in zip(together, shares, strict=True):
            drawing.put(row, share, place, (place, turn), turn=turn)


def _shares(size: int, counts: int) -> tuple[int, ...]:
    """Return how a phrase is shared out: 16 16, 16 8 8, 8 8 8 8."""
    if size == 1:
        return (counts,)
    eights = counts // COUNTS_PER_EIGHT
    each, more = divmod(eights, size)
    return tuple(COUNTS_PER_EIGHT * (each + (k < more)) for k in range(size))


def sets_of(phrases: int, most: int = 4) -> list[int]:
    """Return how a run of phrases is parted into pyramids: four, two or one at a time.

    most: phrases that a pyramid from 8 repetitions takes.

    >>> sets_of(7), sets_of(4, most=2)
    ([4, 2, 1], [2, 2])
    """
    found = []
    for size in (4, 2, 1):
        if size <= most:
            found += [size] * (phrases // size)
            phrases %= size
    return found


def pyramid_counts(repetition: int, total: int = 2 * COUNTS_PER_PHRASE) -> tuple[int, ...]:
    """Return the counts of the turns of a pyramid, one side and the other in turn.

    repetition: counts that one repetition on one side takes. 8, 4, 2, 1 repetitions a side,
    from the largest step that fits; the single ones go on until the counts are full. total:
    counts to fill.

    >>> pyramid_counts(4, 128)
    (32, 32, 16, 16, 8, 8, 4, 4, 4, 4)
    >>> pyramid_counts(4)
    (16, 16, 8, 8, 4, 4, 4, 4)
    """
    whole = total // repetition
    for start in range(len(_STEPS)):
        steps = _STEPS[start:]
        if 2 * sum(steps) <= whole:
            break
    turns = [step for step in steps for _ in range(2)]
    while sum(turns) + 2 <= whole:
        turns += [1, 1]
    return tuple(repetition * step for step in turns) if 2 * repetition <= total else ()
