"""The way from field files to the record: read, map, clean, match, merge, decide, apply."""
