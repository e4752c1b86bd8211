"""Making the whole archive again from the originals and the journal."""
