"""What is kept: the tables on disk, the index, the journal, and the lock."""
