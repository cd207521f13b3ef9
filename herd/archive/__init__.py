"""One open file that holds an outfit, or the whole installation: packed, verified, loaded again."""
