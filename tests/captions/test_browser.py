"""WebVTT in a browser: headless Chromium's own parser, clock and layout. Skips where there is none."""

from __future__ import annotations

import io
import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageChops

from overlay.captions.webvtt import chapters_text, webvtt_text
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms, frame_to_time
from overlay.units.span import Span

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
GROUND = "#405060"
LOAD = """async ([text, kind, seconds, width, height]) => {
    // Silence as long as the class: a wave file of one byte a sample, 3000 samples a second.
    const rate = 3000, count = Math.ceil(rate * (seconds + 1));
    const bytes = new Uint8Array(44 + count).fill(128), head = new DataView(bytes.buffer);
    const word = (at, letters) => [...letters].forEach((c, i) => head.setUint8(at + i, c.charCodeAt(0)));
    word(0, 'RIFF'); head.setUint32(4, 36 + count, true); word(8, 'WAVEfmt ');
    head.setUint32(16, 16, true); head.setUint16(20, 1, true); head.setUint16(22, 1, true);
    head.setUint32(24, rate, true); head.setUint32(28, rate, true);
    head.setUint16(32, 1, true); head.setUint16(34, 8, true); word(36, 'data'); head.setUint32(40, count, true);
    const video = window.video = document.createElement('video'), track = document.createElement('track');
    video.width = width; video.height = height;
    video.src = URL.createObjectURL(new Blob([bytes], {type: 'audio/wav'}));
    track.kind = kind;
    track.src = URL.createObjectURL(new Blob([text], {type: 'text/vtt'}));
    document.body.replaceChildren(video);
    const read = new Promise((done, failed) => { track.onload = done; track.onerror = failed; });
    video.append(track);
    track.track.mode = 'showing';
    await read;
    if (video.readyState < 2) await new Promise(done => { video.onloadeddata = done; });
    return [...track.track.cues].map(cue => [cue.id, cue.startTime, cue.endTime, cue.getCueAsHTML().textContent]);
}"""
SEEK = """async times => {
    const shown = [];
    for (const time of times) {
        await new Promise(done => { video.onseeked = done; video.currentTime = time; });
        shown.push([video.currentTime, [...video.textTracks[0].activeCues].map(cue => cue.id)]);
    }
    return shown;
}"""


def small(size: str = "1920x1080") -> Timeline:
    text = (
        f"overlay: 1\ntitle: A\nvideo: {{size: {size}, frame_rate: 59.94}}\n"
        "blocks: [{intervals: [{name: A, cues: [{at: 1s, say: Up.}]}]}]\n"
    )
    return lay_out(parse_plan(text.encode("utf-8"), "a.yaml")).timeline


def saying(timeline: Timeline, *texts: str) -> Timeline:
    """The class with one cue of two seconds for each text, without a gap."""
    frames = 2 * timeline.rate.nominal
    cue = timeline.cues[0]
    spans = (Span(n * frames, (n + 1) * frames) for n in range(len(texts)))
    return replace(timeline, cues=tuple(cue._replace(text=t, span=s) for t, s in zip(texts, spans, strict=True)))


@pytest.fixture(scope="module")
def page(browser: Any) -> Iterator[Any]:
    """A page of a browser without a screen that nothing is loaded into."""
    page = browser.new_page()
    page.set_content(
        f"<style>body{{margin:0}} video{{display:block;background:{GROUND};object-fit:fill}}</style><body></body>"
    )
    yield page
    page.close()


def load(page: Any, text: str, timeline: Timeline, kind: str = "captions") -> list[list[Any]]:
    """The cues that the browser finds in a file: identifier, start, end, words."""
    page.set_viewport_size({"width": timeline.size.width_px // 2, "height": timeline.size.height_px // 2})
    size = [timeline.size.width_px // 2, timeline.size.height_px // 2]
    cues: list[list[Any]] = page.evaluate(LOAD, [text, kind, float(timeline.duration), *size])
    return cues


def test_the_browser_finds_every_cue(page: Any) -> None:
    """The same count, identifiers, milliseconds and words."""
    timeline = lay_out(read_plan(DEMO)).timeline
    cues = load(page, webvtt_text(timeline, "en"), timeline)
    assert len(cues) > 50
    assert [
        (name, round(start * 1000), round(end * 1000), words.replace("\n", " ")) for name, start, end, words in cues
    ] == [
        (
            str(number),
            frame_to_ms(cue.span.start_frame, timeline.rate),
            frame_to_ms(cue.span.end_frame, timeline.rate),
            cue.text,
        )
        for number, cue in enumerate(timeline.cues, start=1)
    ]


def test_the_browser_shows_what_the_timeline_shows(page: Any) -> None:
    """`activeCues` in the middle of 200 frames, half of them just before or after an edge of a cue."""
    timeline = lay_out(read_plan(DEMO)).timeline
    dice = random.Random(20)
    edges = [frame for cue in timeline.cues for frame in (cue.span.start_frame - 1, cue.span.start_frame)]
    edges += [frame for cue in timeline.cues for frame in (cue.span.end_frame - 1, cue.span.end_frame)]
    frames = dice.sample(range(timeline.frame_count), 100) + dice.sample([frame for frame in edges if frame >= 0], 100)
    load(page, webvtt_text(timeline, "en"), timeline)
    middles = [float(frame_to_time(2 * frame + 1, timeline.rate) / 2) for frame in frames]
    shown = page.evaluate(SEEK, middles)
    assert [time for time, _ in shown] == pytest.approx(middles, abs=0.001)
    expected = [[str(n) for n, cue in enumerate(timeline.cues, start=1) if frame in cue.span] for frame in frames]
    assert 50 < sum(map(len, expected)) < 200
    assert [names for _, names in shown] == expected


def test_captions_that_touch_never_show_together(page: Any) -> None:
    """At the shared instant only the later one is there: an end is exclusive (W3C WebVTT, HTML)."""
    timeline = saying(small(), *(f"Cue {n}." for n in range(6)))
    cues = load(page, webvtt_text(timeline, "en"), timeline)
    assert [cue[2] for cue in cues[:-1]] == [cue[1] for cue in cues[1:]]
    shown = page.evaluate(SEEK, [cue[1] + 1e-5 for cue in cues] + [cue[2] - 1e-3 for cue in cues])
    assert [names for _, names in shown] == 2 * [[cue[0]] for cue in cues]


@pytest.mark.parametrize(
    "words",
    [
        "Hips < knees & chest --> up",
        "<90° is enough, <b>really</b>",
        "&amp; &lt; R&B &copy; &#32;",
        "NOTE this",
        "WEBVTT",
        "10",
        "ارفع ذراعك اليمنى الآن.",
    ],
)
def test_text_is_never_markup(page: Any, words: str) -> None:
    """What the browser would show is what was said, and the cue after it is still there."""
    timeline = saying(small(), words, "After.")
    cues = load(page, webvtt_text(timeline, "en"), timeline)
    assert [cue[3].replace("\n", " ") for cue in cues] == [words, "After."]


@pytest.mark.parametrize("size", ["1920x1080", "1080x1920", "1440x1080"])
def test_captions_stand_at_the_bottom_and_centred(page: Any, size: str) -> None:
    """BBC Subtitle Guidelines 10, on the picture that the browser draws: lower third, safe area, middle."""
    timeline = saying(
        small(size), "Up.", "Stand up tall and breathe in, then sit down.", "Put both your hands on your thighs now."
    )
    cues = load(page, webvtt_text(timeline, "en"), timeline)
    assert len({cue[3].count("\n") for cue in cues}) > 1
    width_px, height_px = timeline.size.width_px // 2, timeline.size.height_px // 2
    for n in range(len(timeline.cues)):
        page.evaluate(SEEK, [2 * n + 1])
        left, top, right, bottom = _ink(page, Image.new("RGB", (width_px, height_px), GROUND))
        assert top > height_px * 2 / 3
        assert bottom <= height_px * (0.875 if timeline.size.is_tall else 0.95)
        assert abs(left + right - width_px) <= 4
        assert right - left < width_px * (0.75 if size == "1920x1080" else 0.9)


def _ink(page: Any, ground: Image.Image) -> tuple[int, int, int, int]:
    """The box of everything on the page that is not its ground; the browser may take a few frames to draw it."""
    for _ in range(50):
        picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
        if (box := ImageChops.difference(picture, ground).getbbox()) is not None:
            return box
    raise AssertionError("nothing is drawn")


def test_the_browser_finds_every_chapter(page: Any) -> None:
    """Names and bounds, without a gap, and one chapter at a time."""
    timeline = lay_out(read_plan(DEMO)).timeline
    chapters = load(page, chapters_text(timeline), timeline, "chapters")
    names = ["Wake up", "Push", "Legs, right", "Legs, left", "Pull", "Let it go"]
    assert [chapter[3] for chapter in chapters] == ["Opening", *names, "Closing"]
    assert chapters[0][1] == 0
    assert [chapter[2] for chapter in chapters[:-1]] == [chapter[1] for chapter in chapters[1:]]
    shown = page.evaluate(SEEK, [(chapter[1] + chapter[2]) / 2 for chapter in chapters])
    assert [names for _, names in shown] == [[chapter[0]] for chapter in chapters]
