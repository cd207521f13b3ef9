"""Shapes: what comes in and what goes out."""
