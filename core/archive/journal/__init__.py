"""The journal: what happened, each record bound to the one before."""
