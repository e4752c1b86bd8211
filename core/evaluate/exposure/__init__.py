"""Exposed panels: ratings, rust, scribe creep, and the chamber's record."""
