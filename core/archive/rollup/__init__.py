"""The roll-up: a disposable copy of the tables of each kind in few large files."""
