"""Tracks against shallow and deep classes."""

from __future__ import annotations

import pytest
from feasibility_cases import DEEP, GROUP, POOL

from aquatempo.feasibility import Fit, fit_track, tempo_ranges
from aquatempo.records.origin import Origin
from aquatempo.records.people import Group, Pool

YOUNG = Group(age_years=(20.0, 40.0))
CHEST = Pool(depth_m=1.05)  # below the nipple of everybody, so that the manual's range holds


def test_published_ranges_are_those_of_the_manual() -> None:
    """Shallow 125-150, deep 100-135 b/min: Aquatic Exercise Association manual, second-hand."""
    assert tempo_ranges()["shallow"] == (125.0, 150.0)
    assert tempo_ranges()["deep"] == (100.0, 135.0)


@pytest.mark.parametrize(
    ("tempo", "shallow", "deep"),
    [
        (132.0, Fit.SUITS, Fit.SUITS),
        (110.0, Fit.NOT, Fit.SUITS),
        (148.0, Fit.SUITS, Fit.NOT),
        (154.0, Fit.WITH_CHANGES, Fit.NOT),
        (118.0, Fit.WITH_CHANGES, Fit.SUITS),
        (96.0, Fit.NOT, Fit.WITH_CHANGES),
        (176.0, Fit.NOT, Fit.NOT),
    ],
)
def test_tempos_fit_by_depth(tempo: float, shallow: Fit, deep: Fit) -> None:
    """A tempo suits, suits when played up to 8 % faster or slower, or does not, by depth."""
    assert fit_track(tempo, CHEST, YOUNG).fit is shallow
    assert fit_track(tempo, DEEP, YOUNG).fit is deep


def test_the_reason_says_what_to_do() -> None:
    """Outside the range the reason names the range and the change of speed, with a warning."""
    fit = fit_track(154.0, CHEST, YOUNG)
    assert "125-150" in fit.reason
    assert fit.speed == pytest.approx(150.0 / 154.0)
    assert "heard" in fit_track(118.0, CHEST, YOUNG).reason
    assert "heard" not in fit.reason


def test_moves_that_lose_range_are_named() -> None:
    """A fast song names the moves that lose range, and none of them is listed as full."""
    fit = fit_track(160.0, POOL, GROUP)
    assert "Tuck" in fit.short
    assert "Jog" in fit.full
    assert not set(fit.short) & set(fit.full)
    slow = fit_track(100.0, POOL, GROUP)
    assert set(slow.short) <= {"Leap"}
    assert set(slow.short) < set(fit.short)


def test_older_and_deep_classes_take_slower_songs() -> None:
    """100-125 suits an older group (common practice, no source), and 140 no longer does."""
    older = Group(age_years=(70.0, 85.0))
    assert fit_track(112.0, CHEST, older).fit is Fit.SUITS
    assert fit_track(112.0, CHEST, YOUNG).fit is Fit.NOT
    assert fit_track(140.0, CHEST, older).fit is Fit.NOT
    assert fit_track(140.0, CHEST, YOUNG).fit is Fit.SUITS


def test_no_beat_does_not_suit() -> None:
    """A track without a beat does not suit, and says so."""
    fit = fit_track(None, POOL, GROUP)
    assert (fit.fit, fit.reason) == (Fit.NOT, "no beat found")


def test_own_ranges_are_used_and_marked() -> None:
    """A range of the user's own replaces the published one and is marked as entered."""
    fit = fit_track(112.0, POOL, GROUP, range_bpm=(108.0, 120.0))
    assert fit.fit is Fit.SUITS
    assert dict(fit.origins)["range_bpm"] is Origin.ENTERED
    assert dict(fit_track(130.0).origins)["range_bpm"] is Origin.PUBLISHED


def test_chosen_moves_can_make_a_song_need_changes() -> None:
    """In range, but most of the chosen moves lose range: suits with changes."""
    older = Group(age_years=(65.0, 80.0))
    fit = fit_track(124.0, POOL, older, moves=("leap",))
    assert fit.fit is Fit.WITH_CHANGES
    assert "1 of 1" in fit.reason
