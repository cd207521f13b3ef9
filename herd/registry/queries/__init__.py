"""Questions to the record; read only."""
