"""Long work on a class, as the open windows follow it: one piece at a time."""

from __future__ import annotations

import threading
from collections.abc import Callable

from aquatempo.errors import AquatempoError, ConflictError
from aquatempo.records.plan_page import JobShown, PlanKind
from aquatempo.web.news import News
from aquatempo.workflow.plan_desk import PlanDesk
from aquatempo.workflow.plan_jobs import PlanTask, PlanWork

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
        return self._start(task, lambda text: self._plans.keep(text, kind))

    def start_on(self, key: str, task: PlanTask, kind: PlanKind, revision: str) -> JobShown:
        """Start work that changes a plan. Raises ConflictError while other work runs.

        key: of the plan; task: what is done; kind: the step in its history; revision: the
        state that it starts from.
        """

        def keep(text: str) -> str:
            self._plans.put(key, text, kind, revision)
            return key

        return self._start(task, keep)

    def stop(self) -> JobShown:
        """Stop what runs; nothing is kept of it."""
        self._work.stop()
        return self._tell(JobShown())

    def _start(self, task: PlanTask, keep: Callable[[str], str]) -> JobShown:
        def done(text: str) -> None:
            try:
                key = keep(text)
            except AquatempoError as exc:
                self._tell(JobShown(error=str(exc)))
            else:
                self._tell(JobShown(plan=key))
                self._news.tell("plan", key)

        def progress(what: str, at: int, of: int) -> None:
            self._tell(JobShown(True, what, at, of))

        def failed(words: str) -> None:
            self._tell(JobShown(error=words))

        started = self._work.start(task, progress=progress, done=done, failed=failed)
        if not started:
            raise ConflictError("a class is being planned already: wait for it, or stop it")
        return self._tell(JobShown(running=True, what="planning"))

    def _tell(self, shown: JobShown) -> JobShown:
        with self._lock:
            self._shown = shown
        self._news.tell("job", plan=shown.plan, error=shown.error)
        return shown
