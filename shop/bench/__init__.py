"""The bench: findings, readings, evidence of earlier repairs, stints, soak tests, the safety check."""
