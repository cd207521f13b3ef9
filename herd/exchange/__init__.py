"""The open exchange standard, ICAR Animal Data Exchange 1.3.2 as JSON: out of the record and into it."""
