"""Which animal a row is about: candidates, evidence in bits, verdict. Reads and judges, never writes."""
