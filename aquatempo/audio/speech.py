"""Spoken calls through eSpeak NG, where it is installed; loaded on demand.

The library is GPL-3.0-or-later and no part of aquatempo: the extra ``speech`` brings
it in a package of its own, or the system's library serves.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import importlib
from functools import cache
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aquatempo.errors import InputError, MissingExtraError

__all__ = ["WORDS_PER_MINUTE", "can_speak", "speak"]

WORDS_PER_MINUTE = 165  # unhurried; eSpeak NG speaks 80 to 450
FASTEST_SHARE = 1.6  # beyond this speed a call is hard to follow: it is cut instead
CUT_FADE_S = 0.02

# From speak_lib.h, eSpeak NG 1.52.
_AUDIO_SYNCHRONOUS = 2
_DONT_EXIT = 0x8000
_CHARS_UTF8 = 1
_POSITION_CHARACTER = 1
_RATE = 1

Samples = NDArray[np.float32]
_lock = Lock()  # the library keeps one state a process


def can_speak() -> bool:
    """Tell whether a speech library is there."""
    try:
        _speech()
    except MissingExtraError:
        return False
    return True


def speak(
    text: str,
    sample_rate_hz: int,
    language: str = "en",
    longest_s: float | None = None,
    words_per_minute: int = WORDS_PER_MINUTE,
) -> Samples:
    """Return text as speech, mono, shape (frames,), peak 0.9, without silence around it.

    Where it would last longer than longest_s [s], it is spoken faster, up to 1.6 times, and
    then cut with a short fade. Raises MissingExtraError without a speech library, InputError
    for a language that it does not have. sample_rate_hz: frames a second [Hz];
    words_per_minute: speaking rate.
    """
    import soxr  # type: ignore[import-untyped]

    speech = _speech()
    spoken = _trimmed(speech.synthesise(text, language, words_per_minute))
    if longest_s is not None and len(spoken) > longest_s * speech.sample_rate_hz:
        share = min(FASTEST_SHARE, 1.05 * len(spoken) / (longest_s * speech.sample_rate_hz))
        spoken = _trimmed(speech.synthesise(text, language, round(words_per_minute * share)))
    samples: Samples = soxr.resample(spoken, speech.sample_rate_hz, sample_rate_hz)
    if longest_s is not None and len(samples) > longest_s * sample_rate_hz:
        samples = samples[: int(longest_s * sample_rate_hz)]
        fade = min(len(samples), round(CUT_FADE_S * sample_rate_hz))
        samples[len(samples) - fade :] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    peak = np.abs(samples).max(initial=0.0)
    return samples * np.float32(0.9 / peak) if peak > 0 else samples


class _Speech:
    """The library, initialised once."""

    def __init__(self, library: Any, data: str | None) -> None:  # noqa: ANN401 - a ctypes library
        callback_type = ctypes.CFUNCTYPE(
            ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
        )
        self._library = library
        self._pieces: list[NDArray[np.int16]] = []
        self._language = ""
        # Kept on self: the library holds no reference that Python would see.
        self._callback = callback_type(self._take)
        where = data.encode() if data else None
        self.sample_rate_hz = int(
            library.espeak_Initialize(_AUDIO_SYNCHRONOUS, 0, where, _DONT_EXIT)
        )
        if self.sample_rate_hz <= 0:
            raise OSError("the speech library has no voices")
        library.espeak_SetSynthCallback(self._callback)

    def _take(self, samples: Any, count: int, _events: Any) -> int:  # noqa: ANN401
        if count > 0:
            self._pieces.append(np.ctypeslib.as_array(samples, (count,)).copy())
        return 0

    def synthesise(self, text: str, language: str, words_per_minute: int) -> Samples:
        """Return text as mono samples at sample_rate_hz."""
        with _lock:
            if language != self._language:
                if self._library.espeak_SetVoiceByName(language.encode()) != 0:
                    raise InputError(
                        f"no voice speaks {language!r}: needs a language code such as en or de"
                    )
                self._language = language
            self._library.espeak_SetParameter(_RATE, words_per_minute, 0)
            self._pieces.clear()
            data = text.encode() + b"\0"
            self._library.espeak_Synth(
                data, len(data), 0, _POSITION_CHARACTER, 0, _CHARS_UTF8, None, None
            )
            self._library.espeak_Synchronize()
            spoken = np.concatenate(self._pieces) if self._pieces else np.zeros(0, np.int16)
        return (spoken / np.float32(32768)).astype(np.float32)


@cache
def _speech() -> _Speech:
    for library, data in _candidates():
        try:
            return _Speech(ctypes.CDLL(library), data)
        except OSError:
            continue
    raise MissingExtraError("spoken calls", "speech")


def _candidates() -> list[tuple[str, str | None]]:
    """Return (library, folder of its data) of the packaged one and the system's."""
    found: list[tuple[str, str | None]] = []
    try:
        loader = importlib.import_module("espeakng_loader")
        found.append((loader.get_library_path(), loader.get_data_path()))
    except (ImportError, RuntimeError):
        pass
    system = ctypes.util.find_library("espeak-ng")
    return [*found, (system, None)] if system else found


def _trimmed(samples: Samples) -> Samples:
    """Return samples without the silence before and after."""
    loud = np.flatnonzero(np.abs(samples) > 0.005)
    return samples[loud[0] : loud[-1] + 1] if len(loud) else samples[:0]
