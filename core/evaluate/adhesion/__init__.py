"""Pull-off adhesion."""
