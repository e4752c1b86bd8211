"""Running in the background: the beat, the log, notices to people, and each system's supervisor."""
