"""Whether archive, originals, journal and index agree."""
