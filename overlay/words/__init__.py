"""How long words take to say, which side they mean, where their lines break, and the tool's own words."""
