"""The engineering: pure functions from measurements to results; no file, no archive, no clock."""
