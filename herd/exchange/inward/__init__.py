"""Documents of the standard on their way in: read within bounds, staged as rows, judged as field files are."""
