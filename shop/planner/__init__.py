"""The planner: when each job will be ready, what to do with an evening, the week, and what somebody should be reminded of."""

from __future__ import annotations
