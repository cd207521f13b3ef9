"""Wiring of the installation: settings, addresses, worker, commands; imported by nobody."""
