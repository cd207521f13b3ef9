"""Does the protocol hold: histories at random against the real API, faults put into it, real concurrency."""
