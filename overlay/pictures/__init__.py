"""Layers of pictures: what changes is drawn once, encoded once, pointed at often."""
