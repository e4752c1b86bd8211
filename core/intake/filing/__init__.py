"""Rounds: read exports get their batch and panel and go into the tables."""
