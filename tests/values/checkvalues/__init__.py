"""The published check values: one list, tested one by one, and written out as docs/checkvalues.md."""
