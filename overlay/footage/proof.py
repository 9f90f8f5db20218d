"""A small film to watch before the edit: pictures, captions and beeps over the footage, or over a plain ground.

moviepy composes it: one composite of three clips (ground, label, everything else), whose pictures come from caches.
Which stretches of the class are watched is decided beforehand (`moments.py`), so that the composite is flat.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from overlay.errors import MachineError, UsageError
from overlay.footage.burnt import Burnt, Label
from overlay.footage.conform import Conformed
from overlay.footage.ground import FootageGround, Rgb, plain_ground
from overlay.footage.mixed import RATE_HZ, write_sound
from overlay.footage.moments import Moments
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.layers import make_layer
from overlay.plan.session import Session
from overlay.timeline.model import Timeline
from overlay.units.raster import Size
from overlay.units.rate import FrameRate

LAYERS = ("previews", "titles", "timer", "progress")
"""From the bottom up, as the hand-off stacks them."""
SHORT_SIDE_PX = 360
MARK = "A proof by class-overlay, not for publishing"
"""Stands in the film as its comment: by it a proof knows one that it may write over."""


class Proofed(NamedTuple):
    """A proof that was written: where, how long it is, and how many stretches of the class it shows."""

    path: Path
    frame_count: int
    stretches: int


def proof_size(size: Size) -> Size:
    """The size of a proof: 360 on the short side, sides even.

    >>> proof_size(Size(1920, 1080)), proof_size(Size(1080, 1920))
    (Size(width_px=640, height_px=360), Size(width_px=360, height_px=640))
    """
    width_px, height_px = (round(side * SHORT_SIDE_PX / size.short_side_px / 2) * 2 for side in _sides(size))
    return Size(width_px, height_px)


def _sides(size: Size) -> tuple[int, int]:
    return size.width_px, size.height_px


def refuse_others(path: Path, *, replace: bool = False) -> None:
    """Raises UsageError where a file stands that is no proof of ours, unless `replace`, or no file can stand."""
    if path.suffix.lower() != ".mp4":
        raise UsageError(f"A proof is an MP4: {path.name} is not named like one.", remedy="Let its name end in .mp4")
    if path.is_dir():
        raise UsageError(f"{path} is a folder.", remedy="Name a file with --out.")
    if path.exists() and not replace and not _is_ours(path):
        remedy = "Name another file with --out, or write over it with --replace."
        raise UsageError(f"{path} is no proof that the tool made.", remedy=remedy)


def _is_ours(path: Path) -> bool:
    import av

    try:
        with av.open(str(path), metadata_errors="replace") as container:
            return container.metadata.get("comment") == MARK
    except (av.error.FFmpegError, OSError, ValueError):
        return False


def write_proof(
    path: Path,
    session: Session,
    timeline: Timeline,
    plan: Path,
    footage: Conformed | None = None,
    fonts: Fonts | None = None,
    *,
    full: bool = False,
    far: Callable[[float], None] = lambda _: None,
) -> Proofed:
    """Write the film of a class, aside first; `plan` is the file beside which images stand.

    Raises MachineError where it cannot be written, or footage cannot be read.
    """
    timeline = replace(timeline, size=proof_size(timeline.size))
    fonts = fonts or SHIPPED
    look = session.look
    layers = [
        make_layer(name, timeline, look, session.view, fonts, plan) for name in LAYERS if getattr(look, name).show
    ]
    moments = Moments(timeline, full=full)
    filmed = footage.filmed if footage is not None else ()
    try:
        with tempfile.TemporaryDirectory(prefix=".class-overlay-proof-", dir=path.parent) as folder:
            sound, film = Path(folder) / "sound.wav", Path(folder) / "film.mp4"
            write_sound(sound, timeline, session.tones, moments, filmed)
            with _ground(timeline, footage, fonts) as ground:
                _compose(film, sound, timeline, moments, Burnt(timeline, layers, fonts), ground, far)
            film.replace(path)
    except OSError as error:
        reason = error.strerror or str(error).strip().rpartition("\n")[2]
        remedy = "Free some space, or name another place with --out."
        raise MachineError(f"The proof {path} could not be written: {reason}.", remedy=remedy) from None
    return Proofed(path, moments.frame_count, len(moments.spans))


def _ground(
    timeline: Timeline, footage: Conformed | None, fonts: Fonts
) -> AbstractContextManager[FootageGround | None]:
    if footage is None:
        return nullcontext()
    return FootageGround(footage.filmed, timeline.size, timeline.rate, fonts)


def _compose(
    film: Path,
    sound: Path,
    timeline: Timeline,
    moments: Moments,
    burnt: Burnt,
    ground: FootageGround | None,
    far: Callable[[float], None],
) -> None:
    from moviepy import CompositeVideoClip, VideoClip

    size, fps = timeline.size, float(timeline.rate.value)
    plain, label = plain_ground(size), Label(moments, size)
    # Half a frame more: moviepy cuts length × rate to a whole number, which may fall just below.
    duration = (moments.frame_count + 0.5) / fps

    def frame(time: float) -> int:
        return moments.class_frame(round(time * fps))

    def below(time: float) -> Rgb:
        far(min(1.0, time * fps / moments.frame_count))
        return plain if ground is None else ground.picture(frame(time))

    pictures = VideoClip(lambda time: burnt.at(frame(time)).colors, duration=duration)
    pictures.mask = VideoClip(lambda time: burnt.at(frame(time)).alpha, is_mask=True, duration=duration)
    strip = VideoClip(lambda time: label.at(frame(time)), duration=duration)
    strip = strip.with_position((0, size.height_px - label.height_px))
    whole = CompositeVideoClip([VideoClip(below, duration=duration), strip, pictures], use_bgclip=True)
    whole.write_videofile(
        str(film),
        fps=fps,
        codec="libx264",
        preset="superfast",
        audio=str(sound),
        audio_fps=RATE_HZ,
        audio_codec="aac",
        threads=max(1, min(4, os.cpu_count() or 1)),
        ffmpeg_params=[*_exact(timeline.rate), "-metadata", f"comment={MARK}", "-movflags", "+faststart"],
        logger=None,
    )


def _exact(rate: FrameRate) -> list[str]:
    """What tells FFmpeg the rate exactly: moviepy gives it two decimals, which 23.976 does not have."""
    value = rate.value
    counted = f"settb=1/{value.numerator},setpts=N*{value.denominator}"
    return ["-vf", counted, "-r", f"{value.numerator}/{value.denominator}", "-pix_fmt", "yuv420p"]
