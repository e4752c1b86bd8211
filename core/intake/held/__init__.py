"""What waits beside a reason."""
