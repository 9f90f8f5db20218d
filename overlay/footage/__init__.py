"""Raw footage: hear where the class is in it, and say which file has which block."""
