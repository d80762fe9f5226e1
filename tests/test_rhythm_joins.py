"""What tells the joins of a mix, on loops whose joins are known."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest

from aquatempo.rhythm.joins import break_of, novelty, unit

Rows = npt.NDArray[np.float64]


def loops(*order: tuple[int, int], noise: float = 0.2) -> Rows:
    """Return rows of songs that repeat a loop of 8 beats: (which loop, how many beats)."""
    rng = np.random.default_rng(5)
    bank = rng.normal(size=(4, 8, 20))
    rows = np.concatenate([np.tile(bank[which], (beats // 8, 1)) for which, beats in order])
    return unit(rows + noise * rng.normal(size=rows.shape))


@pytest.mark.parametrize("sign", [lambda rows: break_of(rows, 16), novelty])
@pytest.mark.parametrize("join", [96, 128, 200])
def test_join_stands_out(sign: Callable[[Rows], Rows], join: int) -> None:
    """Where one loop gives way to another, what tells a join is highest, to two beats."""
    heard = sign(loops((0, join), (1, 160)))
    assert abs(int(heard.argmax()) - join) <= 2


def test_what_comes_back_is_less_new() -> None:
    """A section that was heard a little earlier is less new than another song."""
    heard = novelty(loops((0, 64), (1, 16), (0, 16), (1, 64), (2, 96)))
    assert heard[96] < 0.5 * heard[160]  # the section comes back; the other song begins


def test_fade_is_told_from_its_start_on() -> None:
    """While the next song fades in over 32 counts, its sign is up before the middle of the fade."""
    old, new = loops((0, 256)), loops((1, 256))
    share = np.clip((np.arange(256) - 128) / 32, 0, 1)[:, None] * np.pi / 2
    heard = break_of(unit(old * np.cos(share) + new * np.sin(share)), 16)
    assert 128 <= int(heard.argmax()) <= 144


@pytest.mark.parametrize("beats", [8, 16, 40])
def test_short_music_has_no_joins(beats: int) -> None:
    """What is too short to repeat itself tells nothing, and nothing is not a number."""
    for heard in (break_of(loops((0, beats)), 32), novelty(loops((0, beats)))):
        assert heard.shape == (beats,)
        assert np.isfinite(heard).all()
