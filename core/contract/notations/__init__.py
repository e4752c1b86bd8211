"""Ratings and failures as standards write them, and what they stand for."""
