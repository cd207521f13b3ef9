"""The ledger: who wrote what, when, from which source; record.py is the only pen."""
