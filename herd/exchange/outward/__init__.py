"""The record in the standard's words, stretch by stretch so that memory stays flat."""
