"""What the open page works with: the list, the sounds, the news, and work in the background."""

from __future__ import annotations

import threading

from aquatempo.music.sound import SongSounds
from aquatempo.records.music import MusicRow
from aquatempo.records.page import PageSettings
from aquatempo.records.track import Track
from aquatempo.records.water_page import ClassForm, WaterShown
from aquatempo.web.class_work import ClassWork
from aquatempo.web.news import News
from aquatempo.web.sharing import Sharing
from aquatempo.workflow.music_list import MusicList
from aquatempo.workflow.page_settings import read_settings, write_settings
from aquatempo.workflow.plan_desk import PlanDesk
from aquatempo.workflow.pool import PoolDesk
from aquatempo.workflow.water import class_of, read_form, read_water, write_water

__all__ = ["Desk"]

WATCH_S = 0.5  # how often a change of the list is looked for


class Desk:
    """One open page, whatever number of windows shows it. Nothing here outlives the store."""

    def __init__(self) -> None:
        self.music = MusicList(*class_of(read_water()))
        self.sounds = SongSounds()
        self.news = News()
        self.plans = PlanDesk(
            lambda key: self.music.row(key).file, self.music.key_of, self.music.file_named
        )
        self.work = ClassWork(self.plans, self.news)
        self.pool = PoolDesk(self.plans)
        self.sharing = Sharing()
        self._ending = threading.Event()
        self._hearing: threading.Thread | None = None

    def start(self) -> None:
        """Look through the opened places and hear what waits, both in the background."""
        threading.Thread(target=self._begin, name="begin", daemon=True).start()
        threading.Thread(target=self._watch, name="watch", daemon=True).start()

    def end(self) -> None:
        """Stop what runs; whatever was heard is kept."""
        self._ending.set()
        self.news.end()
        self.sounds.close()
        self.work.stop()
        self.sharing.stop()

    def hear(self) -> None:
        """Hear what waits, unless that was stopped or is under way."""
        if self._hearing is not None and self._hearing.is_alive():
            return
        self._hearing = threading.Thread(
            target=self.music.hear, args=(self._wanted,), name="hear", daemon=True
        )
        self._hearing.start()

    def track_changed(self, track: Track, revision: str) -> MusicRow | None:
        """Put a corrected track into the list and tell all windows its new revision."""
        row = self.music.heard(track)
        self.plans.forget()
        if row is not None:
            self.news.tell("track", row.id, revision=revision)
        return row

    def settings(self) -> PageSettings:
        """Return how a person likes the page."""
        return read_settings()

    def change_settings(self, settings: PageSettings) -> PageSettings:
        """Keep settings and tell all windows."""
        write_settings(settings)
        self.news.tell("settings")
        return settings

    def change_water(self, form: ClassForm) -> WaterShown:
        """Keep a pool and a group, judge the songs for them, and tell all windows."""
        shown = write_water(form)
        self.music.judge_for(*read_form(form))
        self.news.tell("water")
        self.hear()
        return shown

    def _begin(self) -> None:
        self.music.refresh()
        self.hear()

    def _wanted(self) -> bool:
        return not (self._ending.is_set() or self.music.stopped)

    def _watch(self) -> None:
        told = -1
        while not self._ending.wait(WATCH_S):
            if (version := self.music.version) != told:
                told = version
                self.news.tell("music", version=version)
