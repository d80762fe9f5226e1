"""The plans of the page: kept with every state, changed on a revision, undone without end."""

from __future__ import annotations

import contextlib
import hashlib
import threading
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from aquatempo.documents.plan import any_plan_from_text, plan_text
from aquatempo.errors import AquatempoError, ConflictError, InputError
from aquatempo.moves import catalogue
from aquatempo.music.hearing import open_track
from aquatempo.records.brief import Brief, BuildWay, Intervals, IntervalUnit
from aquatempo.records.moves import MoveKind
from aquatempo.records.plan import ClassPlan
from aquatempo.records.plan_page import (
    AlternativeShown,
    BriefForm,
    PlanChange,
    PlanEntry,
    PlanHead,
    PlanKind,
    PlanShown,
    PlanStep,
)
from aquatempo.records.shaping import Alternative
from aquatempo.records.verdict import ImpactBand
from aquatempo.records.water_page import ClassForm
from aquatempo.store import plan_folders
from aquatempo.workflow import shaping
from aquatempo.workflow.planning import with_analyses
from aquatempo.workflow.water import read_form

__all__ = ["PlanDesk", "brief_of", "brief_words"]

LONGEST_PLAN = 400_000  # letters; a plan of two hours has some 60,000
MOST_CHOICES = 8


def brief_of(form: BriefForm, water: ClassForm, language: str) -> Brief:
    """Return the brief of a form and of the pool and group of the water. Raises InputError.

    language: of the calls.
    """
    from aquatempo.class_shape.themes import theme_key
    from aquatempo.units import check_range

    pool, group = read_form(water)
    check_range("length of the class", form.minutes, "minutes", 5.0, 180.0)
    known = catalogue()
    intervals = None
    if form.sets:
        unit = IntervalUnit(form.unit) if form.unit in list(IntervalUnit) else IntervalUnit.PHRASES
        check_range("sets", form.sets, "", 1, 40)
        check_range("work", form.work, unit.value, 0.5, 600)
        check_range("rest", form.rest, unit.value, 0.5, 600)
        intervals = Intervals(form.work, form.rest, form.sets, unit)
    for name in (*form.wanted, *form.banned):
        known.move(name)
    return Brief(
        title=form.title.strip()[:120] or Brief().title,
        minutes=form.minutes,
        depth=pool.kind,
        twin=False,
        pool=pool,
        group=group,
        group_notes=tuple(note.strip() for note in form.notes if note.strip()),
        intervals=intervals,
        build=BuildWay(form.build) if form.build in list(BuildWay) else Brief().build,
        max_impact=ImpactBand(form.max_impact) if form.max_impact in list(ImpactBand) else None,
        wanted_moves=form.wanted,
        banned_moves=form.banned,
        themes=tuple(theme_key(one) for one in form.themes),
        language=language,
    )


def brief_words(
    water: ClassForm, language: str
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...], tuple[tuple[str, str], ...]]:
    """Return what a brief may name: notes, themes, ways to build, (key, name) of moves.

    water: for the depth of the moves; language: of their names.
    """
    from aquatempo.class_shape.notes import vocabulary
    from aquatempo.class_shape.themes import themes
    from aquatempo.cues.language import load_language
    from aquatempo.deck.call_words import move_words

    pack, known = load_language(language), catalogue()
    named = [
        (move.key, pack.localise(move_words(move)).name)
        for kind in (MoveKind.BASE, MoveKind.DEEP_ONLY)
        for move in known.of_kind(kind)
        if water.kind in move.depths
    ]
    named.sort(key=lambda pair: pair[1])
    ways = tuple(way.value for way in BuildWay)
    return tuple(vocabulary()), tuple(themes()), ways, tuple(named)


class PlanDesk:
    """Plans by their ids.

    file_of: the file of a song's id; song_of: the id of a file in the list, or ""; named: the
    file in the list that has a name, or "".
    """

    def __init__(
        self,
        file_of: Callable[[str], str],
        song_of: Callable[[str], str],
        named: Callable[[str], str],
    ) -> None:
        self._file_of, self._song_of, self._named = file_of, song_of, named
        self._lock = threading.RLock()
        self._prepared: set[str] = set()
        self._weighing = threading.Lock()
        self._shown: dict[tuple[str, str, str], PlanShown] = {}

    def entries(self) -> tuple[PlanEntry, ...]:
        """Return the plans that are kept, the last changed first; a broken one is left out."""
        found = []
        for key in plan_folders.kept_plans():
            file = plan_folders.plan_folder(key) / "plan.toml"
            try:
                plan = self._read(key)[1]
            except AquatempoError:
                continue
            found.append(
                PlanEntry(
                    key,
                    plan.brief.title,
                    plan.brief.depth.value,
                    plan.brief.minutes,
                    sum(bool(track.file) for track in plan.tracks),
                    file.stat().st_mtime,
                )
            )
        return tuple(found)

    def keep(self, text: str, kind: PlanKind, about: str = "") -> str:
        """Keep a new plan, a text; return its id. kind, about: the first step of its history."""
        key = plan_folders.new_plan_folder()
        plan_folders.write_state(key, PlanHead((PlanStep(kind, about),)), text)
        return key

    def open_text(self, name: str, text: str) -> str:
        """Keep a plan, a text that a person opens from a file by a name; return its id.

        Raises TextFileError.
        Its songs are those of the list with the same name: no other file is touched.
        """
        if len(text) > LONGEST_PLAN:
            raise InputError(f"{name!r} is too long for a plan")
        plan = any_plan_from_text(name, text)
        tracks = tuple(
            replace(track, file=self._own_file(track.file)) if track.file else track
            for track in plan.tracks
        )
        return self.keep(plan_text(replace(plan, tracks=tracks)), PlanKind.OPENED, name)

    def text(self, key: str) -> str:
        """Return the plan's text, as the command line reads it."""
        return self._read(key)[0]

    def plan(self, key: str) -> ClassPlan:
        """Return the plan of an id, without the beats of its songs."""
        return self._read(key)[1]

    def with_beats(self, key: str) -> ClassPlan:
        """Return the plan of an id with the beats of its songs. Raises AudioError."""
        return with_analyses(self._safe(self._read(key)[1]))

    def show(self, key: str, language: str) -> PlanShown:
        """Return the plan of a key with its review; language: of names. Raises InputError."""
        from aquatempo.workflow.plan_showing import shown_plan
        from aquatempo.workflow.reviewing import review

        with self._lock:
            text, plan, head = self._read(key)
        revision = _digest(text)
        known = self._shown.get((key, revision, language))
        if known is not None and (known.undo, known.redo) == _ends(head):
            return known
        source = catalogue()
        safe = self._safe(plan)
        try:
            found = review(with_analyses(safe), source=source)
        except AquatempoError:  # a song that is not there: the plan is reviewed without beats
            found = review(safe, source=source)
        shown = shown_plan(key, plan, found, head, revision, source, language, self._song_of)
        self._shown[key, revision, language] = shown
        while len(self._shown) > 30:
            self._shown.pop(next(iter(self._shown)))
        return shown

    def prepare(self, key: str, progress: Callable[[int, int], None]) -> None:
        """Rate the moves of a plan's brief in the background, so that choices come at once.

        key: of the plan; progress: told how many moves are weighed, of all.
        """
        with self._lock:
            if key in self._prepared:
                return
            self._prepared.add(key)
        threading.Thread(target=self._rate, args=(key, progress), name="rate", daemon=True).start()

    def _rate(self, key: str, progress: Callable[[int, int], None]) -> None:
        """Weigh a block of each song before which the class has learned moves: the rest is kept."""
        learned: set[str] = set()
        weighed: set[str] | None = None
        for number, track in enumerate(self._read(key)[1].tracks, 1):
            for place, _ in enumerate(track.phrases, 1):
                if learned == weighed:
                    break
                with contextlib.suppress(AquatempoError):  # not a block of work: the next one
                    self._alternatives(self._read(key)[1], f"{number}.{place}.1", progress)
                    weighed = learned.copy()
            learned |= {block.move for phrase in track.phrases for block in phrase.blocks}

    def forget(self) -> None:
        """Show everything anew: a song was corrected, or moved."""
        self._shown.clear()

    def alternatives(
        self, key: str, place: str, language: str, progress: Callable[[int, int], None]
    ) -> tuple[AlternativeShown, ...]:
        """Return what else might be done in a block, the best first. Raises InputError.

        key: of the plan; place: of the block, such as 3.5.2; language: of names; progress: told
        how many moves are weighed, of all.
        """
        from aquatempo.workflow.plan_showing import shown_alternative

        source = catalogue()
        found = self._alternatives(self._read(key)[1], place, progress)
        return tuple(shown_alternative(one, source, language) for one in found)

    def change(self, key: str, change: PlanChange, revision: str) -> None:
        """Make a change to the plan of a key.

        Raises ConflictError where it is no longer at the revision.
        """
        with self._lock:
            text, plan, head = self._read(key)
            _check(text, revision, plan)
            changed = self._changed(plan, change)
            about = change.place or change.new or change.old or (str(change.track or ""))
            self._write(key, head, plan_text(changed, text), PlanStep(change.kind, about))

    def put(self, key: str, text: str, kind: PlanKind, revision: str) -> None:
        """Put the text that long work made of the plan of a key; kind: the step in its history.

        Raises ConflictError where it is no longer at the revision.
        """
        with self._lock:
            now, plan, head = self._read(key)
            _check(now, revision, plan)
            self._write(key, head, text, PlanStep(kind))

    def step(self, key: str, by: int, revision: str) -> None:
        """Undo (by -1) or redo (1) in the plan of a key that is at a revision.

        Raises ConflictError, and InputError where nothing is left.
        """
        with self._lock:
            text, plan, head = self._read(key)
            _check(text, revision, plan)
            at = head.at + by
            if not 0 <= at < len(head.steps):
                raise InputError("there is nothing to undo" if by < 0 else "nothing to redo")
            state = plan_folders.read_state(key, at)
            plan_folders.write_state(key, replace(head, at=at), state)

    def drop(self, key: str) -> None:
        """Remove a plan and its history."""
        plan_folders.drop_plan_folder(key)

    def _write(self, key: str, head: PlanHead, text: str, step: PlanStep) -> None:
        steps = (*head.steps[: head.at + 1], step)
        plan_folders.write_state(key, replace(head, steps=steps, at=len(steps) - 1), text)

    def _read(self, key: str) -> tuple[str, ClassPlan, PlanHead]:
        head = plan_folders.read_head(key)
        text = plan_folders.read_state(key, head.at)
        return text, any_plan_from_text("this plan", text), head

    def _changed(self, plan: ClassPlan, change: PlanChange) -> ClassPlan:
        kind, track = change.kind, change.track
        if kind is PlanKind.LOCK:
            return shaping.lock(plan, change.place)
        if kind is PlanKind.UNLOCK:
            return shaping.unlock(plan, change.place)
        if kind is PlanKind.MOVE_SONG:
            return shaping.move_track(plan, track, change.to)
        if kind is PlanKind.DROP_SONG:
            return shaping.drop_track(plan, track)
        if kind is PlanKind.ADD_SONG:
            return shaping.add_track(plan, open_track(self._file_of(change.song)), track)
        if kind is PlanKind.REPLACE_SONG:
            return shaping.replace_track(plan, track, open_track(self._file_of(change.song)))
        if kind is PlanKind.USE:
            found = self._alternatives(plan, change.place)
            if not 0 <= change.choice < len(found):
                raise InputError("this choice is not there any more")
            chosen = found[change.choice]
            return shaping.use_alternative(plan, change.place, chosen, change.everywhere)
        if kind is PlanKind.SWAP_MOVE:
            tracks: Sequence[int] = (track,) if track else ()
            return shaping.swap_moves(plan, change.old, change.new, tracks=tracks)
        if kind is PlanKind.DROP_MOVE:
            return shaping.drop_move(plan, change.old)
        if kind is PlanKind.ADD_MOVE:
            return shaping.add_move(plan, change.new, track=track)
        if kind is PlanKind.SWAP_PHRASES:
            return shaping.swap_phrases(plan, change.place, change.other)
        if kind is PlanKind.LATE:
            return shaping.late(plan, change.minutes)
        if kind is PlanKind.TITLE:
            title = change.title.strip()[:120] or plan.brief.title
            return replace(plan, brief=replace(plan.brief, title=title))
        raise InputError(f"{kind}: a plan is not changed like this")

    def _alternatives(
        self, plan: ClassPlan, place: str, progress: Callable[[int, int], None] | None = None
    ) -> tuple[Alternative, ...]:
        """Weigh the moves for a block; of two at once the second finds them rated."""
        with self._weighing:
            return shaping.alternatives(plan, place, best=MOST_CHOICES, progress=progress)

    def _own_file(self, file: str) -> str:
        """Return the file of the list that a plan means, by its path or else its name."""
        return file if self._song_of(file) else self._named(Path(file).name)

    def _safe(self, plan: ClassPlan) -> ClassPlan:
        """Return a plan of which only songs of the list are opened."""
        tracks = tuple(
            replace(one, file=one.file if self._song_of(one.file) else "") if one.file else one
            for one in plan.tracks
        )
        return replace(plan, tracks=tracks)


def _digest(text: str) -> str:
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()


def _ends(head: PlanHead) -> tuple[PlanStep | None, PlanStep | None]:
    undo = head.steps[head.at] if head.at > 0 else None
    return undo, head.steps[head.at + 1] if head.at + 1 < len(head.steps) else None


def _check(text: str, revision: str, plan: ClassPlan) -> None:
    if _digest(text) != revision:
        raise ConflictError(f"{plan.brief.title!r} was changed elsewhere meanwhile")
