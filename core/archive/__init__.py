"""The tables on disk, the index, and the questions that can be asked of them."""
