"""Readers at work: recognise, read, check and validate, in killable processes."""
