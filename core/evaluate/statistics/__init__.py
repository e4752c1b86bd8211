"""Statistics and fits that know nothing of paint."""
