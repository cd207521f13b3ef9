"""The ranch office site: pages and forms; it asks queries and calls services, and decides nothing."""
