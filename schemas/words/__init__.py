"""The words of the trade for the columns of each kind, one module a kind, one text a column.

The texts are those that `tiecoat.plugin.column(words=...)` takes. Symbols stand first, without a
language. Terms of the trade and of ISO, EN, ASTM and DIN standards only, from memory.
"""
