"""Long work on a class, as the open windows follow it: one piece at a time."""

from __future__ import annotations

import threading
from collections.abc import Callable

from aquatempo.errors import AquatempoError, ConflictError
from aquatempo.records.plan_page import JobShown, OtherShown, PlanKind
from aquatempo.web.news import News
from aquatempo.workflow.plan_desk import PlanDesk
from aquatempo.workflow.plan_jobs import MadePlan, PlanTask, PlanWork

__all__ = ["ClassWork"]


class ClassWork:
    """Starts long work, tells the windows how far it is, and keeps what comes of it."""

    def __init__(self, plans: PlanDesk, news: News) -> None:
        self._plans, self._news, self._work = plans, news, PlanWork()
        self._lock = threading.Lock()
        self._shown = JobShown()

    @property
    def shown(self) -> JobShown:
        """How it stands."""
        with self._lock:
            return self._shown

    def start_new(self, task: PlanTask, kind: PlanKind) -> JobShown:
        """Start work that makes a new plan. Raises ConflictError while other work runs.

        task: what is done; kind: the first step of the plan's history.
        """
        return self._start(task, lambda made: JobShown(plan=self._kept(made, kind)))

    def start_others(self, task: PlanTask) -> JobShown:
        """Start work that makes more classes for a brief. Raises ConflictError as above.

        task: what is done. The first of them is told as the plan that came of it.
        """

        def keep(made: tuple[MadePlan, ...]) -> JobShown:
            keys = [self._plans.keep(one.text, PlanKind.OTHER) for one in made]
            told = [
                OtherShown(k, m.title, m.moves, m.shared) for k, m in zip(keys, made, strict=True)
            ]
            return JobShown(plan=keys[0], others=tuple(told))

        return self._start(task, keep)

    def start_on(self, key: str, task: PlanTask, kind: PlanKind, revision: str) -> JobShown:
        """Start work that changes a plan. Raises ConflictError while other work runs.

        key: of the plan; task: what is done; kind: the step in its history; revision: the
        state that it starts from.
        """

        def keep(made: tuple[MadePlan, ...]) -> JobShown:
            self._plans.put(key, made[0].text, kind, revision)
            return JobShown(plan=key)

        return self._start(task, keep)

    def stop(self) -> JobShown:
        """Stop what runs; nothing is kept of it."""
        self._work.stop()
        return self._tell(JobShown())

    def _start(self, task: PlanTask, keep: Callable[[tuple[MadePlan, ...]], JobShown]) -> JobShown:
        def done(made: tuple[MadePlan, ...]) -> None:
            try:
                shown = keep(made)
            except AquatempoError as exc:
                self._tell(JobShown(error=str(exc)))
            else:
                self._tell(shown)
                self._news.tell("plan", shown.plan)

        def progress(what: str, at: int, of: int) -> None:
            self._tell(JobShown(True, what, at, of))

        def failed(words: str) -> None:
            self._tell(JobShown(error=words))

        started = self._work.start(task, progress=progress, done=done, failed=failed)
        if not started:
            raise ConflictError("a class is being planned already: wait for it, or stop it")
        return self._tell(JobShown(running=True, what="planning"))

    def _kept(self, made: tuple[MadePlan, ...], kind: PlanKind) -> str:
        return self._plans.keep(made[0].text, kind)

    def _tell(self, shown: JobShown) -> JobShown:
        with self._lock:
            self._shown = shown
        self._news.tell("job", plan=shown.plan, error=shown.error)
        return shown
