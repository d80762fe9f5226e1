"""Spoken calls: on demand, within their span, and a clear word where there is no voice."""

from __future__ import annotations

import ctypes.util
import importlib
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from aquatempo import audio
from aquatempo.audio import speech
from aquatempo.errors import InputError, MissingExtraError

needs_voice = pytest.mark.skipif(
    not audio.can_speak(), reason="no eSpeak NG library: install the extra 'speech'"
)


@needs_voice
def test_words_take_time_and_no_silence_around() -> None:
    """More words last longer; speech starts and ends with sound, at full level."""
    one = audio.speak("jack", 44_100)
    more = audio.speak("cross-country ski, half water tempo", 44_100)
    assert 0.15 < len(one) / 44_100 < 1.0
    assert len(more) > 2 * len(one)
    assert np.abs(one).max() == pytest.approx(0.9, abs=0.01)
    assert np.abs(one[:200]).max() > 0.001


@needs_voice
def test_call_fits_its_span() -> None:
    """A call that is too long is spoken faster, and at worst cut: it never overruns."""
    text = "cross-country ski"
    free = audio.speak(text, 44_100)
    for share in (0.8, 0.3):
        longest_s = share * len(free) / 44_100
        fitted = audio.speak(text, 44_100, longest_s=longest_s)
        assert 0.5 * longest_s < len(fitted) / 44_100 <= longest_s
    assert np.abs(fitted[-1]) < 0.01


@needs_voice
def test_languages() -> None:
    """Another language sounds different; an unknown one is named."""
    assert len(audio.speak("jogging", 22_050, "de")) != len(audio.speak("jogging", 22_050, "en"))
    with pytest.raises(InputError, match=r"^no voice speaks 'xx': needs a language code"):
        audio.speak("jog", 22_050, "xx")
    assert len(audio.speak("jog", 22_050))  # the voice before is back


@needs_voice
def test_nothing_to_say() -> None:
    """No words give no sound."""
    assert len(audio.speak("", 44_100)) == 0


@pytest.fixture
def no_voice(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Take every speech library away."""

    def missing(name: str) -> ModuleType:
        raise ImportError(name)

    monkeypatch.setattr(ctypes.util, "find_library", lambda name: None)
    monkeypatch.setattr(importlib, "import_module", missing)
    speech._speech.cache_clear()
    yield
    speech._speech.cache_clear()


@pytest.mark.usefixtures("no_voice")
def test_without_a_voice_the_extra_is_named() -> None:
    """Without a library, asking is answered, and speaking says what to install."""
    assert not speech.can_speak()
    with pytest.raises(MissingExtraError) as caught:
        speech.speak("jog", 44_100)
    assert str(caught.value) == (
        "spoken calls needs an optional part: pip install 'aquatempo[speech]'"
    )
