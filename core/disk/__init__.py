"""Every effect on disk, and the steps at which a test may end the process."""
