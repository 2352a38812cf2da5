"""Changes of a survey that would let it carry the requested current, each assessed afresh."""
