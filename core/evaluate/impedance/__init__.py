"""Impedance of films in salt water."""
