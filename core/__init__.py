"""tiecoat: from instrument exports to a validated, queryable archive."""
