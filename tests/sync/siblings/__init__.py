"""Sibling installations: what one sends, takes and never loses."""
