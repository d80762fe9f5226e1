"""Long work on a class in a process of its own: it can be stopped, and the page stays quick."""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection

from aquatempo.documents.plan import any_plan_from_text, plan_text
from aquatempo.errors import AquatempoError
from aquatempo.records.plan import Brief
from aquatempo.records.shaping import OtherClass

__all__ = ["MadePlan", "PlanTask", "PlanWork"]

_PLAN = "plan"
_OTHERS = 2  # classes for the same brief at a time


@dataclass(frozen=True, slots=True)
class PlanTask:
    """What is to be done: plan from a brief, or plan again or for the other depth from a text.

    what: ``plan``, ``again``, ``twin`` or ``others``; files: music to choose from, none: the songs
    stay. language: of the names of moves.
    """

    what: str
    files: tuple[str, ...] = ()
    brief: Brief | None = None
    text: str = ""
    all_once: bool = False
    language: str = "en"


@dataclass(frozen=True, slots=True)
class MadePlan:
    """A plan that came of it, as text.

    Of another class for a brief: title; moves: its base moves by name; shared: share of its
    work, 0 to 1, with base moves of the class of the task.
    """

    text: str
    title: str = ""
    moves: tuple[str, ...] = ()
    shared: float = 1.0


class PlanWork:
    """One piece of work at a time; done is told the plans made, failed a line, or neither."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: multiprocessing.process.BaseProcess | None = None

    @property
    def running(self) -> bool:
        """Whether something is being worked on."""
        with self._lock:
            return self._process is not None

    def start(
        self,
        task: PlanTask,
        *,
        progress: Callable[[str, int, int], None],
        done: Callable[[tuple[MadePlan, ...]], None],
        failed: Callable[[str], None],
    ) -> bool:
        """Start a task in the background; return whether nothing else was running.

        progress: told what is done, how many are done, of all; done: the plans made;
        failed: why there is none.
        """
        context = multiprocessing.get_context("spawn")
        with self._lock:
            if self._process is not None:
                return False
            ours, theirs = context.Pipe(duplex=False)
            process = context.Process(target=_work, args=(theirs, task), daemon=False)
            self._process = process
            process.start()
            theirs.close()
        threading.Thread(
            target=self._follow, args=(process, ours, progress, done, failed), daemon=True
        ).start()
        return True

    def stop(self) -> None:
        """Stop what runs, if anything does; nothing is kept of it."""
        with self._lock:
            process, self._process = self._process, None
        if process is not None:
            process.terminate()
            process.join(5.0)

    def _follow(
        self,
        process: multiprocessing.process.BaseProcess,
        ours: Connection,
        progress: Callable[[str, int, int], None],
        done: Callable[[tuple[MadePlan, ...]], None],
        failed: Callable[[str], None],
    ) -> None:
        last: Callable[[], None] | None = None
        try:
            while last is None:
                kind, *facts = ours.recv()
                if kind == "progress":
                    progress(*facts)
                elif kind == "done":
                    last = lambda made=facts[0]: done(made)  # noqa: E731
                else:
                    last = lambda words=facts[0]: failed(words)  # noqa: E731
        except EOFError:
            process.join()
            if self._is_ours(process):
                last = lambda: failed("planning broke off (out of memory?)")  # noqa: E731
        process.join()
        with self._lock:
            if self._process is process:
                self._process = None
            elif self._process is None and last is not None:
                return  # it was stopped meanwhile
        if last is not None:
            last()

    def _is_ours(self, process: multiprocessing.process.BaseProcess) -> bool:
        with self._lock:
            return self._process is process


def _work(pipe: Connection, task: PlanTask) -> None:
    try:
        pipe.send(("done", _result(task, lambda *told: pipe.send(("progress", *told)))))
    except AquatempoError as exc:
        pipe.send(("failed", str(exc)))
    finally:
        pipe.close()


def _result(task: PlanTask, told: Callable[[str, int, int], None]) -> tuple[MadePlan, ...]:
    from aquatempo.workflow import planning, shaping

    if task.what == _PLAN:
        report = planning.plan(
            list(task.files), task.brief, all_once=task.all_once, jobs=1, progress=told
        )
        return (MadePlan(plan_text(report.plan)),)
    plan = any_plan_from_text("this plan", task.text)

    def step(done: int, total: int) -> None:
        told("planning", done, total)

    if task.what == "twin":
        return (MadePlan(plan_text(shaping.twin(plan))),)
    tracks = _heard(task.files, told)
    if task.what == "others":
        others = shaping.other_classes(tracks, plan, count=_OTHERS, progress=step)
        return tuple(_made(one, number, task.language) for number, one in enumerate(others, 2))
    return (MadePlan(plan_text(shaping.plan_again(plan, tracks=tracks, progress=step))),)


def _made(other: OtherClass, number: int, language: str) -> MadePlan:
    """Return another class, its title told from the first one's by a number."""
    from aquatempo.cues.language import load_language
    from aquatempo.deck.call_words import move_words
    from aquatempo.moves import catalogue

    title = f"{other.plan.brief.title} ({number})"
    plan = replace(other.plan, brief=replace(other.plan.brief, title=title))
    pack, known = load_language(language), catalogue()
    names = tuple(pack.localise(move_words(known.move(key))).name for key in other.bases)
    return MadePlan(plan_text(plan), title, names, other.shared)


def _heard(files: Sequence[str], told: Callable[[str, int, int], None]) -> list:  # type: ignore[type-arg]
    from aquatempo.music.hearing import AS_USUAL, each_track
    from aquatempo.records.track import Track

    found = each_track(list(files), AS_USUAL, 1, lambda done, all_: told("listening", done, all_))
    return [one for one in found if isinstance(one, Track)]
