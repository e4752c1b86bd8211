"""Watched folders: what has settled in them, kept, and taken out in the end."""
