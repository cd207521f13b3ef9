"""A scale PC of Kettle Bench, as the client's tests have it, for the bridge above it."""

from tests.client.conftest import bench, code_of, cow, link, naps, no_calls_counted, phone_of_office, scale

__all__ = ["bench", "code_of", "cow", "link", "naps", "no_calls_counted", "phone_of_office", "scale"]
