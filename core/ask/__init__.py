"""Every question that can be asked of an archive."""
