"""Views: rows, shape, filter, rights; what is written goes to a service."""
