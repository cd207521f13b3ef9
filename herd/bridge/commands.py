"""The bridge's command line."""
