"""Devices, and what travels between them and the record."""
