"""What a verdict advises does what it says, judged again."""

from __future__ import annotations

import re

import pytest
from feasibility_cases import DEEP, GROUP, POOL, STRAIGHT_LEG, WATER_TEMPO, form

from aquatempo.feasibility import judge, judge_forms
from aquatempo.feasibility.inputs import thresholds
from aquatempo.moves import catalogue, parse_pattern, resolve
from aquatempo.records.moves import Factor, MoveForm
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.records.verdict import Advice

TEMPI_BPM = (110.0, 132.0, 150.0)


def kept(one: MoveForm, counts: str, tempo_bpm: float, pool: Pool) -> float:
    """Return the share of its range that the middle of the group keeps [1]."""
    grid = judge_forms([one], [parse_pattern(counts)], [tempo_bpm], pool, GROUP)
    return float(grid.range_kept[0, 0, 0, 1])


def advised(key: str, counts: str, tempo_bpm: float, pool: Pool) -> dict[str, Advice]:
    """Return the advice for a move by its kind."""
    verdict = judge(form(key, pool.kind), parse_pattern(counts), tempo_bpm, pool, GROUP)
    return {advice.kind: advice for advice in verdict.advice}


@pytest.mark.parametrize(
    ("key", "pool"),
    [
        (key, pool)
        for key in STRAIGHT_LEG
        for pool in (POOL, DEEP)
        if pool.kind in catalogue().move(key).depths
    ],
)
def test_the_tempo_option_advised_is_the_quickest_with_full_range(key: str, pool: Pool) -> None:
    """Judged at the counts that are named the range is full, or is what is said; not before."""
    full = thresholds().full_range
    told = 0
    for tempo_bpm in TEMPI_BPM:
        advice = advised(key, "1", tempo_bpm, pool).get("tempo option")
        if advice is None:
            assert kept(form(key, pool.kind), "1", tempo_bpm, pool) >= full
            continue
        told += 1
        said = re.search(r": (\d) counts a movement(?:, full range| keeps (\d+)%)$", advice.words)
        assert said is not None, advice.words
        shares = {n: kept(form(key, pool.kind), n, tempo_bpm, pool) for n in ("2", "4")}
        if said[2] is None:
            assert shares[said[1]] >= full
            assert all(shares[n] < full for n in shares if n < said[1])
        else:
            assert said[1] == "4"
            assert 100 * shares["4"] == pytest.approx(float(said[2]), abs=0.5)
            assert max(shares.values()) < full
    assert told


@pytest.mark.parametrize("key", STRAIGHT_LEG)
def test_the_variation_advised_keeps_what_is_said(key: str) -> None:
    """A smaller range or the easier move, judged by itself, keeps the share that is named.

    The smaller range comes first; the easier move is told where that does not keep it full.
    """
    full = thresholds().full_range
    for tempo_bpm in TEMPI_BPM:
        advice = advised(key, "1", tempo_bpm, POOL).get("variation")
        if advice is None:
            continue
        said = re.fullmatch(r"(.*): keeps (\d+)% of its range", advice.words)
        assert said is not None, advice.words
        easier = catalogue().moves.get(catalogue().move(key).easier)
        small = form(key, POOL.kind, (Factor.RANGE, "small"))
        shares = {"range small": kept(small, "1", tempo_bpm, POOL)}
        if easier is not None and ClassDepth.SHALLOW in easier.depths:
            other = kept(resolve(easier, None, POOL.kind), "1", tempo_bpm, POOL)
            shares[f"{easier.name.lower()} instead"] = other
        assert 100 * shares[said[1]] == pytest.approx(float(said[2]), abs=0.5)
        if said[1] != "range small":
            assert shares["range small"] < full
        if shares[said[1]] < full:
            assert shares[said[1]] == max(shares.values())


def test_the_speed_advised_keeps_the_range_full() -> None:
    """The song slowed to the tempo that is named has the full range, and a little more has not."""
    limit = judge(form("jack"), WATER_TEMPO, 132.0, POOL, GROUP).max_full_range_tempo_bpm
    assert limit is not None
    words = advised("jack", "2", limit * 1.04, POOL)["song speed"].words
    said = re.match(r"slow the song by ([\d.]+)% to (\d+) bpm", words)
    assert said is not None, words
    assert float(said[2]) == pytest.approx(limit, abs=0.5)
    assert float(said[1]) == pytest.approx(100 * (1 - 1 / 1.04), abs=0.1)
    assert kept(form("jack"), "2", limit - 0.5, POOL) >= thresholds().full_range - 0.005
    assert "song speed" not in advised("jack", "2", limit - 0.5, POOL)
