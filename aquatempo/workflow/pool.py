"""A class for the pool: previews of its files, and the folder that one takes along."""

from __future__ import annotations

import hashlib
import re
import shutil
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from aquatempo.errors import InputError, OutputError
from aquatempo.moves import catalogue
from aquatempo.records.plain import to_plain
from aquatempo.records.pool_page import MadeFile, MadeFolder, PoolChoice, PoolShown
from aquatempo.store.folders import cache_folder
from aquatempo.store.settings import load_setting, save_setting

if TYPE_CHECKING:
    from aquatempo.workflow.exporting import ExportOptions, ExportReport
    from aquatempo.workflow.plan_desk import PlanDesk

__all__ = ["DECK_PAGE", "PoolDesk"]

Told = Callable[[int, int], None]
DECK_PAGE = "deck_page.html"
KEPT = 12  # previews
_PAGE = re.compile(rb"/Type\s*/Page(?![s\w])")
_AT = re.compile(r"[0-9a-f]{16}")
_UNSAFE = re.compile(r'[\x00-\x1f<>:"/\\|?*]+')
_LONGEST_NAME = 80


class PoolDesk:
    """Previews are a cache; what is made for good lies in the user's documents."""

    def __init__(self, plans: PlanDesk) -> None:
        self._plans = plans
        self._lock = threading.Lock()
        self._reports: dict[str, ExportReport] = {}

    def options(self) -> PoolChoice:
        """Return what was made last, and how."""
        return load_setting("pool", PoolChoice())

    def preview(self, key: str, options: PoolChoice) -> PoolShown:
        """Return the files of a plan without songs, made in the cache. Raises as an export.

        key: of the plan; options: what is made and how; they are kept.
        """
        from aquatempo.workflow.exporting import FORMATS, SONG_FORMATS, check_options

        check_options(_export_options(options))
        save_setting("pool", options)
        at, title = self._previewed(key, options)
        folder, report = _root() / at, self._reports[at]
        return PoolShown(
            at=at,
            title=title,
            options=options,
            files=tuple(_made(Path(file), folder, report) for file in report.files),
            notes=report.notes,
            formats=tuple(FORMATS),
            song_formats=tuple(SONG_FORMATS),
            papers=_papers(),
        )

    def _previewed(self, key: str, options: PoolChoice) -> tuple[str, str]:
        """Make the files of a plan in the cache unless they are there; return name and title."""
        from aquatempo.workflow.exporting import export_class

        plan = self._plans.with_beats(key)
        facts = f"{self._plans.text(key)}|{to_plain(options)}|{[t.analysis for t in plan.tracks]}"
        at = hashlib.blake2b(facts.encode(), digest_size=8).hexdigest()
        folder = _root() / at
        with self._lock:
            if at not in self._reports:
                shutil.rmtree(folder, ignore_errors=True)
                quiet = replace(_export_options(options), songs=(), force=True)
                self._reports[at] = export_class(plan, str(folder), catalogue(), quiet)
                self._tidy()
        return at, plan.brief.title

    def file(self, at: str, name: str) -> bytes:
        """Return a file of a preview, told by its name at. Raises InputError for any other name."""
        report = self._reports.get(at) if _AT.fullmatch(at) else None
        folder = _root() / at
        if report is None or str(folder / name) not in report.files:
            raise InputError("this file is not there (was the class changed?)")
        return (folder / name).read_bytes()

    def deck_page(self, key: str) -> str:
        """Return the deck page of a plan as it is now."""
        options = replace(self.options(), only=("page",), songs=())
        return self.file(self._previewed(key, options)[0], DECK_PAGE).decode()

    def make(self, key: str, options: PoolChoice, told: Told) -> MadeFolder:
        """Make the folder of a class in the user's documents; told hears how far it is.

        key: of the plan; options: what is made and how.
        Raises as an export; then no folder stays.
        """
        from aquatempo.workflow.exporting import export_class

        plan = self._plans.with_beats(key)
        folder = _free_folder(plan.brief.title)
        try:
            report = export_class(plan, str(folder), catalogue(), _export_options(options), told)
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)
            raise
        return MadeFolder(folder=str(folder), files=len(report.files))

    def _tidy(self) -> None:
        while len(self._reports) > KEPT:
            oldest = next(iter(self._reports))
            self._reports.pop(oldest)
            shutil.rmtree(_root() / oldest, ignore_errors=True)


def _export_options(options: PoolChoice) -> ExportOptions:
    from aquatempo.workflow.exporting import ExportOptions

    return ExportOptions(
        only=options.only,
        songs=options.songs,
        paper=options.paper,
        language=options.language,
        silent=options.silent,
        figures=options.figures,
    )


def _made(file: Path, folder: Path, report: ExportReport) -> MadeFile:
    name, kind = file.relative_to(folder).as_posix(), file.suffix.removeprefix(".")
    data = file.read_bytes() if kind == "pdf" else b""
    format_name = file.stem if "/" not in name else kind
    laid_out = {one.file: one.sides for one in report.cards}
    sides = laid_out.get(name, len(_PAGE.findall(data)))
    return MadeFile(name, format_name, kind, sides, file.stat().st_size)


def _papers() -> tuple[str, ...]:
    from aquatempo.exports import sheets

    return tuple(sheets.PAPERS)


def _free_folder(title: str) -> Path:
    """Return a folder of a class's name in the user's documents that is not there yet."""
    from platformdirs import user_documents_path

    name = _UNSAFE.sub(" ", title).strip(" .")[:_LONGEST_NAME] or "class"
    top = user_documents_path() / "aquatempo"
    for number in range(1, 1000):
        folder = top / (name if number == 1 else f"{name} {number}")
        try:
            folder.mkdir(parents=True)
        except FileExistsError:
            continue
        except OSError as exc:
            raise OutputError(str(folder), exc.strerror or str(exc)) from exc
        return folder
    raise OutputError(str(top), "there are a thousand folders of this name")


def _root() -> Path:
    return cache_folder() / "pool"
