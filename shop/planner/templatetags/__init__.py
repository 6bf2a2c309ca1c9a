"""The planner's own ways of writing figures."""
