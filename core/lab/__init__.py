"""The lab folder: its settings, the ids in it, and how a new one is laid out."""
