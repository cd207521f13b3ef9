"""The reminder calls at once and again until it is stopped."""

import threading

from herd.config.supervision import Reminder


def test_a_reminder_calls_at_once_and_again_until_stopped():
    calls = threading.Semaphore(0)
    reminder = Reminder(calls.release, seconds=0.01)
    reminder.start()
    assert calls.acquire(timeout=10)
    assert calls.acquire(timeout=10)
    reminder.stop()
    while calls.acquire(blocking=False):
        pass
    assert not calls.acquire(timeout=0.1)
