"""From an export to rows that are filed, or to a held file with a reason."""
