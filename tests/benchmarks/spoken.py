"""How much of six talked-through repairs is read, against the records that were written beforehand.

Run it by hand from the top of the repository: ``python -m tests.benchmarks.spoken``. It ends with 1 where fewer than
85 % of the wanted lines came, or fewer than 95 % of those that came were wanted. The repairs and their records lay open
while the reader was made; findings count neither way.
"""

from __future__ import annotations

import sys
from time import perf_counter

from tests.standards.spoken_tables import REPAIRS, of_repair

RECALL, PRECISION = 0.85, 0.95


def main() -> int:
    """Print the figures of each repair and of all; 1 where they fall short."""
    began = perf_counter()
    right = wanted = proposed = 0
    for path in REPAIRS:
        came, asked_for, given, missed, extra = of_repair(path)
        right, wanted, proposed = right + came, wanted + asked_for, proposed + given
        print(f"{path.stem:16} recall {came / asked_for:6.1%}  precision {came / given:6.1%}")  # noqa: T201
        for line in (
            *(f"missed {one}" for one in missed),
            *(f"too much: {one.kind} {one.words}" for one in extra),
        ):
            print(f"    {line}")  # noqa: T201
    recall, precision = right / wanted, right / proposed
    print(f"{'all':16} recall {recall:6.1%}  precision {precision:6.1%}  {perf_counter() - began:.2f} s")  # noqa: T201
    return 0 if recall >= RECALL and precision >= PRECISION else 1


if __name__ == "__main__":
    sys.exit(main())
