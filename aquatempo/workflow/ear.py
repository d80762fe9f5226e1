"""Correcting by ear: what is shown of a track, and changes to it that can be undone."""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Callable
from dataclasses import replace

from aquatempo.errors import ConflictError, InputError
from aquatempo.music.ear_changes import changed, steps_of
from aquatempo.music.gathering import SHEET_SUFFIXES
from aquatempo.music.hearing import Hearing, open_track
from aquatempo.music.rows import row_id
from aquatempo.music.sound import LEVEL_STEP_S, SOUND_RATE_HZ, can_play
from aquatempo.records.corrections import Corrections
from aquatempo.records.doubt import SURE, is_sure
from aquatempo.records.ear import EarChange, EarJournal, EarKind, EarState, EarTrack
from aquatempo.records.plain import to_plain
from aquatempo.records.rhythm import RhythmAnalysis
from aquatempo.records.track import Track

__all__ = ["change_ear", "open_ear", "redo_ear", "undo_ear"]

_Step = Callable[[Track, EarJournal], EarJournal]
_writing = threading.Lock()  # of this process: compare and write are one step


def open_ear(path: str) -> tuple[EarTrack, Track]:
    """Return a track as the ear shows it, and as all other parts take it.

    Raises AudioError, InputError, TextFileError.
    """
    heard = _heard(path)
    journal = _journal(heard)
    return _shown(heard, journal)


def change_ear(path: str, change: EarChange, revision: str) -> tuple[EarTrack, Track]:
    """Make one change to what is heard in the song at a path, kept; return it as then heard.

    Raises ConflictError where the corrections are no longer those of the revision, and
    InputError where the change does not fit the track; nothing is written then.
    """

    def changed_journal(heard: Track, journal: EarJournal) -> EarJournal:
        now = journal.states[journal.at].corrections
        then = changed(heard.analysis, now, change)
        if then == now:
            raise InputError("this changes nothing: it is so already")
        _apply(heard.analysis, then)  # whatever does not fit is refused before it is written
        states = (*journal.states[: journal.at + 1], EarState(then, change.kind))
        return EarJournal(states, len(states) - 1)

    return _written(path, revision, changed_journal)


def undo_ear(path: str, revision: str) -> tuple[EarTrack, Track]:
    """Take back the newest change to the song at a path; revision: that which was shown.

    Raises ConflictError, and InputError where there is nothing to take back.
    """
    return _written(path, revision, lambda _, journal: _moved(journal, -1))


def redo_ear(path: str, revision: str) -> tuple[EarTrack, Track]:
    """Make the change again that was taken back last; path, revision, raises as undo_ear."""
    return _written(path, revision, lambda _, journal: _moved(journal, 1))


def _moved(journal: EarJournal, by: int) -> EarJournal:
    at = journal.at + by
    if not 0 <= at < len(journal.states):
        raise InputError("nothing to undo" if by < 0 else "nothing to do again")
    return replace(journal, at=at)


def _written(path: str, revision: str, step: _Step) -> tuple[EarTrack, Track]:
    from aquatempo.store import correction_files as stored
    from aquatempo.store import journals

    with _writing, stored.correcting():
        heard = _heard(path)
        if heard.analysis.tempo_bpm is None:
            raise InputError(f"no beat was heard in {heard.title!r}: there is nothing to correct")
        journal = _journal(heard)
        if _revision(journal.states[journal.at].corrections) != revision:
            raise ConflictError(f"{heard.title!r} was changed elsewhere meanwhile")
        journal = step(heard, journal)
        now = journal.states[journal.at].corrections
        stored.save_corrections(heard.content_key, now, heard.title, heard.analysis.duration_s)
        journals.save_journal(heard.content_key, journal)
    return _shown(heard, journal)


def _journal(heard: Track) -> EarJournal:
    """Return the history of a track, with what was changed outside of it at its end."""
    from aquatempo.store import correction_files as stored
    from aquatempo.store import journals

    now = stored.load_corrections(heard.content_key) or Corrections()
    journal = journals.load_journal(heard.content_key)
    if journal is None:
        return EarJournal((EarState(now),))
    if journal.states[journal.at].corrections == now:
        return journal
    states = (*journal.states[: journal.at + 1], EarState(now, EarKind.ELSEWHERE))
    return EarJournal(states, len(states) - 1)


def _shown(heard: Track, journal: EarJournal) -> tuple[EarTrack, Track]:
    now = journal.states[journal.at].corrections
    analysis = _apply(heard.analysis, now)
    later = journal.states[journal.at + 1 :]
    track = replace(heard, analysis=analysis, corrected=not now.empty)
    shown = EarTrack(
        id=row_id(heard.file),
        file=heard.file,
        title=heard.title,
        analysis=replace(analysis, evidence=None),
        is_sure=analysis.tempo_bpm is not None and is_sure(analysis),
        tempo_is_sure=analysis.tempo_confidence >= SURE,
        steps=steps_of(now),
        revision=_revision(now),
        undo=journal.states[journal.at].kind if journal.at else None,
        redo=later[0].kind if later else None,
        levels_step_s=LEVEL_STEP_S,
        sound_rate_hz=SOUND_RATE_HZ,
        can_play=can_play(heard.file),
    )
    return shown, track


def _apply(analysis: RhythmAnalysis, corrections: Corrections) -> RhythmAnalysis:
    from aquatempo import rhythm

    return rhythm.apply_corrections(analysis, corrections)


def _heard(path: str) -> Track:
    if path.lower().endswith(SHEET_SUFFIXES):
        raise InputError(f"{path!r} is a track sheet: edit it instead of correcting it")
    return open_track(path, Hearing(use_corrections=False))


def _revision(corrections: Corrections) -> str:
    text = json.dumps(to_plain(corrections), sort_keys=True)
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()
