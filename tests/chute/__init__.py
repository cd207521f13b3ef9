"""Tests of the chute page, in a real browser."""
