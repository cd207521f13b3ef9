"""The API as a stranger meets it: a server process, an outfit with a little of everything, generated calls."""
