"""What is to be written for an animal: what its rows say, against each other and against the record."""
