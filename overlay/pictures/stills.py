"""Stills: cards as PNG files with straight alpha, for editors who would rather place pictures."""

from __future__ import annotations

import io

from PIL import Image

from overlay.pictures.previews import preview_card, preview_segments
from overlay.plan.look import Look
from overlay.timeline.model import Timeline


def png(picture: Image.Image) -> bytes:
    """A picture as PNG: straight alpha (PNG has no other), sRGB as drawn, no date."""
    out = io.BytesIO()
    picture.save(out, "PNG", compress_level=6)
    return out.getvalue()


def preview_stills(timeline: Timeline, look: Look) -> dict[str, bytes]:
    """One preview card a block, by the block's id."""
    return {str(segment.block): png(preview_card(segment, timeline, look)) for segment in preview_segments(timeline)}
