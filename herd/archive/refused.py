"""An archive, or a place for one, that was refused."""


class ArchiveRefused(ValueError):  # noqa: N818
    """Nothing was kept or loaded; the text is a sentence or more that names the file in question."""
