"""Questions over the record: statements that balance, papers for moving and selling, what is due, what was given."""
