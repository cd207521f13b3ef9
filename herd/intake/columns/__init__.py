"""What each column of a field file is, and how its cells become values."""
