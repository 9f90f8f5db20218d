"""Many classes: which plans are meant, work spread over cores or machines, and what a series has in common."""
