"""The REST face: declares shapes and permissions, decides nothing."""
