"""Images to numbers: pure functions on arrays of pixels, used by the readers of pictures."""
