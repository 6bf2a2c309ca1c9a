#!/usr/bin/env python3
"""The one way in: `python3 manage.py demo`, `open`, `test`, or any of Django's own commands."""

import os
import sys


def main() -> None:
    """Hand the command to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
