"""Commands of the installation."""
