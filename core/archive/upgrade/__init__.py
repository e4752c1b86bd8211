"""Tables that follow a change of their kind: planned, made anew, put in place."""
