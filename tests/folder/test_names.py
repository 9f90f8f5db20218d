"""File names that every system takes."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from overlay.folder.names import file_name

RESERVED = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10))}


@given(st.text(), st.frozensets(st.text(max_size=5), max_size=3))
def test_any_text_becomes_a_safe_name(text: str, taken: frozenset[str]) -> None:
    """Short, plain, not reserved on Windows, never one that is taken, never out of the folder."""
    name = file_name(text, taken)
    assert name
    assert len(name) <= 70
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert name not in RESERVED
    assert name not in taken
