#!/usr/bin/env python3
"""The one way in: `python3 manage.py demo`, `open`, `test`, or any of Django's own commands.

This file alone must be readable to any Python, however old, so that it can say what it needs.
"""

import sys

if sys.version_info < (3, 11):
    sys.exit(
        "Mendwright is made for Python 3.11 and later; this is Python %d.%d. "
        "Start it with a newer one, such as: python3.11 manage.py demo" % sys.version_info[:2]
    )

from shop.bootstrap.entry import prepare


def main():
    # type: () -> int
    """See to the environment, then hand the command to Django; the bootstrap's own commands end before that."""
    code = prepare(sys.argv)
    if code is not None:
        return code
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
    return 0


if __name__ == "__main__":
    sys.exit(main())
