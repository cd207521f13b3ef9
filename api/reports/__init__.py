"""The reports as programs take them: each declared once, with what it asks and what it answers."""
