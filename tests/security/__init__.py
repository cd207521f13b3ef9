"""Ways in that a stranger would try, and that they lead nowhere; docs/security.md names these tests."""
