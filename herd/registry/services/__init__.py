"""The one address for writes to the record; each call is one transaction with its ledger entry."""
