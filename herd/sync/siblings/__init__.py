"""What the place where a record is decided does for sibling installations: takes what they wrote, hands out rows."""
