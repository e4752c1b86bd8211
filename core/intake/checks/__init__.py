"""Between keying and filing: what contradicts the register, the clock or the other values."""
