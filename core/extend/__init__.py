"""What comes in from outside: plugins, table profiles, and whom to blame for a fault."""
