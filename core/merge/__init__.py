"""Bringing another lab into this one: its files, what was decided on them, its journal."""
