"""The local page: the same answers as the commands, and forms over the kitchen's files. Loopback only."""
