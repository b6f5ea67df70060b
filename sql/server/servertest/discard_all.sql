-- discard_all makes a connection like a new one.
DISCARD ALL
