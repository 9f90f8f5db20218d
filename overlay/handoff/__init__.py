"""The hand-off: what an editor opens to find everything in place."""
