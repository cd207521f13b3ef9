"""Reading measured against the world: hard text files with their truth, our reader beside general-purpose ones."""
