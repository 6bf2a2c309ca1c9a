"""The shop's own settings, and the kinds of task that tests try the worker with."""

from __future__ import annotations

from shop.settings import *  # noqa: F403
from shop.settings import INSTALLED_APPS

INSTALLED_APPS += ["tests.keeping.trial_kinds.apps.TrialKinds"]
