"""Outfits, the people who work in them, and their roles."""
