"""From the plan of a follow-along class to everything its editor drops onto the footage."""
