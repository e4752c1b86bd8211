"""The index: a cache of what the tables and the journal say."""
