"""Wet paint: density, entrapped air, flow, bubbles."""
