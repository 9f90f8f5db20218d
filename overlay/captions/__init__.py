"""Cues to caption files."""
