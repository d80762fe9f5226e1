"""The part Pool: previews, the folder, the page on a phone by a code, and who gets nothing."""

from __future__ import annotations

import http.client
import io
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from page_browser import NEEDS_CHROMIUM, opened, serious_faults
from page_making import Client, own_store, served
from playwright.sync_api import Browser, expect
from pypdf import PdfReader
from test_web_class import made, opened_plan

from aquatempo.documents.plan import plan_text
from aquatempo.web.sharing import Sharing, own_addresses

OPTIONS = {"only": ["card", "page", "figures"]}
HOSTILE = "</title><script>alert(1)</script>"


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Client]:
    """Return a client of a page with a store, a cache and documents of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path / "Documents"))
    with own_store(tmp_path, monkeypatch), served() as entered:
        yield entered


@pytest.fixture
def plan(client: Client) -> str:
    """Return the id of a hand-made class that is open on the page."""
    return opened_plan(client, plan_text(made()))


def fetched(link: str, method: str = "GET", host: str | None = None) -> tuple[int, str, str]:
    """Return status, policy and text of an answer to a link, asked as a phone asks."""
    parts = urlsplit(link)
    connection = http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=20)
    try:
        connection.request(method, parts.path, headers={"host": host or parts.netloc})
        answer = connection.getresponse()
        return answer.status, answer.headers["content-security-policy"], answer.read().decode()
    finally:
        connection.close()


def test_a_preview_says_how_many_sides(client: Client, plan: str) -> None:
    """Sides are the pages that another PDF reader (pypdf) counts; the page runs without rights."""
    shown = client.post("/api/pool/preview", {"plan": plan, "options": OPTIONS})
    files = {one["name"]: one for one in shown["files"]}
    card = client.ask("GET", f"/pool/{shown['at']}/deck_card.pdf")
    assert files["deck_card.pdf"]["sides"] == len(PdfReader(io.BytesIO(card.body)).pages) > 0
    page = client.ask("GET", f"/pool/{shown['at']}/deck_page.html")
    policy = page.headers["content-security-policy"]
    assert "sandbox allow-scripts" in policy
    assert "allow-same-origin" not in policy
    figures = client.ask("GET", f"/pool/{shown['at']}/move_figures.html").body.decode()
    assert figures.count("<figure>") > 5
    assert "<script" not in figures
    for name in ("../../../etc/passwd", "none.pdf", "..%2f..%2fhead.json"):
        assert client.ask("GET", f"/pool/{shown['at']}/{name}").status == 404
    assert client.ask("GET", f"/pool/{'0' * 16}/deck_card.pdf").status == 404


@pytest.mark.long
def test_the_folder_is_made_in_the_documents(client: Client, plan: str, tmp_path: Path) -> None:
    """One press makes a folder that is named as the class; a second one takes another name."""
    made_in = []
    for _ in range(2):
        client.post("/api/pool/make", {"plan": plan, "options": OPTIONS})
        for _ in range(600):
            state = client.get("/api/pool/made")
            if not state["running"]:
                break
        assert state["error"] == ""
        made_in.append(Path(state["folder"]))
    assert made_in[0] != made_in[1]
    for folder in made_in:
        assert {one.name for one in folder.iterdir() if one.name[0] != "."} == {
            "deck_card.pdf", "deck_page.html", "move_figures.html",
        }  # fmt: skip


def test_sharing_is_off_until_it_is_switched_on(client: Client, plan: str) -> None:
    """Nothing listens before; then one page is read by its code alone, and ends when told."""
    assert client.get("/api/share")["on"] is False
    body = {"plan": plan, "address": "127.0.0.1", "minutes": 5}
    shared = client.post("/api/share/start", body)
    link = shared["link"]
    status, policy, text = fetched(link)
    assert (status, "sandbox allow-scripts" in policy) == (200, True)
    assert made().tracks[0].title in text
    assert fetched(link, "POST")[0] == 405
    assert fetched(link, host="evil.example")[0] == 421
    root = link.rpartition("/")[0]
    for path in ("/", "/api/music", "/api/frame", "/static/js/main.js", "/" + "A" * 22):
        assert fetched(root + path)[0] == 404
    assert client.get("/api/share")["fetched"] == 1
    client.post("/api/share/stop")
    with pytest.raises(OSError, match=r"refused|reset|closed|timed out"):
        [fetched(link) for _ in range(100)]
    again = client.post("/api/share/start", body)["link"]
    assert again.rpartition("/")[2] != link.rpartition("/")[2]


def test_a_share_needs_an_address_of_this_machine_and_an_end(client: Client, plan: str) -> None:
    """Another address, all addresses at once, and a sharing without end are refused."""
    for address in ("0.0.0.0", "192.0.2.77", "::", "localhost"):
        body = {"plan": plan, "address": address, "minutes": 5}
        assert client.ask("POST", "/api/share/start", body).status == 400
    body = {"plan": plan, "address": "127.0.0.1", "minutes": 100_000}
    assert client.ask("POST", "/api/share/start", body).status == 400
    assert client.get("/api/share")["on"] is False


def test_a_code_that_ended_opens_nothing() -> None:
    """Once its time is over the link answers with nothing, even before the server has gone."""
    sharing = Sharing()
    shared = sharing.start("p", "T", "<p>page</p>", own_addresses()[-1], 1.0)
    assert fetched(shared.link)[0] == 200
    gate = sharing._gate
    assert gate is not None
    gate._open = lambda: False
    assert fetched(shared.link)[0] == 404
    sharing.stop()


@pytest.mark.long
@NEEDS_CHROMIUM
def test_pool_in_a_browser(browser: Browser, client: Client, plan: str) -> None:
    """The preview is seen, the folder made, the page shared by a code; axe finds nothing."""
    title = client.get(f"/api/plans/{plan}")["revision"]
    body = {"revision": title, "change": {"kind": "title", "title": HOSTILE}}
    client.post(f"/api/plans/{plan}/change", body)
    with opened(browser, client, f"pool/{plan}") as page:
        expect(page.locator(".made-file").first).to_be_visible(timeout=60_000)
        expect(page.locator("h1")).to_have_text(HOSTILE)
        expect(page.locator(".made-file", has_text="Deck card")).to_contain_text("side")
        frame = page.frame_locator("iframe.preview:not([hidden])")
        expect(frame.locator("body")).to_contain_text(made().tracks[0].title)
        page.get_by_role("button", name="Make the folder").click()
        expect(page.locator(".made")).to_contain_text("files are in")
        page.get_by_label("On this address").select_option("127.0.0.1")
        page.get_by_role("button", name="Share the deck page").click()
        expect(page.locator(".share-code")).to_be_visible()
        assert serious_faults(page) == []
        page.get_by_role("button", name="End sharing").click()
        expect(page.get_by_role("button", name="Share the deck page")).to_be_visible()
