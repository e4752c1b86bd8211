"""The study report: from a comparison to pages that a stranger can read and check."""
