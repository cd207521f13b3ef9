"""Views of the office site: each asks a query or calls a service, and shows the answer."""
