"""What the page plays, rendered by the browser, is what the tone track has."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

LEAD_IN = Fraction(1, 10)
"""Seconds from the click to the first frame (`player.js`)."""
FIVE_MS = Fraction(5, 1000)
ALL_KINDS = """\
overlay: 1
title: All kinds
video: {frame_rate: RATE}
timing: {work: 8s, rest: 4s, preview: 4s, between_blocks: 4s}
tones: {leader: true, half: true, half_from: 8s, last: true, last_at: 2s, finish: true}
blocks: [{intervals: [{name: A, rest: 0s}, {name: B}, {name: C, work: 4s}]}, {intervals: [{name: D}]}]
closing: {length: 5s}
"""
# `stop` lasts 0.9 s, and the next start comes after 0.5 s; the class ends in the middle of `finish`.
CROWDED = """\
overlay: 1
title: Crowded
timing: {work: 3s, rest: 0.5s, preview: 1s}
tones: {finish: true, ready_count: 1}
blocks: [{intervals: [{name: A}, {name: B}]}]
closing: {length: 1s}
"""
# 30 rounds of two minutes; 3 kHz, the least that a browser takes, keeps the rendering small.
HOUR = """\
overlay: 1
title: An hour
video: {frame_rate: 29.97}
timing: {work: 45s, rest: 15s, preview: 10s, between_rounds: 15s}
blocks: [{rounds: 30, intervals: [{name: A}, {name: B}]}]
"""
PLAY_THROUGH = """async ([end, lead, speed]) => {
    // Time goes on by leaps that the player's own look-ahead bridges; timers are called as they come due.
    document.getElementById('play').click();
    while (!window.ticks.length) await new Promise(done => setTimeout(done, 5));
    for (; window.now < end / speed + lead; window.now += 2) for (const tick of window.ticks) tick();

    const samples = (await OfflineAudioContext.prototype.startRendering.call(window.audio)).getChannelData(0);
    return samples.length;
}"""
RENDERED = """async () => {
    const rendered = window.rendered.getChannelData(0);
    const bytes = new Uint8Array(rendered.buffer, rendered.byteOffset, rendered.byteLength);
    return await new Promise(done => {
        const reader = new FileReader();
        reader.onload = () => done(reader.result.split(',')[1]);
        reader.readAsDataURL(new Blob([bytes]));
    });
}"""
AROUND = """places => {
    const samples = window.rendered.getChannelData(0);
    return places.map(at => Array.from(samples.subarray(at - 150, at + 150)));
}"""
KEEP = """
    const render = OfflineAudioContext.prototype.startRendering;
    OfflineAudioContext.prototype.startRendering = async function () {
        return window.rendered = await render.call(this);
    };
"""


def played(page: Any, seconds: Fraction, speed: float = 1) -> np.ndarray:
    """The whole class as the page plays it, from its own first frame on."""
    if speed != 1:
        page.fill("#speed", str(speed))
    page.evaluate(PLAY_THROUGH, [float(seconds), float(LEAD_IN), speed])
    return np.frombuffer(base64.b64decode(page.evaluate(RENDERED)), dtype="<f4")


def stub_for(seconds: Fraction, stepped_clock: str, rate_hz: int = 48000) -> str:
    count = int((seconds + LEAD_IN) * rate_hz) + 1
    return f"window.samples = {count}; window.rateHz = {rate_hz};\n{KEEP}{stepped_clock}"


def timeline_json(html: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads((html.parent / "timeline.json").read_text("utf-8"))
    return data


@pytest.fixture
def both(
    opened: Callable[..., Any], page_of: Callable[..., Path], stepped_clock: str
) -> Callable[[str], tuple[np.ndarray, np.ndarray, dict[str, Any]]]:
    """A plan's sound from the page and from the tone track, from the class's first sample, and its timeline."""

    def both(plan: str) -> tuple[np.ndarray, np.ndarray, dict[str, Any]]:
        html = page_of(plan)
        data = timeline_json(html)
        seconds = Fraction(data["samples"], 48000)
        page = opened(plan, stub=stub_for(seconds, stepped_clock))
        rendered = played(page, seconds)[int(LEAD_IN * 48000) :]
        track, rate_hz = soundfile.read(html.parent / "tones" / "tones.wav", dtype="float32")
        assert rate_hz == 48000
        return rendered[: len(track)], track[:, 0], data

    return both


def onset(samples: np.ndarray, near: int, reach: int) -> int:
    """The first sample from shortly before a place on that is not silent."""
    start = max(0, near - reach)
    return start + int(np.argmax(np.abs(samples[start : near + reach]) > 1e-4))


def pitch_hz(samples: np.ndarray, rate_hz: int) -> float:
    """The strongest pitch of some samples, to a fraction of a hertz."""
    size = 1 << 17
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size))
    return float(np.argmax(spectrum)) * rate_hz / size


@pytest.mark.parametrize("rate", ["25", "29.97", "59.94"])
def test_the_page_sounds_like_the_track(both: Callable[..., Any], rate: str) -> None:
    """Every kind of beep: the same onset within 5 ms, the same pitch within 1 Hz, the same samples to -60 dB."""
    rendered, track, data = both(ALL_KINDS.replace("RATE", rate))
    assert {beep["kind"] for beep in data["beeps"]} == {
        "pop", "ready", "start", "change", "stop", "half", "last", "finish",
    }  # fmt: skip
    for beep in data["beeps"]:
        at = beep["sample"]
        here, there = onset(rendered, at, 480), onset(track, at, 480)
        assert abs(here - there) <= 1
        assert abs(here - at) <= FIVE_MS * 48000
        piece = slice(at, at + 1200)
        assert pitch_hz(rendered[piece], 48000) == pytest.approx(pitch_hz(track[piece], 48000), abs=1)
    assert np.max(np.abs(rendered - track)) < 1e-3 * np.max(np.abs(track))


def test_beeps_give_way_as_in_the_track(both: Callable[..., Any]) -> None:
    """Beeps that are too near each other, and one that the class ends in, fade out as the track's do."""
    rendered, track, _ = both(CROWDED)
    assert np.max(np.abs(rendered - track)) < 1e-3 * np.max(np.abs(track))


def test_an_hour_later_beeps_are_in_time(
    opened: Callable[..., Any], page_of: Callable[..., Path], stepped_clock: str
) -> None:
    """The last beep of an hour begins within 5 ms of its frame, and so do all before it."""
    data = timeline_json(page_of(HOUR, also="timeline"))
    seconds = Fraction(data["samples"], 48000)
    assert seconds > 3590
    page = opened(HOUR, stub=stub_for(seconds, stepped_clock, 3000))
    page.evaluate(PLAY_THROUGH, [float(seconds), float(LEAD_IN), 1])
    places = [(Fraction(beep["sample"], 48000) + LEAD_IN) * 3000 for beep in data["beeps"]]
    assert len(places) > 200
    heard = page.evaluate(AROUND, [int(at) for at in places])
    for at, around in zip(places, heard, strict=True):
        assert abs(onset(np.array(around), 150, 150) - 150 - at % 1) <= FIVE_MS * 3000


@pytest.mark.parametrize("speed", [0.5, 2])
def test_speed_moves_beeps_and_leaves_their_pitch(
    opened: Callable[..., Any], page_of: Callable[..., Path], stepped_clock: str, speed: float
) -> None:
    """At half and double speed each beep begins at its own time by the speed, as long and as high as before."""
    plan = ALL_KINDS.replace("RATE", "30")
    data = timeline_json(page_of(plan))
    seconds = Fraction(data["samples"], 48000)
    page = opened(plan, stub=stub_for(seconds / Fraction(speed), stepped_clock))
    rendered = played(page, seconds, speed)
    starts = [beep for beep in data["beeps"] if beep["kind"] in ("start", "stop")]
    track, _ = soundfile.read(page_of(plan).parent / "tones" / "tones.wav", dtype="float32")
    for beep in starts:
        at = int((Fraction(beep["sample"], 48000) / Fraction(speed) + LEAD_IN) * 48000)
        assert abs(onset(rendered, at, 480) - at) <= FIVE_MS * 48000
        original = track[beep["sample"] : beep["sample"] + 9600, 0]
        assert pitch_hz(rendered[at : at + 9600], 48000) == pytest.approx(pitch_hz(original, 48000), abs=1)
