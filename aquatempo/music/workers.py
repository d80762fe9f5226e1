"""Jobs in processes of their own, of which any may die without taking the others along.

Each process has one job at a time, so that it is known whose fault a death was. A job whose
process died is tried once more when all others are done, alone: what was short of memory has
all of it then.
"""

from __future__ import annotations

import contextlib
import os
import signal
import threading
import traceback
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass, field
from multiprocessing import connection, get_context, parent_process
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Generic, TypeVar

from aquatempo.errors import is_out_of_memory
from aquatempo.music.unguarded import script_left_alone

__all__ = ["Died", "in_processes"]

_ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
_TRIES = 2
_NO_MEMORY = 75  # of sysexits.h: a failure that need not last
_ENDING = [
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
]

Item = TypeVar("Item")
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class Died:
    """A job whose process died each time. how: in words, for a message."""

    how: str


@dataclass(slots=True)
class _Worker(Generic[Item]):
    process: BaseProcess
    pipe: Connection
    number: int | None = None  # of the item at hand


@dataclass(slots=True)
class _Work:
    waiting: deque[int]
    tries: dict[int, int] = field(default_factory=dict)
    again: list[int] = field(default_factory=list)


def in_processes(
    job: Callable[[Item], Result], items: Sequence[Item], workers: int
) -> Generator[Result | Died, None, None]:
    """Yield job(item) for each item, in order, worked out by so many processes at a time.

    workers: how many processes. job and items are pickled. An exception of the job is raised
    here. When the iteration ends, or is left, no process stays; when this process dies, they
    end by themselves.
    """
    work = _Work(deque(range(len(items))))
    results: dict[int, Result | Died] = {}
    crew: list[_Worker[Item]] = []
    try:
        for number in range(len(items)):
            while number not in results:
                _hand_out(job, items, work, crew, workers)
                _collect(work, crew, results)
            yield results.pop(number)
    finally:
        for worker in crew:
            _end(worker)


def _hand_out(
    job: Callable[[Item], Result],
    items: Sequence[Item],
    work: _Work,
    crew: list[_Worker[Item]],
    workers: int,
) -> None:
    """Give each idle process a job; what died before is given out alone, at the end."""
    busy = sum(worker.number is not None for worker in crew)
    if not work.waiting and work.again and not busy:
        work.waiting.append(work.again.pop(0))
        workers = 1
    while work.waiting and busy < workers:
        worker = next((one for one in crew if one.number is None), None)
        if worker is None:
            with _undisturbed():  # what was started is in the crew, and ended with it
                worker = _start(job)
                crew.append(worker)
        worker.number = work.waiting.popleft()
        busy += 1
        with contextlib.suppress(OSError):  # it is dead already: collecting finds out
            worker.pipe.send(items[worker.number])


def _collect(work: _Work, crew: list[_Worker[Item]], results: dict[int, Result | Died]) -> None:
    """Wait for the next results or deaths and note them."""
    pipes = {worker.pipe: worker for worker in crew if worker.number is not None}
    for pipe in connection.wait(list(pipes)):
        worker = pipes[pipe]  # type: ignore[index]
        number = worker.number
        assert number is not None
        try:
            succeeded, value = worker.pipe.recv()
        except (EOFError, OSError):
            crew.remove(worker)
            how = _how(_end(worker))
            work.tries[number] = work.tries.get(number, 0) + 1
            if work.tries[number] < _TRIES:
                work.again.append(number)
            else:
                results[number] = Died(how)
            continue
        if not succeeded:
            raise value
        worker.number = None
        results[number] = value


def _start(job: Callable[[Item], Result]) -> _Worker[Item]:
    context = get_context("spawn")
    here, there = context.Pipe()
    process = context.Process(target=_serve, args=(job, there), daemon=True)
    with script_left_alone():
        process.start()
    there.close()
    return _Worker(process, here)


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Hold back what ends this process until the other one has all that it starts with.

    The mask, which the new process inherits, keeps Ctrl-C from it. It does not do for this
    one: any other thread may take the signal, and its exception would come up in here.
    """
    asked: list[int] = []
    before = {}
    if threading.current_thread() is threading.main_thread():
        for kind in _ENDING:
            handler = signal.getsignal(kind)
            if callable(handler):
                before[kind] = handler
                signal.signal(kind, lambda number, _: asked.append(number))
    masks = hasattr(signal, "pthread_sigmask")
    mask = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT}) if masks else set()
    try:
        yield
    finally:
        if masks:
            signal.pthread_sigmask(signal.SIG_SETMASK, mask)
        for kind, handler in before.items():
            signal.signal(kind, handler)
        for number in asked[:1]:
            signal.raise_signal(number)


def _end(worker: _Worker[Any]) -> int:
    """End a process at once: whatever it writes is whole or not there. Return its exit code."""
    worker.pipe.close()
    if worker.number is not None and worker.process.is_alive():
        worker.process.join(timeout=0.5)  # one that just died says how
        worker.process.kill()
    worker.process.join()
    code = worker.process.exitcode or 0
    worker.process.close()
    return code


def _how(code: int) -> str:
    if code == -signal.SIGSEGV:
        return "it crashed, a fault in a decoder"
    if hasattr(signal, "SIGKILL") and code == -signal.SIGKILL:
        return "it was killed, as systems do when memory runs out"
    return "memory ran out" if code == _NO_MEMORY else f"it ended with code {code}"


def _serve(job: Callable[[Any], Any], pipe: Connection) -> None:
    """Do jobs until the pipe is closed: what runs in each process."""
    _prepare()
    while True:
        try:
            item = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            answer: tuple[bool, object] = (True, job(item))
        except Exception as exc:
            if is_out_of_memory(exc):
                os._exit(_NO_MEMORY)  # tried again when it has all of it
            exc.add_note(traceback.format_exc())  # where it happened, as pickling loses that
            answer = (False, exc)
        try:
            pipe.send(answer)
        except OSError:
            return


def _prepare() -> None:
    """Keep the matrix library to one thread, leave Ctrl-C, and follow the parent into death.

    The process that started this one ends it: caught inside a decoder the interruption would
    be lost, and half a song be remembered as a whole one.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in _ONE_THREAD:
        os.environ.setdefault(name, "1")
    parent = parent_process()
    if parent is not None:
        threading.Thread(target=_die_with, args=(parent.sentinel,), daemon=True).start()


def _die_with(sentinel: int) -> None:
    connection.wait([sentinel])
    os._exit(1)
