"""Linking measured against the world: the matcher's scoring core beside general-purpose record linkage."""
