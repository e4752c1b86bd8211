"""The types behind `tiecoat.plugin`: what plugins and the program agree on."""
