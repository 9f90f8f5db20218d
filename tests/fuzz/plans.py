"""Plans by number: a grammar of what a plan may hold, with texts that mean something to somebody else.

python tests/fuzz/plans.py FIRST COUNT          reads, lays out and writes them, and prints figures
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections import Counter
from typing import Any

from overlay.captions.imsc import imsc_text
from overlay.captions.srt import srt_text
from overlay.captions.webvtt import chapters_text, webvtt_text
from overlay.errors import PlanError
from overlay.folder.catalog import rehearsal_text
from overlay.folder.job import Job
from overlay.folder.media import media_of
from overlay.handoff.chapters import chapters_txt, ffmpeg_metadata
from overlay.handoff.edl import edl_texts
from overlay.handoff.markers import markers_csv
from overlay.handoff.notes import description_text, editor_notes
from overlay.handoff.otio import otio_text
from overlay.handoff.tracks import class_tracks
from overlay.plan.advice import plan_advice
from overlay.plan.read import session_of
from overlay.plan.source import parse_source
from overlay.timeline.check import check_class
from overlay.timeline.data import timeline_data
from overlay.timeline.layout import lay_out

HOSTILE = [
    "<script>alert(1)</script>", "</script><img src=x onerror=alert(1)>", "]]><!--", "&lt;b&gt; & 'q' \"d\"",
    "=HYPERLINK(\"http://x\",\"y\")", "@SUM(1+1)", "+1+cmd|' /C calc'!A0", "-2+3", "=1+1",
    "$(touch owned) `touch owned` ; rm -rf .", "%s %n %d", "%PATH% $HOME [0.__class__] [[7*7]]",
    "../../../etc/passwd", "C:\\con\\nul", "con", "aux.txt", "/dev/zero", "a/b\\c:d*e?f|g",
    "1 00:00:01,000 --> 00:00:02,000 forged", "a --> b", "NOTE forged", "WEBVTT", "STYLE ::cue", "\\an8 top",
    "#set page(width: 1pt)", "#import \"@preview/x\"", "*bold* _it_ $x$ @ref <label>", "\\input[/etc/passwd]",
    "* FROM CLIP NAME: forged", "TITLE: forged FCM: DROP FRAME", "[CHAPTER] START=0", ";FFMETADATA1", "a=b;c\\d#e",
    "שלום, عربي", "深呼吸", "e\u0301\u0301\u0301", "👩\u200d🦰💪🏽", "İıſß", "½ ² Ⅷ",
    "[b](javascript:alert(1))", "null", "~", "true", "0x1F", "1e999", "NaN", "-0", "1:30",
]  # fmt: skip
"""What is code, markup, a formula, a path or a format of its own to somebody else, and can be printed."""
UNPRINTABLE = [
    "\x1b[2J\x1b]0;owned\x07red", "\x9b31mred", "\x00nul", "bell\x07 back\x08\x7f", "line\rreturn", "two\nlines\n\n3",
    "\u202eright to left\u202c", "\u2066\u2067\u2068", "\u200b\ufeff", "\ud7ff\ue000\uffff", "\u2028\u2029\x85",
    "{side} side", "${HOME} {{7*7}}", "{other_side} {next} {x} {", "}", " ", "", "x" * 201, "\t=1+1",
]  # fmt: skip
"""What is refused, or read as something else."""
TIMES = ["4s", "10s", "30s", "1:00", "0:07", "2.5s", "0s", "1m30s", "-8s", "9h", "1e9s", "abc", "0.001s", "59.94s"]
WORDS = ["Row", "Press slowly", "Sit tall before you pull.", "Breathe.", "Two more.", "Good"]


def plan_by(number: int) -> str:
    """A plan as JSON, which is YAML: mostly sound, some of it hostile, now and then broken by a slip of a few bytes."""
    random_ = random.Random(number)
    hostile, wrong = random_.choice([0, 0.1, 0.5]), random_.choice([0, 0, 0.02])
    texts = HOSTILE if random_.random() < 0.8 else HOSTILE + UNPRINTABLE

    def text(language: bool = True) -> Any:
        words = random_.choice(texts) if random_.random() < hostile else random_.choice(WORDS)
        if hostile and random_.random() < 0.1:
            words = f"{words} {random_.choice(texts)}"
        return {"en": words, "he": words} if language and several and random_.random() < 0.3 else words

    def time_() -> str:
        return random_.choice(TIMES if random_.random() < wrong else TIMES[:6])

    def some(**keys: Any) -> dict[str, Any]:
        """A few of these keys."""
        kept = {key: make() for key, make in keys.items() if random_.random() < 0.4}
        if random_.random() < wrong:
            kept[text(False)] = text()
        return kept

    def cue() -> Any:
        return {"at": random_.choice(TIMES), "say": text()} if random_.random() < 0.2 else text()

    def cues() -> list[Any]:
        return [cue() for _ in range(random_.randint(0, 3))]

    def said() -> list[Any]:
        return [text() for _ in range(random_.randint(1, 2))]

    def interval() -> Any:
        if random_.random() < 0.5:
            return {"exercise": random_.choice(names), **some(work=time_, rest=time_, cues=cues)}
        return {"name": text(), **some(hands=lambda: random_.choice(["loaded", "free"]), work=time_, cues=cues)}

    def block(index: int) -> dict[str, Any]:
        if index and random_.random() < 0.3:
            return {"mirror": "block-a0", "id": f"mirror-{index}"}
        own = some(name=text, rounds=lambda: random_.randint(1, 3), preview_cues=said, rest_cues=said)
        sided = {"side": random_.choice(["right", "left"])} if index == 0 or random_.random() < 0.5 else {}
        return {
            "id": f"block-a{index}",
            **sided,
            **own,
            "intervals": [interval() for _ in range(random_.randint(1, 3))],
        }

    several = random_.random() < 0.3
    names = ["row", "press", *([text(False)] if random_.random() < hostile else [])]
    notes = {"equipment": lambda: [text() for _ in range(2)], **dict.fromkeys(
        ("setup", "easier", "harder", "watch", "camera", "position"), text)}  # fmt: skip
    rate = random_.choice(["23.976", "25", "29.97", "30", "59.94", "60"])
    plan = {
        "overlay": "1",
        "title": text(),
        **({"language": ["en", "he"]} if several else {}),
        "video": {"size": random_.choice(["640x360", "1920x1080", "360x640"]), "frame_rate": rate},
        "exercises": {name: {"name": text(), **some(**notes)} for name in names},
        **some(
            opening=lambda: {"length": time_(), **some(cues=said)},
            closing=lambda: {"length": time_(), **some(cues=said)},
            caution=text,
            timing=lambda: some(work=time_, rest=time_, preview=time_, between_rounds=time_, between_blocks=time_),
            calls=lambda: some(next=text, last=text, last_at=time_),
            tones=lambda: some(leader=lambda: "true", half=lambda: "true", ready_count=lambda: "3"),
        ),
        "blocks": [block(index) for index in range(random_.randint(1, 4))],
    }
    written = json.dumps(plan, ensure_ascii=False)
    for _ in range(random_.choice([0] * 7 + [1, 3])):
        at = random_.randrange(len(written))
        written = (
            written[:at] + random_.choice(["", '"', "}", "\t", "&a", "*a", "!", "\x00", "\ud800"]) + written[at + 1 :]
        )
    return written


def written_by(raw: bytes, *, page: bool = False) -> dict[str, str] | None:
    """Every text that a plan is made into, by its path; None for a plan that is refused. The page is made if `page`,
    and of some plans: it alone takes ten times as long as all the others."""
    try:
        source = parse_source(raw, "a.yaml")
        session = session_of(source)
        layout = lay_out(session)
    except PlanError as error:
        return None if all(mistake.message for mistake in error.mistakes) else {}
    timeline = layout.timeline
    findings = (*plan_advice(session, source), *check_class(session, layout))
    job = Job(session, layout, findings=findings)
    tracks = class_tracks(timeline, tuple(media_of(timeline, job.layers)), handle_frames=0)
    texts = {
        "timeline.json": json.dumps(timeline_data(timeline), ensure_ascii=False),
        "chapters.vtt": chapters_text(timeline),
        "chapters.txt": chapters_txt(timeline),
        "chapters.ffmetadata": ffmpeg_metadata(timeline),
        "description.txt": description_text(timeline),
        "editor-notes.txt": editor_notes(timeline, session.tones, job.layers, session.pictures.carrier, session.look),
        "class.otio": otio_text(timeline, tracks, handle_frames=0),
        "markers.csv": markers_csv(timeline),
        **{f"{name}.edl": text for name, text in edl_texts(timeline, tracks).items()},
    }
    for language in timeline.languages:
        texts[f"{language}.srt"] = srt_text(timeline, language)
        texts[f"{language}.vtt"] = webvtt_text(timeline, language)
        texts[f"{language}.ttml"] = imsc_text(timeline, language)
    if page or timeline.frame_count % 50 == 0:
        texts["rehearsal.html"] = rehearsal_text(job)
    for text in texts.values():
        text.encode("utf-8")
    return texts


def main() -> None:
    """Run plans by number and print what came of them."""
    from hang import cut_off
    from memory import most_mb

    first, count = map(int, sys.argv[1:])
    ends: Counter[str] = Counter()
    slowest = (0.0, 0)
    for number in range(first, first + count):
        began = time.process_time()
        raw = plan_by(number).encode("utf-8", "surrogatepass")
        print(number, file=sys.stderr, flush=True)
        try:
            with cut_off():
                texts = written_by(raw)
            ends["refused" if texts is None else "written"] += 1
        except Exception as error:
            ends[f"{type(error).__name__}: {str(error)[:80]} (plan {number})"] += 1
        slowest = max(slowest, (time.process_time() - began, number))
    peak_mb = most_mb()
    print(json.dumps({"ends": ends, "slowest": slowest, "peak_mb": peak_mb}))


if __name__ == "__main__":
    main()
