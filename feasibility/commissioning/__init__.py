"""Compare what was measured after the installation with what the assessment predicts."""
