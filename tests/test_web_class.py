"""The part Class: plans with every state, changes on a revision, long work, the band."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from page_browser import NEEDS_CHROMIUM, PHONE, opened, serious_faults
from page_making import Client, own_store, served
from plan_making import make_plan
from playwright.sync_api import Browser, Locator, expect

from aquatempo.documents.plan import any_plan_from_text, plan_text
from aquatempo.records.plan import Brief, PlannedTrack
from aquatempo.workflow.music_list import MusicList
from aquatempo.workflow.plan_jobs import MadePlan, PlanTask, PlanWork


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Client]:
    """Return a client of a page with a store of its own."""
    with own_store(tmp_path, monkeypatch), served() as entered:
        yield entered


@pytest.fixture
def plan(client: Client) -> str:
    """Return the id of a hand-made class of five tracks that is open on the page."""
    return opened_plan(client, plan_text(made()))


def made() -> Any:
    """Return a hand-made class whose songs are told by the clock, and that knows few moves.

    All that may stand in a block is rated when it is shown: few are rated in a second or two.
    """
    tracks = tuple(replace(track, file="", analysis=None) for track in make_plan(0).tracks)
    brief = replace(make_plan(0).brief, allowed_moves=tuple(sorted(used(tracks))))
    return replace(make_plan(0), tracks=tracks, brief=brief)


def used(tracks: Sequence[PlannedTrack]) -> set[str]:
    """Return the moves of some tracks."""
    phrases = (phrase for track in tracks for phrase in track.phrases)
    return {block.move for phrase in phrases for block in phrase.blocks}


def opened_plan(client: Client, text: str) -> str:
    """Open a plan's text on the page; return its id."""
    key: str = client.post("/api/plans/open", {"name": "tuesday.toml", "text": text})["id"]
    return key


def titles(shown: Any) -> list[str]:
    """Return the titles of the songs in their order."""
    return [track["title"] for track in shown["tracks"]]


def change(client: Client, key: str, revision: str, **fields: object) -> Any:
    """Ask for a change; return the answer."""
    return client.ask("POST", f"/api/plans/{key}/change", {"revision": revision, "change": fields})


def test_a_plan_opens_with_its_review_and_saves_as_the_same_text(client: Client, plan: str) -> None:
    """What is opened is shown with effort, parts and findings, and saved as the file it was."""
    shown = client.get(f"/api/plans/{plan}")
    assert len(shown["tracks"]) == len(made().tracks)
    assert client.get("/api/plans")["plans"][0]["songs"] == 0  # all of its parts go by the clock
    assert shown["tracks"][1]["at_s"] == pytest.approx(shown["tracks"][0]["lasts_s"])
    assert len(shown["effort"]) > 10
    places = {b["place"] for t in shown["tracks"] for p in t["phrases"] for b in p["blocks"]}
    assert "1.1.1" in places
    saved = client.ask("GET", f"/api/plans/{plan}/plan.toml").body.decode()
    assert any_plan_from_text("saved", saved) == any_plan_from_text("made", plan_text(made()))


@pytest.mark.long
def test_changes_are_undone_without_end_and_outlive_a_restart(client: Client, plan: str) -> None:
    """Lock, move and drop; back to the start and on again, also on another start of the page."""
    first = client.get(f"/api/plans/{plan}")
    before = titles(first)
    locked = change(client, plan, first["revision"], kind="lock", place="2").data
    assert locked["tracks"][1]["locked"]
    assert change(client, plan, locked["revision"], kind="drop song", track=2).status == 400
    free = change(client, plan, locked["revision"], kind="unlock", place="2").data
    moved = change(client, plan, free["revision"], kind="move song", track=2, to=3).data
    assert titles(moved)[1:3] == [before[2], before[1]]
    dropped = change(client, plan, moved["revision"], kind="drop song", track=3).data
    assert len(titles(dropped)) == len(before) - 1
    with served() as again:
        shown = again.get(f"/api/plans/{plan}")
        assert titles(shown) == titles(dropped)
        for _ in range(4):
            shown = again.post(f"/api/plans/{plan}/undo", {"revision": shown["revision"]})
        assert titles(shown) == before
        assert shown["undo"] is None
        body = {"revision": shown["revision"]}
        assert again.ask("POST", f"/api/plans/{plan}/undo", body).status == 400
        for _ in range(4):
            shown = again.post(f"/api/plans/{plan}/redo", {"revision": shown["revision"]})
        assert titles(shown) == titles(dropped)


@pytest.mark.long
def test_two_windows_do_not_lose_each_others_change(client: Client, plan: str) -> None:
    """A change made on an old state is refused (409), and nothing of the newer one is lost."""
    first = client.get(f"/api/plans/{plan}")
    newer = change(client, plan, first["revision"], kind="lock", place="1").data
    late = change(client, plan, first["revision"], kind="move song", track=1, to=2)
    assert late.status == 409
    assert client.get(f"/api/plans/{plan}") == newer


def test_a_plan_opens_no_file_outside_the_list(client: Client, tmp_path: Path) -> None:
    """A plan that names any file of the machine is shown by the clock; the file is not touched."""
    secret = tmp_path / "secret.ogg"
    secret.write_bytes(b"nobody opened this")
    tracks = (replace(made().tracks[0], file=str(secret)), *made().tracks[1:])
    key = opened_plan(client, plan_text(replace(made(), tracks=tracks)))
    shown = client.get(f"/api/plans/{key}")
    assert shown["tracks"][0]["clock"]
    assert shown["tracks"][0]["song"] == ""
    for bad in ("../../etc", "0" * 12, "x"):
        assert client.ask("GET", f"/api/plans/{bad}").status in (400, 404)


def test_a_slip_in_a_plan_names_its_line(client: Client) -> None:
    """A text that is no plan, or too long, is refused in a line, and nothing is kept."""
    for text, seen in (("tracks = 3", "tracks"), ("x" * 500_000, "too long")):
        answer = client.ask("POST", "/api/plans/open", {"name": "a.toml", "text": text})
        assert answer.status == 400
        assert seen in answer.data["error"]
    assert client.get("/api/plans")["plans"] == []


def test_long_work_tells_how_it_failed_and_can_be_stopped() -> None:
    """A brief that no music fills ends with the reason; work that is stopped keeps nothing."""
    work, told, over = PlanWork(), list[str](), threading.Event()

    def ended(words: str) -> None:
        told.append(words)
        over.set()

    def made_one(plans: tuple[MadePlan, ...]) -> None:
        ended(f"{len(plans)} made")

    def quiet(what: str, done: int, of: int) -> None:
        """Hear how far it is."""

    task = PlanTask("plan", (), Brief(minutes=40))
    assert work.start(task, progress=quiet, done=made_one, failed=ended)
    assert not work.start(task, progress=quiet, done=made_one, failed=ended)  # one at a time
    assert over.wait(120)
    assert "no plan fits" in told[0] or "music" in told[0]
    again = PlanTask("again", text=plan_text(made()))
    assert work.start(again, progress=quiet, done=made_one, failed=ended)
    work.stop()
    time.sleep(0.5)
    assert not work.running
    assert len(told) == 1


@pytest.mark.long
@NEEDS_CHROMIUM
def test_the_band_by_mouse_and_by_keyboard(browser: Browser, client: Client, plan: str) -> None:
    """A song dragged by its grip and one moved by Alt and arrow stand elsewhere in the plan."""
    before = titles(client.get(f"/api/plans/{plan}"))
    with opened(browser, client, f"class/{plan}") as page:
        songs = page.locator(".song-block")
        expect(songs).to_have_count(len(before))
        grip = page.locator(".song-grip").nth(1)
        box, target = grip.bounding_box(), page.locator(".song-grip").nth(2).bounding_box()
        assert box is not None
        assert target is not None
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + 8)
        page.mouse.down()
        page.mouse.move(target["x"] + target["width"] - 4, target["y"] + 8, steps=6)
        page.mouse.up()
        expect(songs.nth(1)).to_contain_text(before[2])
        songs.nth(1).focus()
        page.keyboard.press("Alt+ArrowRight")
        expect(songs.nth(1)).to_contain_text(before[1])
        page.get_by_role("button", name="Undo", exact=False).first.click()
        expect(songs.nth(1)).to_contain_text(before[2])
        page.get_by_role("button", name="Keep", exact=False).first.click()
        expect(page.locator(".song-block .icon")).to_have_count(1)
        assert serious_faults(page) == []
    assert titles(client.get(f"/api/plans/{plan}"))[1] == before[2]


@pytest.mark.long
@NEEDS_CHROMIUM
def test_a_finding_leads_to_its_place(browser: Browser, client: Client, plan: str) -> None:
    """Choosing a finding of the review shows its song and points at the phrase or block."""
    shown = client.get(f"/api/plans/{plan}")
    wrong = change(client, plan, shown["revision"], kind="move song", track=1, to=3).data
    assert any(one["place"] for one in wrong["findings"])  # a warm-up in the middle
    with opened(browser, client, f"class/{plan}") as page:
        findings = page.locator("button.finding")
        expect(findings.first).to_be_attached()
        page.evaluate(
            "for (const one of document.querySelectorAll('.plan-review details')) one.open = true"
        )
        findings.last.click()
        expect(page.locator(".pointed")).to_have_count(1)


@NEEDS_CHROMIUM
def test_a_move_is_swapped_from_those_that_fit(browser: Browser, client: Client, plan: str) -> None:
    """A block shows what fits and what it changes; the one used stands in the saved plan."""
    with opened(browser, client, f"class/{plan}", **PHONE) as page:
        page.locator(".song-block").nth(1).tap()
        shown = client.get(f"/api/plans/{plan}")
        block = next(
            b for p in shown["tracks"][1]["phrases"] if p["kind"] == "phrase" for b in p["blocks"]
        )
        page.locator(f"#place-{block['place'].replace('.', '-')}").tap()
        choices = page.locator(".choice-row")
        expect(choices.first).to_be_visible(timeout=120_000)
        name = choices.first.locator(".block-name").inner_text()
        choices.first.get_by_role("button", name="Use").tap()
        expect(page.locator(f"#place-{block['place'].replace('.', '-')}")).to_contain_text(
            name.split(",")[0]
        )
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        for _ in range(80):  # the name may be the same where only a factor changes
            saved = client.ask("GET", f"/api/plans/{plan}/plan.toml").body.decode()
            if any_plan_from_text("saved", saved).tracks[1] != made().tracks[1]:
                break
            page.wait_for_timeout(250)
        else:
            pytest.fail("the saved plan has the old move")


@NEEDS_CHROMIUM
def test_another_window_shows_a_change_at_once(browser: Browser, client: Client, plan: str) -> None:
    """A change made elsewhere appears without a reload; one made on the old state says so."""
    with opened(browser, client, f"class/{plan}") as page:
        expect(page.locator(".song-block").first).to_be_visible()
        shown = client.get(f"/api/plans/{plan}")
        change(client, plan, shown["revision"], kind="lock", place="3")
        expect(page.locator(".song-block").nth(2).locator(".icon")).to_be_visible()


def beside(work: PlanWork, task: PlanTask, **told: Any) -> bool:
    """Stand for the planning of two other classes; the songs are those of the list."""
    text = plan_text(replace(made(), brief=replace(made().brief, title="Tuesday (2)")))
    plans = [
        MadePlan(text, "Tuesday (2)", ("side step", "jack"), 0.625),
        MadePlan(text.replace("(2)", "(3)"), "Tuesday (3)", ("leg curl",), 0.25),
    ]
    threading.Timer(0.1, told["done"], [tuple(plans)]).start()
    return task.what == "others" and task.files == ("a.ogg",)


@NEEDS_CHROMIUM
def test_two_other_classes_say_what_they_are_made_of(
    browser: Browser, client: Client, plan: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A button under the class; each is told with its base moves and leads to its plan."""
    monkeypatch.setattr(PlanWork, "start", beside)
    body = {"language": "en"}
    refused = client.ask("POST", f"/api/plans/{plan}/others", body)
    assert (refused.status, "no song is heard" in refused.data["error"]) == (400, True)
    monkeypatch.setattr(MusicList, "files_for", lambda self, depth, songs, place: ("a.ogg",))
    with opened(browser, client, f"class/{plan}", **PHONE) as page:
        page.get_by_role("button", name="Two other classes").tap()
        sheet = page.get_by_role("dialog")
        links = sheet.get_by_role("listitem").get_by_role("button")
        expect(links).to_have_count(2)
        expect(links.first).to_contain_text("side step, jack")
        expect(links.first).to_contain_text("63 % of its work with moves of the first class")
        assert serious_faults(page) == []
        assert min(one["height"] for one in map(box, links.all())) >= 44
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        links.last.focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", name="Tuesday (3)")).to_be_visible()
        expect(sheet).to_have_count(0)
    kept = {one["title"] for one in client.get("/api/plans")["plans"]}
    assert {"Tuesday (2)", "Tuesday (3)"} <= kept


def box(link: Locator) -> Any:
    """Return where a link stands on the page [px]."""
    return link.bounding_box()
