"""Walks many generated noisy days and prints wrong facts and the share that needed no person.

    .venv/bin/python -m tests.bench.noisy [days] [head]
"""

import sys

from tests.bench.scratch import scratch_installation


def main(days: int, head: int) -> None:
    """Stage and apply what is clear of so many days, each in an outfit of its own."""
    with scratch_installation():
        walk(days, head)


def walk(days: int, head: int) -> None:
    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.intake.pipeline import apply_day  # noqa: PLC0415
    from tests.noisy.days import make_day  # noqa: PLC0415
    from tests.noisy.judge import judge  # noqa: PLC0415
    from tests.noisy.test_noisy_days import outcomes, record_of, stage  # noqa: PLC0415

    wrong = lines = plain = matched = handled = 0
    for seed in range(1_000, 1_000 + days):
        noisy = make_day(seed, head=head)
        outfit = open_outfit(code=f"bench-{seed}", name=f"Bench {seed}")
        day = stage(outfit, None, noisy)
        before = record_of(outfit)
        apply_day(day, None)
        rows = outcomes(day)
        judged = judge(noisy, before, record_of(outfit), rows)
        wrong += len(judged.wrong)
        plain += judged.plain
        matched += judged.matched
        lines += len(rows)
        handled += sum(row.state in {"applied", "known"} for row in rows)
        for one in judged.wrong:
            print(f"day {seed}: {one}")  # noqa: T201
    print(f"{days} days, {lines:,} lines: {wrong} wrong facts")  # noqa: T201
    print(f"lines without a fault that matters: {matched:,} of {plain:,} matched alone ({matched / plain:.2%})")  # noqa: T201
    print(f"all lines, those with faults among them: {handled / lines:.2%} needed no person")  # noqa: T201


if __name__ == "__main__":
    numbers = [int(one) for one in sys.argv[1:3]]
    main(numbers[0] if numbers else 50, numbers[1] if len(numbers) > 1 else 200)
