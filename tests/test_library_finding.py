"""Finding in the library: every question an answer or one line, every page a slice of all."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_library import fill, home

from aquatempo.errors import InputError
from aquatempo.records.people import ClassDepth, Pool
from aquatempo.store.library import tracks
from aquatempo.store.library.query import TERMS, condition_of
from aquatempo.workflow import library

__all__ = ["home"]  # the fixture keeps these tests' libraries apart too


def test_verdicts_in_bits_are_those_in_words(tmp_path: Path) -> None:
    """Each question on a pool finds the tracks whose kept verdict says so, however often stated."""
    fill(tmp_path / "music", [str(number) for number in range(0, 100, 7)])
    for depth_m in (1.0, 1.4, 1.2):
        library.state_pool("Lindenbad", Pool(depth_m=depth_m))
    library.state_pool("Ententeich", Pool(depth_m=2.5, kind=ClassDepth.DEEP))
    seen = set()
    for pool in ("shallow", "deep", "lindenbad", "ENTENTEICH"):
        fits = {
            track.title: verdict.fit
            for track in library.find_tracks().tracks
            for verdict in track.verdicts
            if verdict.pool.lower() == pool.lower()
        }
        assert len(fits) == 15
        seen |= set(fits.values())
        for query, wanted in (("suits", {"suits"}), ("may suit", {"suits", "suits with changes"})):
            right = {title for title, fit in fits.items() if fit in wanted}
            found = library.find_tracks(f"{query} {pool}").tracks
            assert {track.title for track in found} == right
            assert library.find_tracks(f"not {query} {pool}").total == 15 - len(right)
    assert len(seen) > 1, "all verdicts are alike: nothing was told apart"


def test_pools_are_limited_and_made_again(tmp_path: Path) -> None:
    """More pools than verdicts have room for are refused in a line; a known name goes on."""
    for number in range(29):  # beside the two usual ones
        library.state_pool(f"pool {number}", Pool())
    with pytest.raises(InputError, match="31 pools are stated"):
        library.state_pool("one more", Pool())
    assert library.state_pool("POOL 3", Pool()) == 0


@pytest.mark.parametrize("order", ["title", "tempo", "length", "confidence", "newest"])
def test_pages_of_many_are_pages_of_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, order: str
) -> None:
    """However a page is found (few, many, deep), it is the same slice of the whole answer."""
    fill(tmp_path / "music", [str(number) for number in range(0, 90, 3)])
    query = "< 170 bpm"
    whole = [track.number for track in library.find_tracks(query, order=order, most=99).tracks]
    assert len(whole) == 24
    monkeypatch.setattr(tracks, "MANY", 5)
    monkeypatch.setattr(tracks, "DEEP", 8)
    for first in (0, 4, 9, 20, 30):
        page = library.find_tracks(query, order=order, first=first, most=6)
        assert [track.number for track in page.tracks] == whole[first : first + 6]
        assert page.total == 24


@pytest.mark.parametrize(
    ("query", "hint"),
    [
        ("bogus", "'bogus' was looked for in titles and artists"),
        ("stedy", "did you mean 'steady' by 'stedy'?"),
        ("100-190 bpm, not stedy", "did you mean 'steady' by 'stedy'?"),
        ("not bogus", "'bogus' was looked for in titles and artists"),
        ("999 bpm", ""),
        ("Song", ""),
    ],
)
def test_words_tell_how_they_were_understood(tmp_path: Path, query: str, hint: str) -> None:
    """A word that is no term is never searched in silence where that may not be meant."""
    fill(tmp_path / "music", ["30"])
    assert library.find_tracks(query).hint == hint


@pytest.mark.parametrize("blank", ["  ", "\n ", " \t", "\u00a0"])
def test_blanks_between_the_words_of_a_term_say_nothing(blank: str) -> None:
    """However the words of a term are parted, it asks the same."""
    for term in ("may suit deep", "NOT suits shallow", "no bridge", "no rights on 2027-03-01",
                 "not tag warm-up", "approved by Ada", "in 4", ">= 8 phrases"):  # fmt: skip
        told = condition_of(term, ("shallow", "deep"))
        assert condition_of(term.replace(" ", blank), ("shallow", "deep")) == told


@given(st.text(max_size=60))
def test_any_query_is_an_answer_or_one_line(query: str) -> None:
    """Whatever is typed gives a condition or an error of ours; values never enter the SQL."""
    try:
        condition, values = condition_of(query, ("shallow", "deep"))
    except InputError:
        return
    assert condition.count("?") == len(values)
    with closing(sqlite3.connect(":memory:")) as database:
        database.executescript(
            "CREATE TABLE tracks (number, tempo_bpm, duration_s, phrases, bridges, breaks, "
            "confidence, steady, corrected, beats_per_bar, title, artist, fits);"
            "CREATE TABLE pools (name, place);"
            "CREATE VIRTUAL TABLE names USING fts5(title, artist, tokenize='trigram');"
            "CREATE TABLE marks (track, kind, value, until)"
        )
        database.execute(f"SELECT count(*) FROM tracks WHERE {condition}", values).fetchone()


def test_documented_terms_are_understood() -> None:
    """Every example of a term is one."""
    for examples, _ in TERMS:
        for example in examples.split(", "):
            condition, _ = condition_of(example, ("shallow", "deep"))
            assert condition != "1"


@pytest.mark.parametrize(
    ("query", "message"),
    [
        ("126 bmp", "'126 bmp' in the query: needs bpm, phrases, bridges, breaks or long"),
        ("in four", "needs the beats of a bar"),
        ("rights on monday", "needs one such as 2027-03-01"),
        ("x" * 2000, "a query of 2000 characters"),
    ],
)
def test_slips_in_queries_are_named(query: str, message: str) -> None:
    """A term that is not understood is quoted with what is needed."""
    with pytest.raises(InputError, match=message):
        condition_of(query)
