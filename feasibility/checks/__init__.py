"""The catalogue of checks: each asks one question of one link and answers twice."""
