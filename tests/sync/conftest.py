"""Devices for the tests of sync are those of the tests of the API."""

from tests.api.conftest import no_calls_counted, office, phone, phone_of, reader, stranger

__all__ = ["no_calls_counted", "office", "phone", "phone_of", "reader", "stranger"]
