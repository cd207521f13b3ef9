"""The invented outfit that people look around in: its herd, three years of its work, and a day that waits."""

from herd.config.demo.loading import SignIn, load

__all__ = ["SignIn", "load"]
