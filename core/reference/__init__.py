"""The reference: what can be called, set and told here, put together from the code itself."""
