"""One reader of tables, made from a kind: its words, units and relations find what a file means."""
