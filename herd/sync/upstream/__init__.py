"""What an installation does that follows another one: sends what was written here, takes what was decided there."""
