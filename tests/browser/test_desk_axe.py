"""axe-core finds nothing on any view, by day and by night, on a phone and on a large screen; and focus is to be seen."""

from __future__ import annotations

from typing import Any

import pytest
from desk_browser import Running, axe_script, violations

pytestmark = pytest.mark.slow
VIEWS = ("/", "/glance", "/glance?chapter=2", "/talk?chapter=1", "/lists", "/out", "/out?show=guide", "/out?show=captions")  # fmt: skip


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1440])
def test_no_view_breaks_a_rule(browser: Any, running: Running, colours: str, width: int) -> None:  # noqa: ANN401
    script = axe_script()
    # The judge is brought in from outside of the page, which the page's own policy would forbid.
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=colours, bypass_csp=True
    )
    page = context.new_page()
    page.goto(running.open_at)
    found = []
    for view in VIEWS:
        page.goto(f"{running.home}{view}")
        page.locator("details").evaluate_all("all => all.forEach(d => { d.open = true; })")
        if view == "/":
            page.locator(".play").first.click()
        if view.startswith("/talk"):
            page.locator(".w[data-word]").nth(4).click()
        found += [f"{view}: {text}" for text in violations(page, script)]
    page.goto(f"{running.home}/")
    page.locator("#other summary").click()
    page.locator("#value").fill("nothing")
    page.locator("#choose-other").click()
    page.locator("#problem").wait_for()
    found += [f"a faulty answer: {text}" for text in violations(page, script)]
    context.close()
    assert found == []


def test_whatever_has_the_focus_is_to_be_seen(page: Any, running: Running) -> None:  # noqa: ANN401
    del running
    page.emulate_media(reduced_motion="reduce")  # a page that glides there is looked at before it has arrived
    seen = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        shown = page.evaluate(
            "() => { const e = document.activeElement; const s = getComputedStyle(e); const b = e.getBoundingClientRect();"
            " return [e.tagName + e.id + e.textContent.slice(0, 20), s.outlineStyle, parseFloat(s.outlineWidth),"
            " b.bottom > 0 && b.top < innerHeight]; }"
        )
        if shown[0].startswith("BODY"):
            continue
        seen.add(shown[0])
        assert shown[1] == "solid" or shown[1] == "auto", shown
        assert shown[2] >= 2, shown
        assert shown[3], shown
    assert len(seen) > 12


@pytest.mark.parametrize("width", [320, 390, 820, 1440, 2200])
def test_no_view_is_wider_than_the_screen(browser: Any, running: Running, width: int) -> None:  # noqa: ANN401
    context = browser.new_context(viewport={"width": width, "height": 900})
    page = context.new_page()
    page.goto(running.open_at)
    for view in VIEWS:
        page.goto(f"{running.home}{view}")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, view
    context.close()


def test_what_is_pressed_is_large_enough_for_a_thumb(browser: Any, running: Running) -> None:  # noqa: ANN401
    context = browser.new_context(viewport={"width": 390, "height": 900})
    page = context.new_page()
    page.goto(running.open_at)
    small = []
    for view in VIEWS:
        page.goto(f"{running.home}{view}")
        small += page.evaluate(
            "view => [...document.querySelectorAll('button, summary, select, input:not([type=hidden]), nav a, a.button')]"
            ".filter(e => !e.matches('.w, [type=radio], [type=checkbox]') && e.offsetParent)"
            ".filter(e => { const b = e.getBoundingClientRect(); return b.height < 44 || b.width < 44; })"
            ".map(e => view + ' ' + e.outerHTML.slice(0, 100))",
            view,
        )
    context.close()
    assert small == []


def test_nothing_moves_for_those_who_want_it_still(browser: Any, running: Running) -> None:  # noqa: ANN401
    context = browser.new_context(reduced_motion="reduce")
    page = context.new_page()
    page.goto(running.open_at)
    moving = page.evaluate(
        "() => [...document.querySelectorAll('*')].filter(e => { const s = getComputedStyle(e);"
        " return parseFloat(s.transitionDuration) > 0 || s.animationName !== 'none' || s.scrollBehavior === 'smooth'; }).length"
    )
    context.close()
    assert moving == 0
