"""The command line: one small file a command, loaded only when it is called."""
