"""Titles with anything in them do no harm in spreadsheets, pictures and pages."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import re
import unicodedata
from xml.etree import ElementTree

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from aquatempo.exports import svg
from aquatempo.exports.csv_cells import csv_text
from aquatempo.exports.page import deck_page
from aquatempo.records.deck import DeckBook

any_text = st.text(st.characters(codec=None), max_size=30)


def read_back(cell: str) -> str:
    """Return the text of a cell as docs/data_format.md says to read it."""
    if re.match("'+[-=+@\t\n＝＋－＠]", cell):
        cell = cell[1:]
    return re.sub(r"\\u([0-9a-f]{4})", lambda found: chr(int(found[1], 16)), cell)


marked = st.text(
    st.sampled_from(list("'=+-@1.eu\\00ab\t\n\r\x1b\x00\x9b\u202e\udcff＝")), max_size=12
)


@given(any_text | marked)
@example("\x1b]0;owned\x07=1+1")
@example("\\u001b")
@example("'=1+1")
@example("-inf")
def test_no_cell_is_a_formula(text: str) -> None:
    """A cell is nothing that spreadsheets calculate or terminals obey, and loses nothing."""
    written = csv_text(["title"], [[text]]).encode()  # so no half of a character is left in it
    (row,) = list(csv.reader(io.StringIO(written.decode(), newline="")))[1:] or [[]]
    cell = row[0] if row else ""
    assert not cell.startswith(("=", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"))
    if cell.startswith(("+", "-")):
        assert re.fullmatch("[-+][0-9.eE+-]+", cell)  # a number, which is what it looks like
        float(cell)
    assert all(mark in "\t\n" or unicodedata.category(mark) not in ("Cc", "Cs") for mark in cell)
    assert read_back(cell) == text


@pytest.mark.parametrize("value", [-3, "-3", "-1.5", "+0.25", "", None])
def test_numbers_stay_numbers(value: object) -> None:
    """What is a number, as a number or as text, is not touched."""
    assert csv_text(["n"], [[value, 0]]).splitlines()[1] == f"{'' if value is None else value},0"


@given(any_text)
def test_any_title_makes_a_picture_that_opens(title: str) -> None:
    """Control characters and lone surrogates, which no XML may hold, are marked as lost."""
    picture = svg.document(10, 10, title, [svg.text(1, 1, title, 9, fill=title)])
    root = ElementTree.fromstring(picture.encode())
    shown = root[0].text or ""
    assert re.sub("[\r\n\t ]", "", shown).count("\ufffd") >= sum(
        not (mark in "\t\n\r" or " " <= mark <= "\ud7ff" or mark >= "\ue000") for mark in title
    )


def test_page_runs_its_own_script_only() -> None:
    """The policy of the deck page names the very script and style in it, and allows no other."""
    page = deck_page(DeckBook(title="<script>alert(1)</script>", tracks=(), facts=(), moves=()))
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page)
    assert policy is not None
    assert policy[1].startswith("default-src 'none'; ")
    for element, content in re.findall(r"<(script|style)>(.*?)</\1>", page, re.DOTALL):
        digest = base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()
        assert f"{element}-src 'sha256-{digest}'" in policy[1]
    assert "unsafe" not in policy[1]
    assert "alert(1)</script>" not in page
