"""What is done with each kind of operation."""
