"""New identities rise, never repeat, and carry the moment they were made."""

import time
from concurrent.futures import ThreadPoolExecutor

from herd.values.identity import new_id


def test_identity_is_a_uuid_of_version_seven():
    identity = new_id()
    assert (identity.version, identity.variant) == (7, "specified in RFC 4122")


def test_identities_rise_within_the_process():
    made = [new_id() for _ in range(20_000)]
    assert made == sorted(made)
    assert len(set(made)) == len(made)


def test_identities_of_many_threads_never_repeat():
    with ThreadPoolExecutor(8) as threads:
        runs = list(threads.map(lambda _: [new_id() for _ in range(2_000)], range(8)))
    assert all(run == sorted(run) for run in runs)
    assert len({identity for run in runs for identity in run}) == 16_000


def test_identity_starts_with_its_millisecond():
    # RFC 9562 section 5.7: the first 48 bits are milliseconds since 1970.
    before = time.time_ns() // 1_000_000
    millisecond = new_id().int >> 80
    assert before - 1 <= millisecond <= time.time_ns() // 1_000_000 + 1
