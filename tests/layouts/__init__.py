"""Generated exports with known truth: ordinary layouts, and mistakes in them."""
