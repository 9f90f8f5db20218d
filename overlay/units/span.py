"""Half-open stretches of frames: the end is the first frame no longer inside."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Span:
    """Frames `[start_frame, end_frame)`, counted from class zero.

    >>> Span(10, 40).frame_count, 39 in Span(10, 40), 40 in Span(10, 40)
    (30, True, False)
    """

    start_frame: int
    end_frame: int

    def __post_init__(self) -> None:
        if self.end_frame < self.start_frame:
            raise ValueError(f"a span cannot end ({self.end_frame}) before it starts ({self.start_frame})")

    @property
    def frame_count(self) -> int:
        return self.end_frame - self.start_frame

    def __contains__(self, frame: int) -> bool:
        return self.start_frame <= frame < self.end_frame
