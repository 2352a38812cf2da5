"""The survey resolved: every gap is a range with its reason, or stays open."""
