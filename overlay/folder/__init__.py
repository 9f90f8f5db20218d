"""Everything to disk: what is made, under which name, all or nothing."""
