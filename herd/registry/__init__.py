"""The herd record: animals, tags and their wearing, groups, events; written through services alone."""
