"""A changeset of another installation is written here as well, field by field, where nothing speaks against it."""
