"""Time-current bands of protective devices, built from plain numbers."""
