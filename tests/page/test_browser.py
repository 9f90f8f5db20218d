"""The page in a real browser: hands and keys, ears and eyes, hostile plans, every size."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
SIZES = {"phone": (390, 844), "phone on its side": (844, 390), "laptop": (1440, 900), "tall": (1080, 1920)}
ARRANGEMENTS = ["close", "afar"]
HOSTILE = """\
overlay: 1
title: "</script><script>alert(1)</script> <img src=x onerror=alert(2)> &amp; 'q' $title <!--"
timing: {work: 20s, preview: 10s}
exercises:
  evil:
    name: "<b>Bold</b> </style> &amp; ' onclick='x' --> ]]>"
    hands: loaded
    easier: "<a href='javascript:alert(3)'>click</a>"
blocks:
  - id: "</script>"
    name: "<script>alert(5)</script>"
    intervals:
      - {exercise: evil, cues: ["Say <i>this</i> & that </script>", {at: -6s, say: "<svg onload=alert(4)>"}]}
      - {name: "NAME", work: 2m30s, hands: loaded}
closing: {length: 5s}
""".replace("NAME", "A very long name of an exercise that goes on until nobody could say it in one breath")
RIGHT_TO_LEFT = """\
overlay: 1
title: تمرين
language: ar
words: {right: يمين, work: عمل}
blocks: [{id: one, name: الساقان, side: right, intervals: [{name: القرفصاء, cues: [ارفع ذراعك الآن.]}, {name: الجسر}]}]
"""
RECORD = """() => {
    // Every time that a sound is scheduled for.
    window.scheduled = [];
    const create = AudioContext.prototype.createBufferSource;
    AudioContext.prototype.createBufferSource = function () {
        const source = create.call(this), start = source.start.bind(source);
        source.start = when => { scheduled.push(when); start(when); };
        return source;
    };
}"""


def place(page: Any) -> float:
    """Where the class stands: whole seconds."""
    return float(page.get_attribute("#strip", "aria-valuenow"))


def starts(page: Any) -> list[float]:
    """The starts of the segments in seconds."""
    data = json.loads(page.text_content("#class"))
    return [segment["end_s"] - segment["length_s"] for segment in data["segments"]]


def go(page: Any, seconds: float) -> None:
    """Click the strip at a time of the class."""
    box = page.locator("#strip").bounding_box()
    whole = float(page.get_attribute("#strip", "aria-valuemax"))
    page.mouse.click(box["x"] + box["width"] * seconds / whole, box["y"] + box["height"] / 2)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("light", ["light", "dark"])
def test_accessible(opened: Callable[..., Any], size: str, arrangement: str, light: str) -> None:
    """axe-core finds nothing to mend, in either arrangement, light or dark, at four sizes, while it works and rests."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    page = opened(DEMO, size=SIZES[size], color_scheme=light, reduced_motion="reduce", bypass_csp=True)
    page.click(f"#{arrangement}")
    for seconds in (30, 45, 68):
        page.locator("#strip").scroll_into_view_if_needed()
        go(page, seconds)
        results = axe.Axe().run(page).response
        assert [(rule["id"], [node["target"] for node in rule["nodes"]]) for rule in results["violations"]] == []
        assert len(results["passes"]) > 15


@pytest.mark.parametrize("plan", [DEMO, HOSTILE, RIGHT_TO_LEFT], ids=["demo", "hostile", "right to left"])
@pytest.mark.parametrize("size", [*SIZES.values(), (720, 450), (320, 568)])
def test_nothing_runs_out_of_the_page(opened: Callable[..., Any], plan: str | Path, size: tuple[int, int]) -> None:
    """No sideways scrolling at any size, nor on a laptop enlarged to 200 % (720 x 450), and every control is there."""
    page = opened(plan, size=size)
    for arrangement in ARRANGEMENTS:
        page.click(f"#{arrangement}")
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
        for name in ("back", "play", "skip", "repeat"):
            box = page.locator(f"#{name}").bounding_box()
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= size[0]
            # WCAG 2.2, 2.5.8: a target is at least 24 by 24 CSS pixels.
            assert min(box["width"], box["height"]) >= 24


@pytest.mark.parametrize("size", SIZES)
def test_read_across_the_room(opened: Callable[..., Any], size: str) -> None:
    """From afar a digit of the countdown is at least an eighth of the screen's short side, as in the pictures, and
    countdown, name and controls are all on the screen at once."""
    page = opened(DEMO, size=SIZES[size])
    page.click("#afar")
    go(page, 45)
    width_px, height_px = SIZES[size]
    # A digit of Noto Sans is 0.714 em high (its OS/2 table, sCapHeight).
    em_px = page.evaluate("parseFloat(getComputedStyle(document.getElementById('count')).fontSize)")
    assert 0.714 * em_px >= min(width_px, height_px) / 8
    for name in ("count", "heading", "gauge", "play", "strip"):
        box = page.locator(f"#{name}").bounding_box()
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= height_px


def test_hostile_words_show_as_themselves(opened: Callable[..., Any]) -> None:
    """No script of the plan runs, nothing is asked of the network, and the words stand there letter by letter."""
    page = opened(HOSTILE)
    data = json.loads(page.text_content("#class"))
    assert page.inner_text("h1") == data["title"]
    assert data["title"].startswith("</script><script>alert(1)")
    go(page, 12)
    assert page.inner_text("#what") == "<b>Bold</b> </style> &amp; ' onclick='x' --> ]]>"
    assert page.inner_text("#tell-easier dd") == "<a href='javascript:alert(3)'>click</a>"
    rows = page.locator("#list").inner_text()
    assert "Say <i>this</i> & that </script>" in rows
    assert "<svg onload=alert(4)>" in rows
    assert page.locator("#list script, #list b b, #list i, #now svg, #now a").count() == 0


def test_right_to_left(opened: Callable[..., Any]) -> None:
    """The page runs from right to left; the strip, which is time, from left to right."""
    page = opened(RIGHT_TO_LEFT)
    go(page, 15)
    assert page.evaluate("getComputedStyle(document.body).direction") == "rtl"
    count, heading = (page.locator(name).bounding_box() for name in ("#count", "#heading"))
    assert count["x"] > heading["x"]
    assert page.locator(".passed").bounding_box()["x"] == page.locator("#strip").bounding_box()["x"]
    assert page.inner_text("#side") == "يمين"


def test_the_keyboard_alone(opened: Callable[..., Any]) -> None:
    """Tab goes through everything in the order of the page, with a focus that is seen; keys play and move."""
    page = opened(DEMO, reduced_motion="reduce")
    order: list[str] = []
    for _ in range(9):
        page.keyboard.press("Tab")
        order.append(page.evaluate("document.activeElement.id"))
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
        if order[-1] == "afar":
            page.keyboard.press("Enter")
    assert page.get_attribute("html", "data-arrangement") == "afar"
    assert order == ["close", "afar", "dark", "strip", "back", "play", "skip", "repeat", "speed"]
    page.evaluate("document.activeElement.blur()")
    begin = starts(page)
    page.keyboard.press("ArrowRight")
    assert place(page) == pytest.approx(begin[1], abs=1)
    page.keyboard.press("PageDown")
    assert place(page) == pytest.approx(begin[2], abs=1)
    page.keyboard.press("ArrowLeft")
    assert place(page) == pytest.approx(begin[1], abs=1)
    page.keyboard.press(" ")
    page.wait_for_selector(":root[data-playing='true']", state="attached")
    page.keyboard.press(" ")
    page.wait_for_selector(":root[data-playing='false']", state="attached")
    page.focus("#strip")
    for key, there in (("Home", 0.0), ("ArrowRight", 5.0), ("ArrowRight", 10.0), ("ArrowLeft", 5.0), ("End", 718.0)):
        page.keyboard.press(key)
        assert place(page) == pytest.approx(there, abs=1)
    assert page.is_visible("#over")
    assert "11:58" in page.get_attribute("#strip", "aria-valuetext")
    page.focus("#speed")
    page.keyboard.press("End")
    assert page.inner_text("#speed-shown") == "2×"
    page.keyboard.press("Home")
    assert page.inner_text("#speed-shown") == "0.5×"


def test_clicks_and_touch(opened: Callable[..., Any]) -> None:
    """Rows and the strip lead to their place, a finger as a mouse."""
    page = opened(DEMO, size=SIZES["phone"], has_touch=True)
    begin = starts(page)
    page.locator("#list .go").nth(4).tap()
    assert place(page) == pytest.approx(begin[4], abs=1)
    page.locator("#skip").tap()
    assert place(page) == pytest.approx(begin[5], abs=1)
    page.locator("#back").tap()
    page.locator("#back").tap()
    assert place(page) == pytest.approx(begin[3], abs=1)
    box = page.locator("#strip").bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert place(page) == pytest.approx(718 / 2, abs=3)


def test_a_block_goes_round(opened: Callable[..., Any], stepped_clock: str) -> None:
    """Where a repeated block ends it begins again, on the audio clock to the sample, until it is let go."""
    stub = f"window.samples = 48000 * 400;\n{stepped_clock}"
    page = opened(DEMO, stub=stub)
    begin = starts(page)
    data = json.loads(page.text_content("#class"))
    first = next(n for n, segment in enumerate(data["segments"]) if segment["block"] == "push")
    last = max(n for n, segment in enumerate(data["segments"]) if segment["block"] == "push")
    page.evaluate(RECORD)
    page.locator("#list .go").nth(first).click()
    page.click("#repeat")
    page.click("#play")
    page.wait_for_selector(":root[data-playing='true']", state="attached")
    length = begin[last + 1] - begin[first]
    for second in range(0, int(3 * length) + 2):
        page.evaluate(f"window.now = {second} + 0.1; for (const tick of window.ticks) tick()")
        if second % 20 == 0:
            page.evaluate("() => new Promise(done => requestAnimationFrame(() => done(true)))")
            expected = begin[first] + second % length
            assert place(page) == pytest.approx(expected, abs=1.1)
    beeps = page.evaluate("scheduled")
    inside = [frame for frame, _ in data["beeps"] if data["segments"][first]["frames"][0] <= frame]
    inside = [frame for frame in inside if frame < data["segments"][last]["frames"][1]]
    assert len(beeps) >= 3 * len(inside)
    frames_s = [frame * data["rate"][1] / data["rate"][0] for frame in inside]
    start_s = data["segments"][first]["frames"][0] * data["rate"][1] / data["rate"][0]
    end_s = data["segments"][last]["frames"][1] * data["rate"][1] / data["rate"][0]
    wanted = [0.1 + turn * (end_s - start_s) + at - start_s for turn in range(3) for at in frames_s]
    assert beeps[: len(wanted)] == pytest.approx(wanted, abs=0.001)


def test_the_place_is_remembered(opened: Callable[..., Any]) -> None:
    """Place, arrangement, light and speed are there again when the page is opened again."""
    page = opened(DEMO)
    page.click("#afar")
    page.click("#dark")
    page.fill("#speed", "0.75")
    go(page, 300)
    before = place(page)
    page.reload()
    assert place(page) == pytest.approx(before, abs=1)
    assert page.get_attribute("html", "data-arrangement") == "afar"
    assert page.get_attribute("html", "data-light") == "dark"
    assert page.inner_text("#speed-shown") == "0.75×"


@pytest.mark.parametrize("storage", ["throws", "nonsense"])
def test_without_storage(opened: Callable[..., Any], storage: str) -> None:
    """A browser that keeps nothing, or kept something else, shows the class from its beginning."""
    stub = {
        "throws": "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no'); }});",
        "nonsense": 'Storage.prototype.getItem = () => \'{"place": {"number": 9999, "offset": "x"}, "speed": []}\';',
    }[storage]
    page = opened(DEMO, stub=stub)
    assert place(page) == 0
    page.click("#skip")
    assert place(page) == pytest.approx(25, abs=1)


@pytest.mark.parametrize("sound", ["missing", "refused"])
def test_without_sound_the_class_goes_on(opened: Callable[..., Any], sound: str) -> None:
    """No audio in the browser: the class plays by the page's own clock, and the page says so."""
    stub = {
        "missing": "delete window.AudioContext;",
        "refused": "AudioContext.prototype.resume = () => new Promise(() => {});",
    }[sound]
    page = opened(DEMO, stub=stub)
    page.click("#play")
    page.wait_for_selector("#silent:not([hidden])")
    page.wait_for_selector("#strip[aria-valuenow='1']")


def test_it_really_plays(opened: Callable[..., Any]) -> None:
    """The browser's own audio clock moves the class, and pausing stops it."""
    page = opened(DEMO)
    page.click("#play")
    page.wait_for_selector("#strip[aria-valuenow='2']")
    assert page.is_hidden("#silent")
    page.click("#play")
    stopped = page.inner_text("#count")
    page.wait_for_timeout(1200)
    assert page.inner_text("#count") == stopped


def test_a_segment_is_told_once(opened: Callable[..., Any], stubbed_clock: str) -> None:
    """The live region changes with the segment and not with the second; the countdown itself is not live."""
    page = opened(DEMO, stub=stubbed_clock)
    page.evaluate(
        "told = []; new MutationObserver(() => told.push(document.getElementById('told').textContent))"
        ".observe(document.getElementById('told'), {childList: true, characterData: true, subtree: true})"
    )
    page.click("#play")
    page.wait_for_selector(":root[data-playing='true']", state="attached")
    for tenth in range(0, 700, 5):
        page.evaluate(
            "async now => { window.now = now; await new Promise(done => requestAnimationFrame(() => done())); }",
            tenth / 10,
        )
    assert page.evaluate("told") == ["Coming up, Wake up", "Work, Shoulder rolls", "Rest"]
    live = page.evaluate("[...document.querySelectorAll('[aria-live]')].map(element => element.id)")
    assert live == ["told"]
    assert page.get_attribute("#count", "role") == "timer"


def test_reduced_motion(opened: Callable[..., Any], stubbed_clock: str) -> None:
    """Who asks for little motion sees the strip of the segment step with the seconds; else it glides."""
    widths = {}
    for motion in ("reduce", "no-preference"):
        page = opened(DEMO, stub=stubbed_clock, reduced_motion=motion)
        page.click("#play")
        page.wait_for_selector(":root[data-playing='true']", state="attached")
        widths[motion] = page.evaluate(
            "async () => { const seen = []; for (let n = 0; n < 8; n += 1) { window.now = 3.2 + n / 20;"
            " for (let k = 0; k < 2; k += 1) await new Promise(done => requestAnimationFrame(done));"
            " seen.push(document.getElementById('left').style.width); } return [...new Set(seen)]; }"
        )
    assert len(widths["reduce"]) == 1
    assert len(widths["no-preference"]) == 8


def test_findings_stand_at_their_place(opened: Callable[..., Any]) -> None:
    """What check says stands in the row of its segment, with the same words; of the whole class, above the rows."""
    page = opened(HOSTILE)
    data = json.loads(page.text_content("#class"))
    assert data["findings"]
    for finding in data["findings"]:
        for number in finding["segments"]:
            row = page.locator("#list > .row").nth(number)
            assert finding["text"] in row.text_content()
        if not finding["segments"]:
            assert finding["text"] in page.text_content("#general")


def test_the_lamp_stays_on_while_it_plays(opened: Callable[..., Any]) -> None:
    """A wake lock is asked for when the class plays and given back when it waits (W3C Screen Wake Lock)."""
    stub = """
        window.asked = [];
        Object.defineProperty(navigator, 'wakeLock', {value: {request: async kind => {
            asked.push(kind); return {release: async () => asked.push('released')}; }}});
    """
    page = opened(DEMO, stub=stub)
    page.click("#play")
    page.wait_for_selector(":root[data-playing='true']", state="attached")
    page.click("#play")
    page.wait_for_selector(":root[data-playing='false']", state="attached")
    assert page.evaluate("asked") == ["screen", "released"]
