"""Clauses of standards as pure functions: numbers in, numbers out, unit in every name."""
