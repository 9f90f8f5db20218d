"""The tool's own words: one table a language."""
