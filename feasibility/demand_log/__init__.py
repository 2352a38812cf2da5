"""Logs of a measured demand: from a file to its maxima, or to the list of what is wrong in it."""
