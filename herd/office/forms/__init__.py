"""Forms of the office site: they read what was typed; services decide whether it may be written."""
