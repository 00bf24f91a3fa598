"""The whole way through an episode in a real browser: hear, settle, rename, move, put right, undo, reload, finish."""

from __future__ import annotations

import io
import re
import wave
from typing import Any

import numpy as np
import pytest
from desk_browser import Running, written

pytestmark = pytest.mark.slow


def settled(page: Any, text: str) -> None:  # noqa: ANN401 - Playwright's own
    """Expect so many to be settled."""
    from playwright.sync_api import expect

    expect(page.locator("#settled-count")).to_have_text(text)


def test_the_whole_way_through_an_episode(page: Any, running: Running) -> None:  # noqa: ANN401, PLR0915 - one long way
    from playwright.sync_api import expect

    # The first look.
    expect(page.locator("#look")).to_have_text("2 things to settle, about 4 minutes")
    settled(page, "2 of 4 settled")
    expect(page.locator("#paste-text")).to_have_value(re.compile("make it 15 1/2 in"))

    # A slip, answered "as listed" by its button; the next open one is on top.
    page.locator("#open-findings a", has_text="Short rail").click()
    expect(page.locator("#ticket-head")).to_have_text("Short rail, length")
    expect(page.locator("#ticket mark")).to_have_text("sixteen and a quarter")
    page.locator("#choose-listed").click()
    settled(page, "3 of 4 settled")
    expect(page.locator("#ticket-head")).to_have_text("Handle")
    assert 'answer = "accept"' in running.decisions.read_text()

    # A number of pieces, typed, read back, kept.
    page.locator("#other summary").click()
    page.locator("#value").fill("4")
    expect(page.locator("#value-read")).to_have_text("reads as 4")
    page.locator("#choose-other").click()
    settled(page, "4 of 4 settled")
    expect(page.locator("#look")).to_have_text("All settled")

    # A size of another form for the declared one; then opened again and undone.
    page.locator("#settled-findings a", has_text="Tray floor").click()
    expect(page.locator("#ticket-head")).to_have_text("Tray floor, width")
    page.locator("#other summary").click()
    page.locator("#value").fill('15-7/16"')
    expect(page.locator("#value-read")).to_have_text(re.compile(r"reads as 15 7/16 in"))
    page.locator("#choose-other").click()
    expect(page.locator("#paste-text")).to_have_value(re.compile("make it 15 7/16 in"))
    page.locator("#undo").click()
    expect(page.locator("#paste-text")).to_have_value(re.compile("make it 15 1/2 in"))

    # Chapters: renamed and moved.
    page.get_by_role("link", name="At a glance").click()
    page.locator("#title-2").fill("The floor of the tray")
    expect(page.locator("#count-2")).to_have_text("21 of 100")
    page.locator("#chapter-2").get_by_role("button", name="Rename").click()
    expect(page.locator("svg.timeline")).to_contain_text("The floor of the tray")
    page.locator("#chapter-2").get_by_role("link", name="Move, split, join").click()
    here = page.locator("#chapter-2 input[name=utterance]:checked").first
    number = int(here.get_attribute("value"))
    page.locator(f'form[action="/do/chapter-move"] input[value="{number - 1}"]').check()
    page.locator("#move-chapter").click()
    expect(page.locator(f'form[action="/do/chapter-move"] input[value="{number - 1}"]')).to_be_checked()

    # A word put right: it keeps its time, its size is read again.
    page.get_by_role("link", name="The talk").click()
    page.locator(".w[data-word]", has_text=re.compile("^Welcome")).click()
    page.locator("#word-meant").fill("Hello")
    page.locator("#word-save").click()
    expect(page.locator(".w.edited[data-word]")).to_contain_text("Hello")

    # Off the record.
    page.locator(".sentence", has_text="owes me money").locator("input[type=checkbox]").check()
    page.locator("#put-off").click()
    expect(page.locator("#off-list li")).to_have_count(1)
    expect(page.locator(".sentences")).not_to_contain_text("money")

    # A tool struck out.
    page.get_by_role("link", name="Lists and steps").click()
    page.get_by_role("button", name="Strike out spokeshave").click()
    expect(page.locator("#tools .gone")).to_contain_text("spokeshave")

    # Reload: all is as it was left.
    page.reload()
    settled(page, "4 of 4 settled")
    expect(page.locator("#tools .gone")).to_contain_text("spokeshave")

    # The file edited by hand meanwhile is taken in without a reload.
    text = running.decisions.read_text()
    running.decisions.write_text(text + '\n[[material]]\nchange = "add"\nname = "beeswax"\n')
    expect(page.locator("#materials .items")).to_contain_text("beeswax", timeout=15000)

    # Finished: what to paste is on the clipboard, and the files are right.
    page.get_by_role("link", name="Settle", exact=True).click()
    page.locator("#copy-description").click()
    expect(page.locator(".copied").first).to_have_text("Copied")
    copied = page.evaluate("navigator.clipboard.readText()")
    written(page)
    description = running.out("description.txt")
    assert copied.strip() == description.strip()
    assert "I say 16 1/4 in; it should be 16 1/2 in." in description
    assert "I make 4" in description
    assert "make it 15 1/2 in" in description
    assert "Beeswax" in description
    assert "pokeshave" not in description.split("TOOLS")[1].split("MATERIALS")[0]
    assert "The floor of the tray" in running.out("chapters.vtt")
    assert "Hello back to the shop" in running.out("captions.vtt")
    for name in ("captions.vtt", "guide.md", "record.json", "show-notes.md", "for-review.md"):
        assert "money" not in running.out(name), name
    assert "DRAFT" not in running.out("guide.md")
    assert page.complaints == []


def test_a_play_button_plays_just_those_seconds(page: Any, running: Running) -> None:  # noqa: ANN401
    from desk_build import pitch_of, tone_of
    from playwright.sync_api import expect

    del running
    page.locator("#open-findings a", has_text="Short rail").click()
    with page.expect_response(lambda r: "/sound/" in r.url) as heard:
        page.locator("#ticket .play.big").click()
    assert heard.value.status in (200, 206)
    page.locator("#player-where").wait_for(state="visible")
    source = page.locator("#audio").evaluate("a => a.src")
    begin, end = (float(re.search(rf"{name}=([\d.]+)", source)[1]) for name in ("from", "to"))  # type: ignore[index]
    assert begin < 32.6 < end  # the size is said at 32.6 s, with a second either side
    assert 1.9 <= end - begin <= 8
    with wave.open(io.BytesIO(page.request.get(source).body())) as file:
        rate = file.getframerate()
        samples = np.frombuffer(file.readframes(file.getnframes()), "<i2")
    second = int(begin) + 1
    tone = samples[int((second - begin) * rate) : int((second + 1 - begin) * rate)]
    assert abs(pitch_of(tone, rate) - tone_of(second)) < 3
    expect(page.locator("#player")).to_be_visible()
    page.wait_for_timeout(400)
    assert page.locator("#audio").evaluate("a => a.currentTime") > 0
    assert abs(page.locator("#audio").evaluate("a => a.duration") - (end - begin)) < 0.05
    # Slower, and a little more before.
    page.locator("input[name=speed][value='0.5']").check(force=True)
    assert page.locator("#audio").evaluate("a => a.playbackRate") == 0.5
    page.locator("#player-before").click()
    page.wait_for_timeout(300)
    assert f"from={begin - 3:.2f}" in page.locator("#audio").evaluate("a => a.src")
    assert page.locator("#audio").evaluate("a => a.playbackRate") == 0.5


def test_the_second_tap_of_two_does_not_answer_the_next_finding(page: Any) -> None:  # noqa: ANN401
    page.locator("#choose-said").click()
    settled(page, "3 of 4 settled")
    page.locator(".choice").first.dispatch_event("click", {"detail": 2})
    page.wait_for_timeout(700)
    settled(page, "3 of 4 settled")
    page.locator(".choice").first.dispatch_event("click", {"detail": 1})
    settled(page, "4 of 4 settled")


def test_everything_on_a_ticket_works_from_the_keyboard(page: Any, running: Running) -> None:  # noqa: ANN401
    from playwright.sync_api import expect

    expect(page.locator("#ticket")).to_be_visible()
    first = page.locator("#ticket-head").inner_text()
    page.keyboard.press("j")
    expect(page.locator("#ticket-head")).not_to_have_text(first)
    page.keyboard.press("k")
    expect(page.locator("#ticket-head")).to_have_text(first)
    page.keyboard.press("p")
    expect(page.locator("#player")).to_be_visible()
    page.keyboard.press("j")
    expect(page.locator("#ticket-head")).not_to_have_text(first)
    page.keyboard.press("p")  # the moment of this ticket, not the one played before
    expect(page.locator("#ticket .play.big")).to_have_class(re.compile("sounding"))
    page.keyboard.press("k")
    expect(page.locator("#ticket-head")).to_have_text(first)
    page.keyboard.press("?")
    expect(page.locator("#keys .keys")).to_be_visible()
    page.keyboard.press("?")
    expect(page.locator("#keys .keys")).to_be_hidden()
    page.keyboard.press("n")
    expect(page.locator("#note")).to_be_focused()
    page.keyboard.type("told by 1 key")
    page.keyboard.press("Tab")
    page.locator("#ticket-head").click()
    page.keyboard.press("1")
    settled(page, "3 of 4 settled")
    assert "told by 1 key" in running.decisions.read_text()
    page.keyboard.press("u")
    settled(page, "2 of 4 settled")
    page.locator("#keys summary").click()
    page.locator("#keys-on").uncheck()
    page.locator("#ticket-head").click()
    page.keyboard.press("1")
    page.wait_for_timeout(300)
    settled(page, "2 of 4 settled")


def test_marks_of_the_picture_are_walked_with_the_arrows_and_heard_with_enter(
    page: Any,  # noqa: ANN401 - Playwright's own
    running: Running,
) -> None:
    from playwright.sync_api import expect

    page.goto(f"{running.home}/glance")
    page.locator(".timeline .mark[tabindex='0']").focus()
    before = page.evaluate("document.activeElement.getAttribute('aria-label')")
    page.keyboard.press("ArrowRight")
    after = page.evaluate("document.activeElement.getAttribute('aria-label')")
    assert before != after
    expect(page.locator("#mark-says")).to_have_text(after)
    page.keyboard.press("Enter")
    expect(page.locator("#player")).to_be_visible()
    box = page.locator("[data-hear]").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + 5)
    page.wait_for_timeout(200)
    source = page.locator("#audio").evaluate("a => a.src")
    assert float(re.search(r"from=([\d.]+)", source)[1]) == pytest.approx(39, abs=4)  # type: ignore[index]


def test_two_pages_do_not_overwrite_each_other_and_keep_up(page: Any, running: Running) -> None:  # noqa: ANN401
    from playwright.sync_api import expect

    other = page.context.new_page()
    other.goto(running.home)
    stale = other.locator("#answer-form input[name=version]").get_attribute("value")
    page.locator("#choose-dismiss").click()
    settled(page, "3 of 4 settled")
    settled(other, "3 of 4 settled")  # without being touched
    other.locator("#answer-form input[name=version]").evaluate("(f, v) => { f.value = v; }", stale)
    other.locator("#choose-dismiss").click()
    expect(other.locator("#problem")).to_contain_text("changed meanwhile")
    settled(other, "3 of 4 settled")


def test_without_script_the_answers_still_work(browser: Any, running: Running) -> None:  # noqa: ANN401
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(running.open_at)
    page.locator("#choose-dismiss").click()
    assert page.locator("#settled-count").inner_text() == "3 of 4 settled"
    context.close()


def test_ctrl_c_closes_the_desk_and_keeps_everything(page: Any, running: Running) -> None:  # noqa: ANN401
    page.locator("#choose-dismiss").click()
    settled(page, "3 of 4 settled")
    assert running.stop() == 0
    assert "The desk is closed. Everything is kept." in "".join(running.said)
    assert "Traceback" not in "".join(running.said)
    assert 'answer = "dismiss"' in running.decisions.read_text()
