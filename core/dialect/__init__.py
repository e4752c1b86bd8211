"""What every instrument writes in its own way: bytes to tables, numbers, times and units."""
