"""The bridge's page for a browser on the same machine: what goes on, and what a person has to settle."""
