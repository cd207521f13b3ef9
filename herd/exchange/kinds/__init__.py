"""Each kind of event in the standard's words, both ways: what it says, and how it is read back."""
