"""The counter: people, units, booking a unit in, the claim check, the tag, and where each job stands."""
